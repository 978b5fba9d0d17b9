// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/draw_cycle.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <numbers>

#include "engine/quantity/error.hpp"

namespace peepwright {
namespace {

constexpr double axle_mm = 838;
constexpr double brace_mm = 171;
constexpr double stiffness_n_mm = 90e3;

DrawCycle default_bow() { return {axle_mm, brace_mm, BowDesign{}, stiffness_n_mm}; }

// Virtual work (derivatives of both lengths) against statics (vectors and cross products), the whole draw.
TEST(DrawCycle, ForceByVirtualWorkIsForceByStatics) {
  const DrawCycle bow = default_bow();
  DrawState s = bow.at_rest();
  for (double draw = brace_mm + 1; draw < 700; draw += 1) {
    s = bow.solve(draw, s).value();
    const double statics = 2 * bow.tensions(s).string_n * std::cos(s.leg_angle_rad);
    EXPECT_NEAR(bow.force_n(s) / statics, 1, 1e-8) << draw;
  }
}

TEST(DrawCycle, RatesAreTheDifferencesOfNeighbours) {
  const DrawCycle bow = default_bow();
  for (const double draw : {172.0, 200.0, 300.0, 400.0, 550.0, 680.0}) {
    const DrawState s = bow.follow(draw).value();
    const double h = 0.01;
    const DrawState a = bow.solve(draw - h, s).value();
    const DrawState b = bow.solve(draw + h, s).value();
    EXPECT_NEAR(s.bend_rate, (b.bend_rad - a.bend_rad) / (2 * h), 1e-9) << draw;
    EXPECT_NEAR(s.turn_rate, (b.turn_rad - a.turn_rad) / (2 * h), 1e-8) << draw;
    EXPECT_NEAR(s.bend_curvature, (b.bend_rate - a.bend_rate) / (2 * h), 1e-9) << draw;
    EXPECT_NEAR(s.turn_curvature, (b.turn_rate - a.turn_rate) / (2 * h), 1e-8) << draw;
    EXPECT_NEAR(bow.force_slope_n_mm(s), (bow.force_n(b) - bow.force_n(a)) / (2 * h), 1e-5) << draw;
  }
}

TEST(DrawCycle, ForceIsTheSlopeOfTheStoredEnergy) {
  const DrawCycle bow = default_bow();
  const auto force = [&](double draw) { return bow.force_n(bow.follow(draw).value()); };
  using quadrature = boost::math::quadrature::gauss_kronrod<double, 61>;
  for (const double draw : {250.0, 400.0, 650.0}) {
    const double area_j = quadrature::integrate(force, brace_mm, draw, 5, 1e-11) / 1000;
    EXPECT_NEAR(bow.stored_j(bow.follow(draw).value()) / area_j, 1, 1e-9) << draw;
  }
}

// ASTM F1880: brace height is string to pivot, square to the string, undrawn.
TEST(DrawCycle, AtRestTheStringIsStraightAndBraceHeightFromThePivot) {
  const DrawCycle bow = default_bow();
  const DrawState s = bow.at_rest();
  EXPECT_DOUBLE_EQ(s.leg_angle_rad, std::numbers::pi / 2);
  EXPECT_DOUBLE_EQ(s.draw_mm, brace_mm);
  EXPECT_NEAR(2 * s.axle_height_mm, axle_mm, 1e-10);
  // The string's line stands the take-off radius behind the axle.
  EXPECT_NEAR(s.axle_behind_pivot_mm + s.take_off_radius_mm, brace_mm, 1e-10);
  EXPECT_EQ(bow.force_n(s), 0);
  EXPECT_EQ(s.turn_rate, 0);
  // Tension is finite although force / (2 cos θ) is 0 / 0; from the first millimetre on both agree.
  const double at_rest = bow.tensions(s).string_n;
  EXPECT_GT(at_rest, 0);
  const DrawState near = bow.solve(brace_mm + 1e-3, s).value();
  EXPECT_NEAR(bow.force_n(near) / (2 * std::cos(near.leg_angle_rad)) / at_rest, 1, 1e-5);
}

// A straight string of half length h, drawn by d, gives the angle cos θ = d / h to first order, so the force starts
// as F = 2 T d / h with h the free leg: slope 2 T / h.
TEST(DrawCycle, ForceStartsWithTheStiffnessOfATautString) {
  const DrawCycle bow = default_bow();
  const DrawState s = bow.at_rest();
  EXPECT_NEAR(bow.force_slope_n_mm(s) / (2 * bow.tensions(s).string_n / s.leg_free_mm), 1, 1e-9);
}

// Leg angle, take-off and free leg as the contract defines them for a measured bow.
TEST(DrawCycle, LegAngleIsThatOfAxlePositionAndTakeOffRadius) {
  const DrawCycle bow = default_bow();
  for (const double draw : {200.0, 420.0, 660.0}) {
    const DrawState s = bow.follow(draw).value();
    const double x = draw - s.axle_behind_pivot_mm;
    const double distance = std::hypot(x, s.axle_height_mm);
    EXPECT_NEAR(s.leg_angle_rad, std::atan2(s.axle_height_mm, x) + std::asin(s.take_off_radius_mm / distance), 1e-12);
  }
}

TEST(DrawCycle, DrawingTurnsTheCamFeedsStringOutAndWindsCableIn) {
  const DrawCycle bow = default_bow();
  DrawState s = bow.at_rest();
  for (double draw = brace_mm + 10; draw < 680; draw += 10) {
    const DrawState next = bow.solve(draw, s).value();
    EXPECT_GT(next.turn_rad, s.turn_rad);
    EXPECT_GT(next.bend_rad, s.bend_rad);
    EXPECT_GT(next.leg_free_mm, s.leg_free_mm);        // string comes off
    EXPECT_LT(next.axle_height_mm, s.axle_height_mm);  // the axles close: cable goes on
    EXPECT_GT(next.axle_behind_pivot_mm, s.axle_behind_pivot_mm);
    s = next;
  }
}

// Concentric tracks are pulleys with constant arms: turning by p feeds out R_s p of string and winds in R_c p of
// cable. While the cable's angle hardly changes, the axles close by R_c p, so string fed out per millimetre
// of closing is R_s / R_c.
TEST(DrawCycle, ConcentricTracksAreAPulleyOfKnownRatio) {
  BowDesign d;
  d.string_track = {42, 0, 0};
  d.cable_track = {14, 0, 0};
  const DrawCycle bow(axle_mm, brace_mm, d);
  const DrawState rest = bow.at_rest();
  const DrawState s = bow.follow(500).value();
  EXPECT_NEAR(s.take_off_radius_mm, 42, 1e-12);
  EXPECT_NEAR(s.cable_arm_mm, 14, 1e-12);
  // Exact: L = free + R (θ - turn) is conserved on the string, with radius R and nothing else.
  const double fed_mm = (s.leg_free_mm - rest.leg_free_mm) + 42 * (s.leg_angle_rad - rest.leg_angle_rad);
  EXPECT_NEAR(fed_mm, 42 * s.turn_rad, 1e-9);
  // The cable runs from one axle to the other cam's track: free² = (2 height)² - R_c², and its direction is
  // 90° - asin(R_c / 2 height).
  const auto cable = [](double height) {
    return std::sqrt(4 * height * height - 14 * 14) + 14 * std::asin(14 / (2 * height));
  };
  const double wound_mm = cable(rest.axle_height_mm) - cable(s.axle_height_mm);
  EXPECT_NEAR(wound_mm, 14 * s.turn_rad, 1e-9);
  EXPECT_NEAR(fed_mm / wound_mm, 3, 1e-9);
  // Torque balance of a pulley with constant arms: tensions are as 1 to the ratio.
  const Tensions t = bow.tensions(s);
  EXPECT_NEAR(t.cable_n / t.string_n, 3, 1e-9);
}

// A cable that stands still: with a cable track of (nearly) no radius the cable cannot be wound in, the axles keep
// their distance and so the limbs cannot bend. The cam is then a reel that turns against nothing: no energy.
TEST(DrawCycle, WithoutACableArmTheLimbsStayAndNoForceIsFelt) {
  BowDesign d;
  d.string_track = {42, 0, 0};
  d.cable_track = {1e-9, 0, 0};
  const DrawCycle bow(axle_mm, brace_mm, d, stiffness_n_mm);
  const DrawState s = bow.follow(400).value();
  EXPECT_NEAR(s.bend_rad, 0, 1e-9);
  EXPECT_NEAR(bow.force_n(s), 0, 1e-5);
  EXPECT_GT(s.turn_rad, 0.5);
}

// The other limit: with a string track of no radius on the axle the string has no arm, its cam stays out of the
// business, and the axle is a recurve's limb tip. By hand: the leg keeps its length h (half the axle length),
// the axle is at pivot + ρ(-cos(α - q), sin(α - q)), and so draw - behind = √(h² - height²).
TEST(DrawCycle, ACamWithoutAStringArmIsARecurveTip) {
  BowDesign d;
  d.string_track = {1e-9, 0, 0};
  d.cable_track = {30, 0, 0};
  d.limb_preload_rad = 0;
  const DrawCycle bow(axle_mm, brace_mm, d, stiffness_n_mm);
  const double rho = d.limb_radius_factor * d.limb_length_mm;
  const double h = axle_mm / 2;
  for (const double draw : {200.0, 350.0, 450.0}) {
    const DrawState s = bow.follow(draw).value();
    const double q = s.bend_rad;
    const double height = h + rho * (std::sin(d.limb_angle_rad - q) - std::sin(d.limb_angle_rad));
    const double behind = brace_mm + rho * (std::cos(d.limb_angle_rad - q) - std::cos(d.limb_angle_rad));
    EXPECT_NEAR(draw, behind + std::sqrt(h * h - height * height), 1e-6) << draw;
    EXPECT_NEAR(s.take_off_radius_mm, 0, 1e-8);
    // Without preload the energy is K q² of both limbs, and a recurve's force never lets off.
    EXPECT_NEAR(bow.stored_j(s), stiffness_n_mm * q * q / 1000, 1e-9);
    EXPECT_GT(bow.force_slope_n_mm(s), 0);
  }
  EXPECT_FALSE(find_peak_and_valley(bow, 500));
}

TEST(DrawCycle, EndsWhereTheStringEnds) {
  const DrawCycle bow = default_bow();
  EXPECT_FALSE(bow.follow(1e5));
  EXPECT_FALSE(bow.follow(std::nan("")));
}

TEST(DrawCycle, RefusesCamsThatDoNotFitTheBow) {
  EXPECT_THROW(DrawCycle(30, brace_mm, BowDesign{}), Error);
  EXPECT_THROW(DrawCycle(std::nan(""), brace_mm, BowDesign{}), Error);
}

}  // namespace
}  // namespace peepwright
