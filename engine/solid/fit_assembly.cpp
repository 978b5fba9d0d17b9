// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/fit_assembly.hpp"

#include <algorithm>
#include <cmath>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

using enum Key;

Pose head_pose(const CoreFit& core) {
  const Point3 origin = core.posture.to_bow(core.face, {0, 0, 0});
  Pose pose;
  pose.position = origin;
  const Point3 axes[] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
  for (std::size_t c = 0; c < 3; ++c) {
    const Point3 column = core.posture.to_bow(core.face, axes[c]) - origin;
    pose.rotation[0][c] = column.x, pose.rotation[1][c] = column.y, pose.rotation[2][c] = column.z;
  }
  return pose;
}

LimbEnd limb_end(const Spec& spec, const StringLegs& legs, bool upper) {
  LimbEnd end;
  end.leg_angle_rad = upper ? legs.upper_rad : legs.lower_rad;
  const double apart = spec.maybe(full_draw_axle_to_axle).value_or(spec.value(bow_axle_to_axle) - spec.value(assumed_axle_closing));
  const double above = spec.value(bow_nock_above_centre);
  const double radius = legs.has_axles ? legs.take_off_radius_mm
                                       : spec.maybe(full_draw_take_off_radius).value_or(spec.value(assumed_take_off_radius));
  end.axle_aside_mm = !legs.has_axles ? apart / 2 + (upper ? -above : above) : upper ? legs.upper_axle_mm : legs.lower_axle_mm;
  // The angle is what the fit rests on: the axle stands where its cam is touched by a string at that angle. Where the
  // angle came from the axle this gives the axle back.
  end.axle_ahead_mm = (radius + end.axle_aside_mm * std::cos(end.leg_angle_rad)) / std::sin(end.leg_angle_rad);
  return end;
}

double pin_height(const CoreFit& core, double pin_x, double line_down) { return core.peep.z - (pin_x - core.peep.x) * std::tan(line_down); }

}  // namespace

AssemblyInput assembly_of(const Fit& fit) {
  const Spec& spec = fit.spec;
  const CoreFit& core = fit.core;
  AssemblyInput in;
  in.right_handed = spec.hand == Hand::right;
  in.face = core.face;
  in.head = head_pose(core);
  in.upper = limb_end(spec, core.legs, true);
  in.lower = limb_end(spec, core.legs, false);
  in.pivot_x_mm = spec.pivot_x().mm();

  in.string_diameter_mm = spec.value(string_diameter);
  in.serving_diameter_mm = spec.value(string_serving_diameter);
  in.nock_height_mm = spec.value(string_nock_height);
  in.loop_length_mm = spec.value(string_loop_length);

  in.peep_along_string_mm = std::hypot(core.peep.x, core.peep.z);
  in.peep_bore_mm = spec.value(peep_bore);
  in.peep_body_length_mm = spec.value(peep_body_length);
  in.peep_body_diameter_mm = spec.value(peep_body_diameter);
  in.peep_bore_angle_rad = spec.value(peep_bore_angle);

  in.arrow_length_mm = spec.value(arrow_length);
  in.shaft_diameter_mm = spec.value(arrow_shaft_diameter);
  in.vane_height_mm = spec.value(arrow_vane_height);
  in.vane_length_mm = spec.value(arrow_vane_length);
  in.vane_count = int(std::lround(spec.value(arrow_vane_count)));

  in.sight_x_mm = in.pivot_x_mm + spec.value(sight_extension);
  in.pin_height_mm = pin_height(core, in.sight_x_mm, core.line_down_rad);
  const double far_m = spec.value(distances_far) / 1000;
  for (const MarkRow& row : fit.marks)
    if (std::abs(row.mark.distance_m - far_m) < 1e-9) in.far_pin_height_mm = row.mark.pin_height_mm;
  in.housing_diameter_mm = spec.value(sight_housing_diameter);
  in.housing_depth_mm = spec.value(sight_housing_depth);
  in.bar_drop_mm = spec.maybe(sight_bar_drop).value_or(0);
  return in;
}

}  // namespace peepwright::solid
