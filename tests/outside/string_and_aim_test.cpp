// SPDX-License-Identifier: GPL-3.0-or-later
// String geometry, draw length and aiming against published values. Marks as in flight_test.cpp.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/bow/string_legs.hpp"
#include "engine/fit/peep_view.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {
namespace {

TEST(Standard, DrawLengthIsToThePivotPlusOneAndThreeQuarters) {
  // ATA/AMO FP-3 (2000), ASTM F1880-09 [P]: 26 1/4 in to the pivot is a 28 in draw.
  Spec spec;
  spec.give(Key::bow_draw_length, Length::in(28).mm());
  EXPECT_DOUBLE_EQ(spec.pivot_x().in(), 26.25);
  spec.draw_length_includes_offset = false;
  EXPECT_DOUBLE_EQ(spec.pivot_x().in(), 28);
}

TEST(Standard, UnitsAreExact) {
  // Exact by definition [M]: inch, grain, pound-force by standard gravity.
  EXPECT_DOUBLE_EQ(Length::in(1).mm(), 25.4);
  EXPECT_DOUBLE_EQ(Mass::grain(1).kg() * 1e6, 64.79891);
  EXPECT_NEAR(Force::lbf(15).n(), 66.7233, 5e-5);  // the force of the tension check below
  // ASTM F1544-11 [P]: 70 lb at 5 gr a pound is 350 gr, 22.68 g.
  EXPECT_NEAR(Mass::grain(70 * 5).kg() * 1000, 22.68, 5e-3);
}

TEST(StringLeg, WorkedExample) {
  // Nocking point at the origin, axle (666.75 − 114.3, 412.75), take-off radius 50.8 mm [F].
  const Leg leg = leg_from_axle(666.75 - 114.3, 412.75, 50.8);
  EXPECT_NEAR(degrees(leg.angle_rad), 40.988883685, 1e-9);
  EXPECT_NEAR(leg.free_length_mm, 687.737540781, 1e-9);
  // The example counts x from the pivot side with the nocking point at 666.75.
  EXPECT_NEAR(666.75 - leg.tangent_x_mm, 147.620359607, 1e-9);
  EXPECT_NEAR(leg.tangent_z_mm, 451.095712090, 1e-9);
  // Tension in each leg, F / (2 cos θ): 66.7233 N → 44.197166 N [F].
  EXPECT_NEAR(66.7233 / (2 * std::cos(leg.angle_rad)), 44.197166, 1e-6);
}

TEST(Aim, OffsetAtOneSightThrowsTheAimByRangeOverBase) {
  // 0.2 mm on 660 mm → 3 mm at 10 m and more than 300 mm at 1000 m [P].
  EXPECT_NEAR(aim_error(0.2, 10000, 660), 3, 0.05);
  EXPECT_GT(aim_error(0.2, 1000000, 660), 300);
  // 1/16 in on 5.39 / 6.02 / 6.49 / 7.55 in at 30 yd → 12.52 / 11.21 / 10.40 / 8.94 in [P].
  const double base_in[] = {5.39, 6.02, 6.49, 7.55}, error_in[] = {12.52, 11.21, 10.40, 8.94};
  for (int i = 0; i < 4; ++i) EXPECT_NEAR(aim_error(1.0 / 16, 30 * 36, base_in[i]), error_in[i], 0.006) << i;
}

TEST(Aim, FramingBore) {
  // D = D_h e / (e + 850), D_h 42, e 50 → 2.333 mm [F].
  EXPECT_NEAR(framing_bore_mm(42, 50, 850), 2.333, 5e-4);
}

}  // namespace
}  // namespace peepwright
