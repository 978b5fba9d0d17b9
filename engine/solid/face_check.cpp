// SPDX-License-Identifier: GPL-3.0-or-later
// Landmarks that cannot be a face are refused here, in words, before any surface is made of them.
#include <fmt/format.h>

#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"
#include "engine/solid/head_shape.hpp"

namespace peepwright::solid {
namespace {

using enum Landmark;

std::string named(Landmark l) {
  std::string text{name_of(l)};
  for (char& c : text)
    if (c == '_' || c == '-') c = ' ';
  return text;
}

std::string place_text(const Point3& p) {
  return fmt::format("({}, {}, {}) mm", number_text(p.x, 1), number_text(p.y, 1), number_text(p.z, 1));
}

/// The keys that put a landmark where it is or take it along, with what they come to; empty where no key does.
std::string keys_of(const Face& face, Landmark l) {
  const Point3& p = face.at(l);
  const auto key = [](std::string_view name, double mm) { return fmt::format("archer.face.{} ({:.4g} mm)", name, mm); };
  switch (l) {
    case pupil: return key("pupil_distance", 2 * p.y);
    case pronasale:
    case subnasale:
    case alare:
      return key("nose_tip_below_eye", -face.at(pronasale).z) + ", " +
             key("nose_tip_ahead_of_eye", face.at(pronasale).x);
    case cheilion: return key("mouth_corner_below_eye", -p.z) + ", " + key("mouth_width", 2 * p.y);
    case labrale_superius:
    case stomion:
    case labrale_inferius: return key("mouth_corner_below_eye", -face.at(cheilion).z);
    case sublabiale: return key("hollow_below_eye", -p.z);
    case pogonion: return key("chin_below_eye", -p.z);
    case menton: return key("face_length", face.face_length_mm);
    case gonion: return key("jaw_breadth", face.jaw_breadth_mm);
    case eurion: return key("head_breadth", face.head_breadth_mm);
    case opisthocranion: return key("head_length", face.head_length_mm);
    default: return {};
  }
}

[[noreturn]] void refuse(const Face& face, Landmark a, Landmark b, std::string_view rule) {
  std::string keys = keys_of(face, a);
  if (const std::string more = keys_of(face, b); !more.empty()) keys += (keys.empty() ? "" : ", ") + more;
  throw Error(
      ErrorCode::input,
      fmt::format("These landmarks cannot be a face: {} at {} and {} at {}; {}. Measure these two again{}{}.", named(a),
                  place_text(face.at(a)), named(b), place_text(face.at(b)), rule, keys.empty() ? "" : ": ", keys));
}

// Gaps in mm. Least and greatest are set well outside the surveys: the 1st and 99th percentiles of adults lie inside
// by a third or more, and youths with smaller faces still pass.
struct Gap {
  Landmark from, to;
  double least_mm, most_mm;
};

// clang-format off
// How far `to` lies below `from`.
constexpr Gap below[] = {
    {vertex, crinion, 10, 110},         {crinion, glabella, 15, 100},       {glabella, sellion, 4, 40},
    {sellion, pronasale, 18, 75},       {pronasale, subnasale, 2.5, 28},    {subnasale, labrale_superius, 5, 35},
    {labrale_superius, stomion, 2, 22}, {stomion, labrale_inferius, 2, 22}, {labrale_inferius, sublabiale, 3, 28},
    {sublabiale, pogonion, 2.5, 28},    {pogonion, menton, 6, 45},          {sellion, menton, 70, 180},
    {eurion, tragion, 15, 110},         {tragion, gonion, 25, 130},         {orbitale, cheilion, 25, 100},
    {exocanthion, orbitale, 3, 30},     {frontotemporale, ectoorbitale, 8, 60},
};

// How far `to` lies behind `from`.
constexpr Gap behind[] = {
    {pronasale, subnasale, 4, 40},     {pronasale, alare, 5, 45},          {pronasale, sellion, 6, 55},
    {glabella, opisthocranion, 140, 260}, {subnasale, tragion, 60, 160},   {tragion, opisthocranion, 50, 160},
    {menton, gonion, 25, 120},         {stomion, cheilion, 3, 40},         {pogonion, gonion, 35, 140},
    {subnasale, cheilion, 4, 50},      {labrale_inferius, sublabiale, 0.5, 30}, {sellion, endocanthion, 4, 45},
    {glabella, vertex, 50, 190},       {vertex, opisthocranion, 25, 150},  {alare, zygion, 30, 120},
    {exocanthion, ectoorbitale, 3, 45},
};

// How far `to` lies further out to the side than `from`.
constexpr Gap outside[] = {
    {endocanthion, pupil, 5, 30},     {pupil, exocanthion, 5, 30},     {exocanthion, ectoorbitale, 3, 35},
    {subnasale, alare, 9, 35},        {stomion, cheilion, 13, 45},     {menton, gonion, 32, 90},
    {menton, tragion, 45, 105},       {cheilion, gonion, 10, 65},      {sellion, eurion, 50, 110},
    {frontotemporale, eurion, 6, 60}, {sellion, frontotemporale, 30, 80}, {ectoorbitale, zygion, 1, 40},
};
// clang-format on

}  // namespace

void check_face(const Face& face) {
  const auto finite = [](const Point3& p) { return std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z); };
  for (std::size_t i = 0; i < landmark_count; ++i)
    if (!finite(face.places[i])) refuse(face, Landmark(i), i == 0 ? glabella : pupil, "a place must be a number");
  for (const Landmark midline : {glabella, sellion, pronasale, subnasale, labrale_superius, stomion, labrale_inferius,
                                 sublabiale, pogonion, menton, crinion, vertex, opisthocranion})
    if (std::abs(face.at(midline).y) > 1e-6)
      refuse(face, midline, midline == glabella ? sellion : glabella, "both lie on the midline, y = 0");

  const auto check = [&](const Gap& gap, double size, std::string_view how) {
    if (size >= gap.least_mm && size <= gap.most_mm) return;
    refuse(face, gap.from, gap.to,
           fmt::format("the second must lie {} to {} mm {} the first, not {} mm", number_text(gap.least_mm, 1),
                       number_text(gap.most_mm, 1), how, number_text(size, 1)));
  };
  for (const Gap& g : below) check(g, face.at(g.from).z - face.at(g.to).z, "below");
  for (const Gap& g : behind) check(g, face.at(g.from).x - face.at(g.to).x, "behind");
  for (const Gap& g : outside) check(g, face.at(g.to).y - face.at(g.from).y, "to the side of");
  // The cornea stands about 3 mm ahead of the pupil (from memory); the two are not always moved together.
  const Point3 pupil_place = face.at(pupil), apex = face.at(corneal_apex);
  if (std::hypot(apex.x - pupil_place.x - 3, apex.y - pupil_place.y, apex.z - pupil_place.z) > 8)
    refuse(face, pupil, corneal_apex, "the cornea lies about 3 mm straight ahead of the pupil");
}

}  // namespace peepwright::solid
