// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/sizing.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "engine/quantity/error.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using testing::HasSubstr;
using unit::inch_mm;

CatalogueBow catalogue(double axle_in, double brace_in, double draw_in, double let_off) {
  CatalogueBow b;
  b.axle_to_axle_mm = axle_in * inch_mm;
  b.brace_height_mm = brace_in * inch_mm;
  b.draw_length_to_pivot_mm = (draw_in - 1.75) * inch_mm;
  b.peak_weight_n = 60 * unit::pound_force_n;
  b.let_off = let_off;
  return b;
}

std::string refusal(const CatalogueBow& bow, const BowDesign& design = {}) {
  return test::refusal([&] { size_to_catalogue(bow, design); });
}

// Another implementation of the same equations (design notes, draw cycle). Spread as it was given.
TEST(Sizing, AgreesWithAnIndependentImplementation) {
  BowDesign steep;  // that one's limbs
  steep.limb_angle_rad = 55 * unit::degree_rad;
  const SizedBow b = size_to_catalogue(catalogue(33, 6.75, 29.5, 0.75), steep);
  EXPECT_NEAR(b.full_draw.leg_angle_rad / unit::degree_rad, 41.6, 0.4);
  EXPECT_NEAR(b.closing_mm(), 93, 3);
  EXPECT_NEAR(b.set_back_mm(), 51, 2);
  EXPECT_NEAR(b.full_draw.turn_rad / unit::degree_rad, 205, 4);

  const struct {
    double axle, brace, draw, let_off, theta, closing;
  } cases[] = {{28, 6.25, 29.5, 0.80, 36.7, 106},
               {40, 7.5, 29.5, 0.70, 47.9, 78},
               {36, 7, 27, 0.75, 47.9, 0},
               {36, 7, 31, 0.75, 42.4, 0}};
  for (const auto& c : cases) {
    const SizedBow s = size_to_catalogue(catalogue(c.axle, c.brace, c.draw, c.let_off), steep);
    EXPECT_NEAR(s.full_draw.leg_angle_rad / unit::degree_rad, c.theta, 0.4) << c.axle << " " << c.draw;
    if (c.closing > 0) {
      EXPECT_NEAR(s.closing_mm(), c.closing, 3) << c.axle;
    }
  }
}

TEST(Sizing, MeetsEveryCatalogueNumber) {
  for (const double axle : {28.0, 33.0, 40.0})
    for (const double draw : {26.0, 28.0, 30.0})
      // Published let-off: 65 to 80 % common, above 90 % seen.
      for (const double let_off : {0.65, 0.75, 0.80, 0.9, 0.95}) {
        const CatalogueBow wanted = catalogue(axle, 6.75, draw, let_off);
        const SizedBow b = size_to_catalogue(wanted);
        EXPECT_NEAR(b.full_draw.draw_mm, wanted.draw_length_to_pivot_mm, 1e-6);
        EXPECT_NEAR(b.cycle.force_n(b.peak), wanted.peak_weight_n, 1e-9);
        EXPECT_NEAR(1 - b.holding_n() / wanted.peak_weight_n, let_off, 1e-8);
        EXPECT_NEAR(b.cycle.force_slope_n_mm(b.full_draw), 0, 1e-6);
        EXPECT_LT(b.full_draw.turn_rad, 2 * std::numbers::pi);
        EXPECT_GT(b.full_draw.cable_arm_mm, 0);
        // A true valley: the force is higher on both sides of it.
        for (const double step : {-5.0, 5.0}) {
          const auto beside = b.cycle.solve(b.full_draw.draw_mm + step, b.full_draw);
          ASSERT_TRUE(beside);
          EXPECT_GT(b.cycle.force_n(*beside), b.holding_n());
        }
      }
}

TEST(Sizing, FirstValleyIsTheOneThatIsFound) {
  const SizedBow b = size_to_catalogue(catalogue(33, 6.75, 29.5, 0.75));
  // From rest the force rises to one peak, then falls all the way to full draw.
  double before = 0;
  bool falling = false;
  DrawState s = b.rest;
  for (double draw = b.rest.draw_mm + 1; draw < b.full_draw.draw_mm; draw += 1) {
    s = b.cycle.solve(draw, s).value();
    const double force = b.cycle.force_n(s);
    if (force < before) falling = true;
    if (falling) {
      EXPECT_LT(force, before) << draw;
    }
    before = force;
  }
  EXPECT_TRUE(falling);
}

TEST(Sizing, ShorterBowGivesASharperString) {  // common practice, no source
  double before = 0;
  for (const double axle : {28.0, 30.0, 33.0, 36.0, 40.0}) {
    const double theta = size_to_catalogue(catalogue(axle, 6.75, 29, 0.8)).full_draw.leg_angle_rad;
    EXPECT_GT(theta, before);
    before = theta;
  }
}

TEST(Sizing, RefusesABowThatCannotBeAndSaysWhatCan) {
  const std::string text = refusal(catalogue(24, 6.75, 32, 0.75));
  EXPECT_THAT(text, HasSubstr("draws 768.3 mm"));
  EXPECT_THAT(text, HasSubstr("reach"));
  // The range named can really be had: 20 mm inside its end a bow is found, 5 mm beyond it none.
  const auto at = text.find(" to ", text.find("reach"));
  ASSERT_NE(at, std::string::npos);
  const double longest = std::stod(text.substr(at + 4));
  CatalogueBow bow = catalogue(24, 6.75, 32, 0.75);
  bow.draw_length_to_pivot_mm = longest - 20;
  EXPECT_EQ(refusal(bow), "accepted");
  bow.draw_length_to_pivot_mm = longest + 5;
  EXPECT_NE(refusal(bow), "accepted");
}

TEST(Sizing, RefusesNumbersNoBowHas) {
  const double nan = std::nan("");
  const double inf = std::numeric_limits<double>::infinity();
  for (const double bad : {0.0, -1.0, nan, inf}) {
    EXPECT_THAT(refusal(catalogue(bad, 6.75, 29, 0.75)), HasSubstr("axle_to_axle"));
    EXPECT_THAT(refusal(catalogue(33, bad, 29, 0.75)), HasSubstr("brace_height"));
    EXPECT_THAT(refusal(catalogue(33, 6.75, bad, 0.75)), HasSubstr("draw_length"));
    CatalogueBow bow = catalogue(33, 6.75, 29, 0.75);
    bow.peak_weight_n = bad;
    EXPECT_THAT(refusal(bow), HasSubstr("peak_weight"));
  }
  for (const double bad : {0.0, -0.1, 1.0, 75.0, nan})
    EXPECT_THAT(refusal(catalogue(33, 6.75, 29, bad)), HasSubstr("let_off"));
  for (const double axle : {1.0, 3.0, 8.0, 1e4, 1e9}) EXPECT_NE(refusal(catalogue(axle, 6.75, 29, 0.75)), "accepted");
  for (const double draw : {8.6, 9.0, 60.0, 1e6}) EXPECT_NE(refusal(catalogue(33, 6.75, draw, 0.75)), "accepted");
  for (const double let_off : {0.01, 0.9999}) EXPECT_NE(refusal(catalogue(33, 6.75, 29, let_off)), "");
}

TEST(Sizing, RefusesPartsThatCannotBe) {
  const CatalogueBow bow = catalogue(33, 6.75, 29, 0.75);
  BowDesign d;
  d.string_track.eccentricity_mm = 50;
  EXPECT_THAT(refusal(bow, d), HasSubstr("string track eccentricity"));
  d = {};
  d.limb_length_mm = std::nan("");
  EXPECT_THAT(refusal(bow, d), HasSubstr("limb length"));
  d = {};
  d.cable_track.angle_rad = std::nan("");
  EXPECT_THAT(refusal(bow, d), HasSubstr("cable track angle"));
  for (double a = -180; a < 180; a += 15)  // any cam angles: sized or refused in words, never a hang or a crash
    for (double b = -180; b < 180; b += 45) {
      d = {};
      d.string_track.angle_rad = a * unit::degree_rad;
      d.cable_track.angle_rad = b * unit::degree_rad;
      EXPECT_NE(refusal(bow, d), "");
    }
}

}  // namespace
}  // namespace peepwright
