// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/face.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <vector>

#include "engine/face/statistics.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

using enum Landmark;

const BuildStatistics& statistics_of(Build build) {
  switch (build) {
    case Build::adult_male: return male_statistics();
    case Build::adult_female: return female_statistics();
    case Build::adult_mean: break;
  }
  return mean_statistics();
}

/// Measured, else mean + z·sd of the percentile (0 without one).
double size_of(const Spec& spec, Key key, Spread spread) {
  if (const auto measured = spec.maybe(key)) return *measured;
  if (const auto percentile = spec.maybe(Key::face_percentile))
    return spread.mean_mm + spread.sd_mm * boost::math::quantile(boost::math::normal(), *percentile / 100);
  return spread.mean_mm;
}

void apply_sizes(const Spec& spec, const BuildStatistics& statistics, Face& face) {
  face.face_length_mm = size_of(spec, Key::face_face_length, statistics.face_length);
  face.head_length_mm = size_of(spec, Key::face_head_length, statistics.head_length);
  face.head_breadth_mm = size_of(spec, Key::face_head_breadth, statistics.head_breadth);
  face.jaw_breadth_mm = size_of(spec, Key::face_jaw_breadth, statistics.jaw_breadth);
  const double longer_face = face.face_length_mm - statistics.face_length.mean_mm;
  const double longer_head = face.head_length_mm - statistics.head_length.mean_mm;
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const LandmarkRegression& r = regression_of(static_cast<Landmark>(i));
    face.places[i].x += r.x.per_face_length * longer_face + r.x.per_head_length * longer_head;
    face.places[i].z += r.z.per_face_length * longer_face + r.z.per_head_length * longer_head;
  }

  // Regression leaves a part of the face length unexplained; a given length is a fact, so share the rest out.
  const Point3 sellion_at = face.at(sellion), before = face.at(menton);
  const double run = sellion_at.x - before.x;
  const double drop = std::sqrt(std::max(face.face_length_mm * face.face_length_mm - run * run, 1.0));
  const double rest = sellion_at.z - drop - before.z;
  const double mean_menton_z = statistics.mean[static_cast<std::size_t>(menton)].z;
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const double depth = statistics.mean[i].z / mean_menton_z;  // 0 at the eyes, 1 at the under-chin
    const auto l = static_cast<Landmark>(i);
    const bool on_face = l != sellion && l != tragion && l != opisthocranion;
    if (on_face && depth > 0) face.places[i].z += rest * std::min(depth, 1.0);
    if (l == gonion) face.places[i].z += depth * regression_of(menton).z.per_face_length * longer_face;
  }

  face.at(opisthocranion).x = face.at(glabella).x - face.head_length_mm;
  face.at(vertex).x -= longer_head / 2;
  face.at(eurion).x -= longer_head / 2;
  face.at(eurion).y = face.head_breadth_mm / 2;
  face.at(gonion).y = face.jaw_breadth_mm / 2;
  // Cheekbones and ears widen by 0.735 mm per mm of head breadth: correlation 0.653 × 6.22 / 5.53 (ANSUR II, men).
  constexpr double cheek_per_breadth = 0.735;
  for (const Landmark l : {zygion, tragion, ectoorbitale, frontotemporale})
    face.at(l).y += cheek_per_breadth * (face.head_breadth_mm - statistics.head_breadth.mean_mm) / 2;
  const double wider_eyes =
      size_of(spec, Key::face_pupil_distance, statistics.pupil_distance) - statistics.pupil_distance.mean_mm;
  for (const Landmark l : {pupil, corneal_apex, exocanthion, endocanthion, orbitale}) face.at(l).y += wider_eyes / 2;
  face.at(cheilion).y = size_of(spec, Key::face_mouth_width, statistics.mouth_width) / 2;
}

/// The face's spreads as they stand in the spec: 0, but for a sensitivity.
void apply_spreads(const Spec& spec, Face& face) {
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const auto l = static_cast<Landmark>(i);
    if (l == pupil || l == corneal_apex) continue;
    face.places[i].x -= spec.value(Key::spread_pupil_ahead);
    face.places[i].z -= spec.value(Key::spread_pupil_up);
  }
  face.at(pupil).y += spec.value(Key::spread_pupil_distance) / 2;
  face.at(pronasale).x += spec.value(Key::spread_nose_ahead);
  face.at(pronasale).z += spec.value(Key::spread_nose_up);
  for (const Landmark l : {labrale_superius, stomion, cheilion}) face.at(l).x += spec.value(Key::spread_mouth_ahead);
  face.at(cheilion).z += spec.value(Key::spread_mouth_up);
  face.at(cheilion).y += spec.value(Key::spread_mouth_aside);
  face.at(sublabiale).z += spec.value(Key::spread_hollow_up);
  if (const double jaw = spec.value(Key::spread_hollow_ahead); jaw != 0) {
    // The hollow's spread forward is the chin's: what hangs on the lower jaw goes together.
    for (const Landmark l : {labrale_inferius, sublabiale, pogonion, menton}) face.at(l).x += jaw;
    const double run = face.at(sellion).x - face.at(menton).x;  // and the face is as long as before
    const double drop = std::sqrt(std::max(face.face_length_mm * face.face_length_mm - run * run, 1.0));
    face.at(menton).z = face.at(sellion).z - drop;
  }
}

struct Anchor {
  double z_mm, moved_mm;
};

/// Moves what stands between measured landmarks with them, linearly in height.
double moved_at(const std::vector<Anchor>& anchors, double z) {
  for (std::size_t i = 1; i < anchors.size(); ++i) {
    const Anchor &above = anchors[i - 1], &below = anchors[i];
    if (z < below.z_mm || z > above.z_mm || above.z_mm - below.z_mm < 1e-9) continue;
    const double t = (above.z_mm - z) / (above.z_mm - below.z_mm);
    return above.moved_mm + t * (below.moved_mm - above.moved_mm);
  }
  return z > anchors.front().z_mm ? anchors.front().moved_mm : anchors.back().moved_mm;
}

void apply_measured_heights(const Spec& spec, Face& face) {
  std::vector<Anchor> anchors{{face.at(sellion).z, 0}};
  const auto measured = [&](Landmark l, Key key) {
    if (const auto below = spec.maybe(key)) {
      anchors.push_back({face.at(l).z, -*below - face.at(l).z});
      face.origins[static_cast<std::size_t>(l)] = LandmarkOrigin::measured;
    }
  };
  measured(pronasale, Key::face_nose_tip_below_eye);
  measured(cheilion, Key::face_mouth_corner_below_eye);
  measured(sublabiale, Key::face_hollow_below_eye);
  measured(pogonion, Key::face_chin_below_eye);
  if (anchors.size() > 1) {
    // A given face length fixes the under-chin; without one it goes with the lowest measured landmark.
    if (spec.given(Key::face_face_length)) anchors.push_back({face.at(menton).z, 0});
    std::ranges::sort(anchors, std::greater{}, &Anchor::z_mm);
    for (const Landmark l : {alare, pronasale, subnasale, labrale_superius, stomion, cheilion, labrale_inferius,
                             sublabiale, pogonion, menton}) {
      const double moved = moved_at(anchors, face.at(l).z);
      face.at(l).z += moved;
      auto& origin = face.origins[static_cast<std::size_t>(l)];
      if (moved != 0 && origin != LandmarkOrigin::measured) origin = LandmarkOrigin::moved_with_measured;
    }
  }
  if (const auto ahead = spec.maybe(Key::face_nose_tip_ahead_of_eye)) {
    const double moved = *ahead - face.at(pronasale).x;
    face.at(pronasale).x = *ahead;
    for (const Landmark l : {alare, subnasale})
      face.at(l).x += moved / 2;  // the base of a nose moves less than its tip
  }
}

/// What a scan says and no key does: the depth of midline landmarks and mouth corners, and every other landmark whole.
/// Heights and widths that have a key come through it, so that their uncertainty moves them.
void apply_placed_marks(const Spec& spec, Face& face) {
  for (const PlacedMark& mark : spec.placed_marks)
    for (std::size_t i = 0; i < landmark_count; ++i) {
      const auto l = static_cast<Landmark>(i);
      if (name_of(l) != mark.name) continue;
      Point3& place = face.places[i];
      face.origins[i] = LandmarkOrigin::measured;
      const auto& [x, y, z] = mark.place_mm;
      if (l == pupil || l == pronasale) continue;  // all of both have keys
      const double forward = l == cheilion     ? spec.value(Key::spread_mouth_ahead)
                             : l == sublabiale ? spec.value(Key::spread_hollow_ahead)
                                               : 0;
      place.x = x + forward - spec.value(Key::spread_pupil_ahead);
      if (l == cheilion || l == sublabiale || l == pogonion) continue;
      place.z = z - spec.value(Key::spread_pupil_up);
      if (place.y != 0 && l != gonion) place.y = y;
    }
}

void set_origins(const Spec& spec, Face& face) {
  LandmarkOrigin base = spec.has(Key::face_percentile) ? LandmarkOrigin::percentile : LandmarkOrigin::mean;
  if (spec.given(Key::face_face_length) || spec.given(Key::face_head_length))
    base = LandmarkOrigin::moved_with_measured;
  face.origins.fill(base);
  const auto measured = [&](Landmark l, Key key) {
    if (spec.given(key)) face.origins[static_cast<std::size_t>(l)] = LandmarkOrigin::measured;
  };
  measured(pupil, Key::face_pupil_distance);
  measured(eurion, Key::face_head_breadth);
  measured(gonion, Key::face_jaw_breadth);
}

void check_face(const Face& face) {
  struct Rule {
    Landmark higher, lower;
    double gap_mm;
  };
  constexpr Rule down[] = {{sellion, pronasale, 8},   {pronasale, stomion, 8},  {pronasale, cheilion, 8},
                           {cheilion, sublabiale, 4}, {stomion, sublabiale, 4}, {sublabiale, pogonion, 1},
                           {pogonion, menton, 2}};
  for (const Rule& rule : down) {
    const double gap = face.at(rule.higher).z - face.at(rule.lower).z;
    if (gap < rule.gap_mm)
      throw Error(ErrorCode::input,
                  fmt::format("archer.face: the measures put the {} ({}) only {} above the {} ({}); a face has "
                              "at least {} there. Measure again, straight down from the pupil with the head level",
                              plain_name_of(rule.higher), name_of(rule.higher), both_text(gap),
                              plain_name_of(rule.lower), name_of(rule.lower), both_text(rule.gap_mm)));
  }
  const auto ahead = [&](Landmark front, Landmark behind, double gap_mm) {
    const double gap = face.at(front).x - face.at(behind).x;
    if (gap < gap_mm)
      throw Error(ErrorCode::input,
                  fmt::format("archer.face: the measures put the {} ({}) only {} ahead of the {} ({}); a face "
                              "has at least {} there. Measure again, level and straight ahead",
                              plain_name_of(front), name_of(front), both_text(gap), plain_name_of(behind),
                              name_of(behind), both_text(gap_mm)));
  };
  ahead(pronasale, pupil, 8);
  ahead(pronasale, subnasale, 3);
  ahead(pronasale, cheilion, 10);
  if (face.at(gonion).y > face.at(eurion).y)
    throw Error(ErrorCode::input,
                fmt::format("archer.face: jaw_breadth (gonion), {}, is more than head_breadth (eurion), {}",
                            both_text(face.jaw_breadth_mm), both_text(face.head_breadth_mm)));
}

}  // namespace

Face make_face(const Spec& spec) {
  if (spec.scan && spec.placed_marks.empty())
    throw Error(ErrorCode::internal, "A face was asked for before its scan was taken in.");
  const BuildStatistics& statistics = statistics_of(spec.build);
  Face face;
  face.places = statistics.mean;
  set_origins(spec, face);
  apply_sizes(spec, statistics, face);
  apply_spreads(spec, face);
  apply_measured_heights(spec, face);
  apply_placed_marks(spec, face);
  check_face(face);
  return face;
}

void set_face_spreads(Spec& spec) {
  const BuildStatistics& statistics = statistics_of(spec.build);
  // A percentile is a guess at a size, not a measure: it moves the means and leaves the spreads.
  const bool size_known = spec.has(Key::face_face_length);
  const auto sd = [&](Landmark l, bool x) {
    const auto i = static_cast<std::size_t>(l);
    const Regression& r = x ? regression_of(l).x : regression_of(l).z;
    return (x ? statistics.sd_x_mm[i] : statistics.sd_z_mm[i]) * (size_known ? r.residual_share : 1.0);
  };
  const bool scanned = !spec.placed_marks.empty();
  const auto set = [&](Key spread, std::initializer_list<Key> replaced_by, double value) {
    for (const Key key : replaced_by)
      if (spec.given(key)) value = 0;
    // A point picked on a scan is good to about a millimetre; common practice, no source.
    constexpr double picked_mm = 1.0;
    if (scanned && replaced_by.size() == 0) value = picked_mm;
    spec.set_uncertainty(spread, value);
  };
  if (scanned)
    for (const Key key : {Key::spread_pupil_ahead, Key::spread_pupil_up}) set(key, {}, 0);
  set(Key::spread_pupil_distance, {Key::face_pupil_distance}, statistics.pupil_distance.sd_mm);
  set(Key::spread_nose_ahead, {Key::face_nose_tip_ahead_of_eye}, sd(pronasale, true));
  set(Key::spread_nose_up, {Key::face_nose_tip_below_eye}, sd(pronasale, false));
  // The mouth corner has no spread of its own in the surveys; the line between the lips has.
  set(Key::spread_mouth_ahead, {}, sd(stomion, true));
  set(Key::spread_mouth_up, {Key::face_mouth_corner_below_eye}, sd(stomion, false));
  set(Key::spread_mouth_aside, {Key::face_mouth_width}, statistics.mouth_width.sd_mm / 2);
  // The hollow's mean rests on judgement: in men x could be 8.4 … 14.3 and z −89.5 … −86.8 mm. Half-widths of
  // these intervals over √3 (GUM 4.3.7) go on top of the survey's spread.
  const double judged_x = 2.95 / std::sqrt(3.0), judged_z = 1.35 / std::sqrt(3.0);
  set(Key::spread_hollow_ahead, {}, std::hypot(sd(sublabiale, true), judged_x));
  set(Key::spread_hollow_up, {Key::face_hollow_below_eye}, std::hypot(sd(sublabiale, false), judged_z));
}

}  // namespace peepwright
