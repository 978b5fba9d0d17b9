// SPDX-License-Identifier: GPL-3.0-or-later
// A whole archer and bow for the tests, with a pose made by hand: nose tip and mouth corner at the string, the hollow
// at arrow height, the head turned 38 degrees toward the string side.
#pragma once

#include <cmath>

#include "engine/solid/assembly.hpp"
#include "tests/engine/solid_test_faces.hpp"

namespace peepwright::test {

/// `peep_up_mm` moves peep and eye up together, as an archer does who keeps an upright head: the face rises over the
/// arrow.
inline solid::AssemblyInput sample_assembly(const std::string& build = "adult-male", double peep_up_mm = 0) {
  solid::AssemblyInput in;
  in.face = mean_face(build);
  // Leg angle 40.9889 degrees: axle, nocking point and take-off radius of the string example among the outside checks.
  in.upper = in.lower = {0.71539, 552.45, 412.75};
  in.pivot_x_mm = 666.75;
  in.sight_x_mm = in.pivot_x_mm + 150;
  const double yaw = -0.66;  // 38 degrees: the nose tip comes to lie in the bow plane
  // Aiming pupil: straight behind the peep, as high as the hollow lies below it.
  const Point3 hollow = in.face.at(Landmark::sublabiale), nose = in.face.at(Landmark::pronasale);
  const double eye_height = -hollow.z + peep_up_mm;
  const solid::Pose turn = solid::Pose::from_angles(yaw, 0, 0, {});
  const Point3 from_eye = turn.turned({nose.x, nose.y + in.face.at(Landmark::pupil).y, nose.z});
  const double nose_height = eye_height + from_eye.z;
  // The nose tip touches the string, 1.2 mm thick in radius, square to it.
  const double nose_x =
      nose_height / std::tan(in.upper.leg_angle_rad) - in.string_diameter_mm / 2 / std::sin(in.upper.leg_angle_rad);
  const Point3 pupil{nose_x - from_eye.x, 0, eye_height};
  const Point3 in_head{0, -in.face.at(Landmark::pupil).y, 0};
  const Point3 turned = turn.turned(in_head);
  in.head = solid::Pose::from_angles(yaw, 0, 0, {pupil.x - turned.x, pupil.y - turned.y, pupil.z - turned.z});
  const double line_down = 0.02;
  // Peep where the line of sight crosses the string.
  const double tangent = std::tan(in.upper.leg_angle_rad);
  const double x = (pupil.z + pupil.x * line_down) / (tangent + line_down);
  in.peep_along_string_mm = x / std::cos(in.upper.leg_angle_rad);
  in.peep_bore_angle_rad = in.upper.leg_angle_rad + line_down;
  in.pin_height_mm = x * tangent - (in.sight_x_mm - x) * line_down;
  return in;
}

}  // namespace peepwright::test
