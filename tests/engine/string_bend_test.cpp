// SPDX-License-Identifier: GPL-3.0-or-later
// The string stands straight across the nock, between the release loop's knots, and bends there: found again here by
// ways that share no formula with the engine.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/bow/draw_estimate.hpp"
#include "engine/bow/string_legs.hpp"
#include "engine/fit/fit.hpp"
#include "engine/fit/verify.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

Spec shop(double knots_apart_mm) {
  Spec spec = test::shop_spec();
  spec.give(Key::face_eye_to_arrow, 92);
  spec.give(Key::string_knots_apart, knots_apart_mm);
  return spec;
}

TEST(StringBend, TheFitsPeepIsItsLengthUpThePolyline) {
  for (const double apart : {0.0, 8.0, 11.0, 20.0}) {
    const CoreFit fit = solve_core(shop(apart));
    EXPECT_DOUBLE_EQ(fit.legs.bend_mm, apart / 2);
    // Straight up to the knot, then straight to the peep.
    const double walked = apart / 2 + std::hypot(fit.peep.x, fit.peep.z - apart / 2);
    EXPECT_NEAR(walked, fit.posture.along_string_mm, 1e-9);
    EXPECT_NEAR(std::atan2(fit.peep.z - apart / 2, fit.peep.x), fit.legs.upper_rad, 1e-12);
  }
}

TEST(StringBend, TheLegTouchesTheCamsTrack) {
  Spec spec = shop(11);
  spec.give(Key::full_draw_axle_to_axle, 750);
  spec.give(Key::full_draw_axle_set_back, 190);
  spec.give(Key::full_draw_take_off_radius, 55);
  const StringLegs legs = string_legs(spec);
  ASSERT_EQ(legs.source, LegSource::axle_positions);
  // Distance of the axle from the line through the knot along the leg.
  const double along_x = std::cos(legs.upper_rad), along_z = std::sin(legs.upper_rad);
  const double off = along_z * legs.axle_ahead_mm - along_x * (750.0 / 2 - 5.5);
  EXPECT_NEAR(off, 55, 1e-9);
}

TEST(StringBend, TheDrawCycleLosesNoString) {
  Spec spec = shop(11);
  const FullDraw bow = draw_cycle_of(spec);
  // On a draw without stretch the string keeps its length: bend, free leg, and what has run off the track.
  const DrawCycle& cycle = DrawCycle(Length::in(33).mm(), Length::in(6.75).mm(), bow.design, 1);
  ASSERT_DOUBLE_EQ(bow.design.bend_off_nock_mm, 5.5);
  const DrawState rest = cycle.at_rest();
  const double radius = bow.design.string_track.radius_mm;
  EXPECT_DOUBLE_EQ(rest.leg_angle_rad, std::acos(-1) / 2);
  for (const double draw : {300.0, 450.0, 600.0, 700.0}) {
    const auto s = cycle.follow(draw);
    ASSERT_TRUE(s);
    const double wrapped_less = radius * ((s->leg_angle_rad - s->turn_rad) - rest.leg_angle_rad);
    EXPECT_NEAR(s->leg_free_mm + wrapped_less, rest.leg_free_mm, 1e-8) << draw;
    // The cam's axle lies the take-off radius off the leg through the knot.
    const double off = std::sin(s->leg_angle_rad) * (draw - s->axle_behind_pivot_mm) -
                       std::cos(s->leg_angle_rad) * (s->axle_height_mm - 5.5);
    EXPECT_NEAR(off, s->take_off_radius_mm, 1e-9) << draw;
  }
}

TEST(StringBend, MovesTheMarkDownByWhatTheSlopingLegDoesNotClimb) {
  // A string read at 80 deg and an eye that was measured: H stays, so that s falls by h (1 / sin θ − 1).
  Spec bent = shop(11), sharp = shop(0);
  for (Spec* spec : {&bent, &sharp}) spec->give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  const double lower = solve_core(sharp).mark_mm - solve_core(bent).mark_mm;
  EXPECT_NEAR(lower, 5.5 * (1 / std::sin(40 * unit::degree_rad) - 1), 0.15);
}

TEST(StringBend, APeepTiedWhereTheFitSaysAndReadThereIsLeftAlone) {
  Spec spec = shop(11);
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  const CoreFit fit = solve_core(spec);
  TiedReading reading;
  reading.mark = Length::mm(fit.mark_mm);
  reading.height_full_draw = Length::mm(fit.peep.z);
  const Verification v = verify_tied(spec, reading);
  EXPECT_NEAR(v.move_mm, 0, 1e-6);
  EXPECT_NEAR(v.leg_angle_rad, 40 * unit::degree_rad, 1e-9);
  // And the pair alone tells the same angle.
  Spec tied = test::shop_spec();
  tied.give(Key::string_knots_apart, 11);
  tied.give(Key::tied_mark, fit.mark_mm + spec.value(Key::string_stretch_at_mark));
  tied.give(Key::tied_height_full_draw, fit.peep.z);
  EXPECT_NEAR(string_legs(tied).upper_rad, 40 * unit::degree_rad, 1e-9);
}

TEST(StringBend, KnotsThatNobodyMeasuredSitOutsideTheNock) {
  Spec spec = test::shop_spec();
  EXPECT_DOUBLE_EQ(bend_off_nock_mm(spec), 5.5);
  spec.give(Key::string_nock_height, 10);
  spec.suit_assumptions();  // as reading a file does
  EXPECT_DOUBLE_EQ(bend_off_nock_mm(spec), 7);
  spec.give(Key::string_knots_apart, 12);
  spec.suit_assumptions();
  EXPECT_DOUBLE_EQ(bend_off_nock_mm(spec), 6);
}

}  // namespace
}  // namespace peepwright
