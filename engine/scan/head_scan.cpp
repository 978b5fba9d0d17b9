// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/head_scan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/face/face.hpp"
#include "engine/scan/clean_mesh.hpp"
#include "engine/scan/place.hpp"
#include "engine/scan/read_mesh.hpp"
#include "engine/scan/scan_surface.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::scan {

using namespace solid;  // arithmetic on points

namespace {

[[noreturn]] void refuse(const ScanSource& source, const std::string& what) {
  throw Error(ErrorCode::input, source.where, fmt::format("archer.face.scan \"{}\": {}", source.name, what));
}

void mirror(ScanSource& source, TriangleMesh& mesh) {
  for (ScanMark& mark : source.marks) {
    mark.place_mm[1] = -mark.place_mm[1];
    if (mark.name.ends_with("_left")) mark.name.replace(mark.name.size() - 4, 4, "right");
    else if (mark.name.ends_with("_right")) mark.name.replace(mark.name.size() - 5, 5, "left");
  }
  for (Point3& v : mesh.vertices) v.y = -v.y;
  for (auto& t : mesh.triangles) std::swap(t[1], t[2]);
}

/// Placed picks, both sides as one: the mean of left and mirrored right.
std::vector<PlacedMark> placed_marks(const std::vector<Pick>& picks, const Pose& pose) {
  std::vector<PlacedMark> out;
  std::vector<double> weight;
  for (const Pick& pick : picks) {
    Point3 p = pose(pick.on_scan);
    if (!pick.midline && !pick.left) p = mirrored(p);
    const std::string name(name_of(pick.landmark));
    auto found = std::ranges::find(out, name, &PlacedMark::name);
    if (found == out.end()) {
      out.push_back({name, {}});
      weight.push_back(0);
      found = out.end() - 1;
    }
    double& n = weight[std::size_t(found - out.begin())];
    const std::array<double, 3> q{p.x, pick.midline ? 0 : p.y, p.z};
    for (std::size_t k = 0; k < 3; ++k) found->place_mm[k] = (n * found->place_mm[k] + q[k]) / (n + 1);
    ++n;
  }
  return out;
}

/// The measures that have keys, those of ScanSource::gives. What a person gave stays, an uncertainty too; each is
/// within the key's own range or refused by it.
void give_measures(Spec& spec, const HeadSize& size, const Location& where) {
  using enum Key;
  const auto at = [&](std::string_view name) -> std::optional<Point3> {
    const auto found = std::ranges::find(spec.placed_marks, name, &PlacedMark::name);
    if (found == spec.placed_marks.end()) return std::nullopt;
    return Point3{found->place_mm[0], found->place_mm[1], found->place_mm[2]};
  };
  const auto give = [&](Key key, double mm) {
    if (spec.given(key)) return;
    const Input before = spec[key];
    spec.give(key, mm, where);
    if (before.uncertainty_given) spec.set_uncertainty(key, before.uncertainty, true);
  };
  give(face_pupil_distance, 2 * at("pupil")->y);
  give(face_nose_tip_below_eye, -at("pronasale")->z);
  give(face_nose_tip_ahead_of_eye, at("pronasale")->x - at("pupil")->x);
  give(face_mouth_corner_below_eye, -at("cheilion")->z);
  give(face_mouth_width, 2 * at("cheilion")->y);
  give(face_hollow_below_eye, -at("sublabiale")->z);
  if (const auto chin = at("pogonion")) give(face_chin_below_eye, -chin->z);
  if (const auto root = at("sellion"), under = at("menton"); root && under)
    give(face_face_length, norm(*root - *under));
  if (const auto jaw = at("gonion")) give(face_jaw_breadth, 2 * jaw->y);
  give(face_head_length, size.length);
  give(face_head_breadth, size.breadth);
}

void check_picks(const std::vector<Pick>& picks, const Pose& pose, const ScanSurface& surface,
                 const ScanSource& source) {
  for (const Pick& pick : picks) {
    // The pupil lies some millimetres under the lid's or the cornea's skin.
    const double most = pick.landmark == Landmark::pupil ? 15 : 8;
    if (const double off = std::abs(surface.to(pose(pick.on_scan))); off > most)
      refuse(source, fmt::format("the landmark {} lies {:.1f} mm off its skin; up to {:g} mm can be. Pick it again, in "
                                 "the scan's own axes and unit",
                                 pick.name, off, most));
  }
}

}  // namespace

HeadSize size_of(const TriangleMesh& head, const Face& face) {
  // As on the parametric head: the ears end below this height, neck and jaw far below it.
  const Point3 brow = face.at(Landmark::glabella);
  const double above_ears = 1.25 * brow.z, above_nose = face.at(Landmark::sellion).z;
  double front = -Box3::inf, back = Box3::inf, left = -Box3::inf, right = Box3::inf;
  for (const Point3& p : head.vertices) {
    if (p.z > above_nose) back = std::min(back, p.x);
    if (std::abs(p.z - brow.z) < 8 && std::abs(p.y) < 10) front = std::max(front, p.x);
    if (p.z > above_ears) left = std::max(left, p.y), right = std::min(right, p.y);
  }
  return {front - back, left - right};
}

std::optional<HeadScan> take_scan(Spec& spec) {
  if (!spec.scan) return std::nullopt;
  ScanSource source = *spec.scan;
  TriangleMesh raw = read_mesh(source.file, source.unit_mm);
  if (spec.hand == Hand::left) mirror(source, raw);

  HeadScan out;
  Spec unscanned = spec;
  unscanned.scan.reset();
  Face face = make_face(unscanned);
  const std::vector<Pick> picks = picks_of(source);
  out.placement = place_scan(picks, face, source);
  for (Point3& v : raw.vertices) v = out.placement(v);

  CleanMesh clean = clean_mesh(raw, {face.at(Landmark::tragion).x + 30, face.at(Landmark::menton).z - 10}, source.file);
  spec.placed_marks = placed_marks(picks, out.placement);
  out.size = size_of(clean.mesh, face);
  const KeyInfo &length = info_of(Key::face_head_length), &breadth = info_of(Key::face_head_breadth);
  if (!(out.size.length >= length.least && out.size.length <= length.most && out.size.breadth >= breadth.least &&
        out.size.breadth <= breadth.most))
    refuse(source,
           fmt::format("is not of a head's size: {:.0f} mm long and {:.0f} mm broad; a head is {:g} to {:g} mm long "
                       "and {:g} to {:g} mm broad. "
                       "The scan must reach all round the head, hair pressed down",
                       out.size.length, out.size.breadth, length.least, length.most, breadth.least, breadth.most));
  give_measures(spec, out.size, source.where);
  face = make_face(spec);
  auto surface = std::make_shared<const ScanSurface>(face, std::move(clean.mesh));
  check_picks(picks, out.placement, *surface, source);
  out.surface = std::move(surface);
  if (const std::string repairs = clean.repairs.in_words(); !repairs.empty())
    out.notes.push_back(fmt::format("the scan {} was repaired: {}", source.name, repairs));
  return out;
}

}  // namespace peepwright::scan
