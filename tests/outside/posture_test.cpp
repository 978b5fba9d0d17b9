// SPDX-License-Identifier: GPL-3.0-or-later
// Posture against an independent implementation of the same residuals, adult means of the survey data.
#include "engine/fit/posture.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "engine/face/face.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

Face mean_face(Build build) {
  Spec spec;
  spec.build = build;
  return make_face(spec);
}

PostureInput forty_degrees() {
  PostureInput input;
  input.leg_angle_rad = Angle::deg(40).rad();
  input.line_down_rad = Angle::deg(2).rad();
  input.string_radius_mm = input.serving_radius_mm = 1.2;
  return input;
}

struct Expected {
  double along_mm, height_mm, eye_to_peep_mm, yaw_deg;
};

void expect_posture(Build build, const Expected& expected) {
  const PostureInput input = forty_degrees();
  const Posture p = solve_posture(mean_face(build), input);
  const double peep_x = p.along_string_mm * std::cos(input.leg_angle_rad);
  const double peep_z = p.along_string_mm * std::sin(input.leg_angle_rad);
  EXPECT_NEAR(p.along_string_mm, expected.along_mm, 0.3);
  EXPECT_NEAR(peep_z, expected.height_mm, 0.3);
  EXPECT_NEAR(std::hypot(peep_x - p.pupil.x, p.pupil.y, peep_z - p.pupil.z), expected.eye_to_peep_mm, 0.5);
  EXPECT_NEAR(degrees(p.yaw_rad), expected.yaw_deg, 0.3);
}

TEST(Posture, MeanManAtFortyDegrees) { expect_posture(Build::adult_male, {133.3, 85.7, 89.2, 39.9}); }
TEST(Posture, MeanWomanAtFortyDegrees) { expect_posture(Build::adult_female, {124.6, 80.1, 83.2, 42.6}); }

}  // namespace
}  // namespace peepwright
