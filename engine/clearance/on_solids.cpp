// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/clearance/on_solids.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>
#include <utility>

namespace peepwright {
namespace {

solid::Pose pose_of(const CoreFit& core) {
  // The images of the head frame's origin and axes say it all, whatever the posture's angles are called.
  const auto image = [&](Point3 p) { return core.posture.to_bow(core.face, p); };
  const Point3 origin = image({0, 0, 0}), x = image({1, 0, 0}), y = image({0, 1, 0}), z = image({0, 0, 1});
  solid::Pose pose;
  pose.position = origin;
  pose.rotation = {{{x.x - origin.x, y.x - origin.x, z.x - origin.x},
                    {x.y - origin.y, y.y - origin.y, z.y - origin.y},
                    {x.z - origin.z, y.z - origin.z, z.z - origin.z}}};
  return pose;
}

/// Where a string leg is known by its angle alone, its cam is drawn about this far up; common practice, no source.
constexpr double usual_axle_ahead_mm = 510, usual_take_off_radius_mm = 50;

solid::LimbEnd limb_end(const StringLegs& legs, double angle_rad) {
  const double ahead = legs.has_axles ? legs.axle_ahead_mm : usual_axle_ahead_mm;
  const double radius = legs.has_axles ? legs.take_off_radius_mm : usual_take_off_radius_mm;
  // The axle stands the take-off radius off the leg's line, on the arrow's side of it.
  const double along = (ahead - radius * std::sin(angle_rad)) / std::cos(angle_rad);
  return {angle_rad, ahead, legs.bend_mm + along * std::sin(angle_rad) - radius * std::cos(angle_rad), legs.bend_mm};
}

}  // namespace

solid::AssemblyInput assembly_of(const Fit& fit) {
  using enum Key;
  const Spec& spec = fit.spec;
  const CoreFit& core = fit.core;
  const SightGeometry geometry = geometry_of(spec, core.peep);

  solid::AssemblyInput out;
  out.right_handed = spec.hand == Hand::right;
  out.face = core.face;
  out.head = pose_of(core);
  out.upper = limb_end(core.legs, core.legs.upper_rad);
  out.lower = limb_end(core.legs, core.legs.lower_rad);
  out.pivot_x_mm = geometry.start_x_mm;
  out.string_diameter_mm = spec.value(string_diameter);
  out.serving_diameter_mm = spec.value(string_serving_diameter);
  out.nock_height_mm = spec.value(string_nock_height);
  out.loop_length_mm = spec.value(string_loop_length);
  out.peep_along_string_mm = core.posture.along_string_mm;
  out.peep_bore_mm = spec.value(peep_bore);
  out.peep_body_length_mm = spec.value(peep_body_length);
  out.peep_body_diameter_mm = spec.value(peep_body_diameter);
  out.peep_bore_angle_rad = spec.value(peep_bore_angle);
  out.arrow_length_mm = spec.value(arrow_length);
  out.shaft_diameter_mm = spec.value(arrow_shaft_diameter);
  out.vane_height_mm = spec.value(arrow_vane_height);
  out.vane_length_mm = spec.value(arrow_vane_length);
  out.vane_count = static_cast<int>(std::lround(spec.value(arrow_vane_count)));
  out.sight_x_mm = geometry.pin_x_mm;
  out.pin_height_mm = pin_height_mm(geometry, core.line_down_rad);
  out.lowest_pin_height_mm = fit.lowest.pin_height_mm;
  out.housing_diameter_mm = spec.value(sight_housing_diameter);
  out.housing_depth_mm = spec.value(sight_housing_depth);
  out.bar_drop_mm = spec.maybe(sight_bar_drop).value_or(0);
  return out;
}

namespace {

Clearance against_what_is_wanted(const Spec& spec, const solid::Gap& gap) {
  if (gap.name == "string-nose") return contact(gap.name, gap.distance_mm, spec.wanted_string_nose);
  if (gap.name == "string-mouth-corner") return contact(gap.name, gap.distance_mm, spec.wanted_string_mouth);
  constexpr std::pair<std::string_view, Key> rooms[] = {{"arrow-chin", Key::wanted_arrow_chin},
                                                        {"sight-arrow", Key::wanted_sight_arrow},
                                                        {"peep-eye", Key::wanted_peep_eye},
                                                        {"nock-face", Key::wanted_nock_face}};
  for (const auto& [name, wanted] : rooms)
    if (gap.name == name) return room(gap.name, gap.distance_mm, spec.value(wanted));
  throw Error(ErrorCode::internal, fmt::format("No key says what is wanted of the clearance {}.", gap.name));
}

}  // namespace

std::vector<Clearance> clearances_on_solids(const Fit& fit, const solid::HeadModel& head) {
  const Spec& spec = fit.spec;
  std::vector<Clearance> out;
  for (const solid::Gap& gap : solid::gaps(head, assembly_of(fit))) {
    Clearance c = against_what_is_wanted(spec, gap);
    c.nearest = gap.nearest;
    if (gap.name == "sight-arrow") c.note = fmt::format("lowest at {:.4g} m", fit.lowest.distance_m);
    // Words are of the archer's own side, points of a right-handed archer, as all of a Fit's are: mirrored back.
    c.points = {as_archer_stands(spec, gap.on_first), as_archer_stands(spec, gap.on_second)};
    out.push_back(std::move(c));
  }
  return out;
}

Budget chin_budget(const Fit& fit) {
  std::optional<solid::HeadModel> head;
  Fit moved = fit;
  const auto at_chin = [&](const CoreFit& core) {
    const auto same = [](const Point3& p, const Point3& q) { return p.x == q.x && p.y == q.y && p.z == q.z; };
    if (!head || !std::ranges::equal(head->face().places, core.face.places, same)) head.emplace(core.face);
    moved.core = core;
    const auto all = solid::gaps(*head, assembly_of(moved));
    return std::ranges::find(all, "arrow-chin", &solid::Gap::name)->distance_mm;
  };
  CoreFit high = fit.core, low = fit.core;
  high.posture.pupil.z += fit.core.posture.pupil_sd.z;
  low.posture.pupil.z -= fit.core.posture.pupil_sd.z;
  return make_budget(fit.spec, at_chin, std::abs(at_chin(high) - at_chin(low)) / 2);
}

solid::ClipGaugeInput clip_gauge_of(const Fit& fit) {
  using enum Key;
  const Spec& spec = fit.spec;
  solid::ClipGaugeInput out;
  out.mark_mm = fit.core.mark_mm;
  out.nock_height_mm = spec.value(string_nock_height);
  out.string_diameter_mm = spec.value(string_diameter);
  out.serving_diameter_mm = spec.value(string_serving_diameter);
  // The body stands at its bore angle to the string; sideways it is as wide as it is across.
  const double length = spec.value(peep_body_length), across = spec.value(peep_body_diameter),
               tilt = spec.value(peep_bore_angle);
  out.peep_along_mm = length * std::cos(tilt) + across * std::sin(tilt);
  out.peep_across_mm = across;
  out.tie_in_mm = spec.value(peep_tie_in);
  out.wall_mm = spec.value(gauge_wall);
  out.groove_clearance_mm = spec.value(gauge_groove_clearance);
  out.saddle_clearance_mm = spec.value(gauge_saddle_clearance);
  out.snap_mm = spec.value(gauge_snap);
  out.engraving_mm = spec.value(gauge_engraving);
  out.tick_width_mm = spec.value(gauge_tick_width);
  out.knot_length_mm = spec.value(gauge_knot_length);
  out.knot_radius_mm = spec.value(gauge_knot_radius);
  return out;
}

}  // namespace peepwright
