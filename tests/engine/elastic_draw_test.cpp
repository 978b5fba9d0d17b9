// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "engine/bow/full_draw.hpp"
#include "engine/quantity/error.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using Eigen::Vector2d;
using unit::inch_mm;

CatalogueBow shop_bow(double nock_mm = 0) { return test::shop_bow(0.8, nock_mm); }

ElasticDraw elastic(const CatalogueBow& bow, const StringData& strings) {
  const SizedBow s = size_to_catalogue(bow);
  return {bow,     s.cycle.design(),        s.cycle.limb_stiffness_n_mm(),
          strings, s.full_draw.leg_free_mm, 2 * s.rest.axle_height_mm};
}

TEST(ElasticDraw, CentredAndWithoutStretchItIsTheSymmetricBow) {
  const SizedBow s = size_to_catalogue(shop_bow());
  const ElasticDraw bow = elastic(shop_bow(), inextensible());
  for (const double draw : {172.0, 250.0, 400.0, 550.0, 704.0}) {
    const DrawState a = s.cycle.follow(draw).value();
    const ElasticState b = bow.follow(draw).value();
    EXPECT_NEAR(b.force_n / s.cycle.force_n(a), 1, 1e-8) << draw;
    EXPECT_NEAR(b.upper.leg_angle_rad, a.leg_angle_rad, 1e-10);
    EXPECT_NEAR(b.lower.leg_angle_rad, a.leg_angle_rad, 1e-10);
    EXPECT_NEAR(b.upper.turn_rad, a.turn_rad, 1e-10);
    EXPECT_NEAR(b.stored_j, s.cycle.stored_j(a), 1e-8);
    EXPECT_NEAR(b.force_slope_n_mm, s.cycle.force_slope_n_mm(a), 1e-7);
    EXPECT_NEAR(b.upper.string_n, s.cycle.tensions(a).string_n, 1e-7);
    EXPECT_NEAR(b.upper.cable_n, s.cycle.tensions(a).cable_n, 1e-7);
    EXPECT_NEAR(b.nock_above_centre_mm, 0, 1e-9);
  }
}

// Virtual work against statics for the bow that is off centre and stretches: the work of the pull along the nocking
// point's path is the energy that limbs and strings gained.
TEST(ElasticDraw, WorkOfThePullIsTheEnergyStored) {
  for (const double nock : {0.0, 20.0})
    for (const bool stretches : {false, true}) {
      const ElasticDraw bow = elastic(shop_bow(nock), stretches ? StringData{} : inextensible());
      ElasticState s = bow.at_rest();
      double work = 0;
      const auto pull = [](const ElasticState& e) {
        return Vector2d(e.force_n * Vector2d(e.draw_mm, e.nock_above_centre_mm).normalized());
      };
      const double h = 0.5;  // Simpson's rule over steps of 1 mm
      while (s.draw_mm < 700) {
        const ElasticState m = bow.solve(s.draw_mm + h, s).value();
        const ElasticState e = bow.solve(s.draw_mm + 2 * h, m).value();
        // The path's direction is known at each end: d(nock)/d(draw) is one of the rates.
        const auto rate = [&](const ElasticState& x) { return pull(x).dot(Vector2d(1, x.rates[4])); };
        work += (rate(s) + 4 * rate(m) + rate(e)) * 2 * h / 6 / 1000;
        s = e;
      }
      EXPECT_NEAR(work / s.stored_j, 1, 1e-8) << nock << stretches;
    }
}

TEST(ElasticDraw, ForceSlopeIsTheDifferenceOfNeighbours) {
  const ElasticDraw bow = elastic(shop_bow(15), {});
  for (const double draw : {175.0, 300.0, 450.0, 690.0}) {
    const ElasticState s = bow.follow(draw).value();
    const double h = 0.01;
    const double slope = (bow.solve(draw + h, s).value().force_n - bow.solve(draw - h, s).value().force_n) / (2 * h);
    EXPECT_NEAR(s.force_slope_n_mm, slope, 1e-6) << draw;
  }
}

TEST(ElasticDraw, TheBowHangsBetweenTwoHands) {
  // What both legs pull at the nocking point runs through the grip pivot, wherever that is.
  for (const double pivot : {0.0, -30.0}) {
    CatalogueBow b = shop_bow(12);
    b.pivot_above_centre_mm = pivot;
    const ElasticDraw bow = elastic(b, {});
    for (const double draw : {200.0, 400.0, 700.0}) {
      const ElasticState s = bow.follow(draw).value();
      const double arrow = std::atan2(12 - s.nock_above_centre_mm, draw);
      const double up = s.upper.leg_angle_rad + arrow;
      const double down = s.lower.leg_angle_rad - arrow;
      const Vector2d pull(s.upper.string_n * std::cos(up) + s.lower.string_n * std::cos(down),
                          s.upper.string_n * std::sin(up) - s.lower.string_n * std::sin(down));
      EXPECT_NEAR(pull.norm(), s.force_n, 1e-8);
      EXPECT_NEAR(std::atan2(pull.y(), pull.x()), std::atan2(pivot - s.nock_above_centre_mm, draw), 1e-9);
    }
  }
}

TEST(ElasticDraw, NockAboveCentreMakesTheUpperLegFlatterAndMirrors) {
  // A nocking point above centre has the upper axle nearer in height: its leg lies closer to the arrow.
  const ElasticState above = elastic(shop_bow(15), {}).follow(700).value();
  const ElasticState below = elastic(shop_bow(-15), {}).follow(700).value();
  EXPECT_LT(above.upper.leg_angle_rad, above.lower.leg_angle_rad);
  EXPECT_NEAR(above.upper.leg_angle_rad, below.lower.leg_angle_rad, 1e-10);
  EXPECT_NEAR(above.nock_above_centre_mm, -below.nock_above_centre_mm, 1e-8);
  EXPECT_NEAR(above.force_n, below.force_n, 1e-8);
}

TEST(ElasticDraw, StartsFromItsRestExactly) {
  const ElasticDraw bow = elastic(shop_bow(10), {});
  const ElasticState s = bow.solve(bow.at_rest().draw_mm, bow.at_rest()).value();
  EXPECT_NEAR(s.force_n, 0, 1e-9);
  EXPECT_NEAR(s.upper.turn_rad, 0, 1e-12);
  EXPECT_NEAR(s.nock_above_centre_mm, 10, 1e-9);
}

TEST(ElasticDraw, EndsWhereTheStringEnds) {
  const ElasticDraw bow = elastic(shop_bow(), {});
  for (const double draw : {5e3, 1e300, -1.0, std::nan("")}) EXPECT_FALSE(bow.follow(draw)) << draw;
}

TEST(FullDraw, MeetsTheCatalogueWithStretchAndOffset) {
  for (const double nock : {0.0, 8.0, 25.0}) {
    const CatalogueBow b = shop_bow(nock);
    const FullDraw f = full_draw_from_catalogue(b);
    EXPECT_NEAR(f.full_draw.draw_mm, b.draw_length_to_pivot_mm, 1e-9);
    EXPECT_NEAR(f.full_draw.force_slope_n_mm, 0, 1e-5);
    EXPECT_NEAR(f.peak.force_n, b.peak_weight_n, 1e-6);
    EXPECT_NEAR(f.let_off(), b.let_off, 1e-5);
    EXPECT_NEAR(f.rest().upper.axle_from_centre_mm * 2, b.axle_to_axle_mm, 1e-9);
  }
}

// T = F / (cos θ_u + cos θ_l) for equal tensions; leg tension at full draw is far below that at rest, and the string
// is shorter for it.
TEST(FullDraw, StringIsLongerAtRestByTheChangeOfTension) {
  const FullDraw f = full_draw_from_catalogue(shop_bow());
  EXPECT_NEAR(f.full_draw.upper.string_n, f.holding_n() / (2 * std::cos(f.full_draw.upper.leg_angle_rad)), 1e-8);
  EXPECT_GT(f.rest().upper.string_n, 3 * f.full_draw.upper.string_n);
  const double stiffness = 24 * 176 * 67;  // strands · tex · N/tex
  EXPECT_NEAR(f.mark_change_mm(130), 130 * (f.rest().upper.string_n - f.full_draw.upper.string_n) / stiffness, 1e-12);
  EXPECT_GT(f.mark_change_mm(130), 0);
  EXPECT_LT(f.mark_change_mm(130), 0.5);
  EXPECT_EQ(full_draw_from_catalogue(shop_bow(), {}, inextensible()).mark_change_mm(130), 0);
}

TEST(FullDraw, StretchVanishesAsTheStringStiffens) {
  const double hard = full_draw_from_catalogue(shop_bow(), {}, inextensible()).full_draw.upper.leg_angle_rad;
  double before = 1;
  for (const double modulus : {20.0, 67.0, 670.0, 67000.0}) {
    StringData d;
    d.string.modulus_n_per_tex = d.cable.modulus_n_per_tex = modulus;
    const double miss = std::abs(full_draw_from_catalogue(shop_bow(), {}, d).full_draw.upper.leg_angle_rad - hard);
    EXPECT_LT(miss, before) << modulus;
    before = miss;
  }
  EXPECT_LT(before, 1e-6);
}

TEST(FullDraw, CurveRunsFromNothingAtBraceToTheHoldingWeight) {
  const FullDraw f = full_draw_from_catalogue(shop_bow(10));
  for (const int points : {2, 22, 500}) {
    const auto curve = f.curve(points);
    ASSERT_EQ(curve.size(), static_cast<std::size_t>(points));
    EXPECT_EQ(curve.front().force_n, 0);
    EXPECT_DOUBLE_EQ(curve.front().draw_mm, shop_bow().brace_height_mm);
    EXPECT_NEAR(curve.back().force_n, f.holding_n(), 1e-8);
    EXPECT_DOUBLE_EQ(curve.back().draw_mm, shop_bow().draw_length_to_pivot_mm);
  }
  EXPECT_THROW(f.curve(1), Error);
  // ASTM F1832: stored energy is the area under the curve. Trapezia over 500 points, nocking point on the mid-line so
  // that the draw is the pull's own path.
  const FullDraw centred = full_draw_from_catalogue(shop_bow());
  const auto curve = centred.curve(500);
  double area = 0;
  for (std::size_t i = 1; i < curve.size(); ++i)
    area += (curve[i].force_n + curve[i - 1].force_n) / 2 * (curve[i].draw_mm - curve[i - 1].draw_mm) / 1000;
  EXPECT_NEAR(area / centred.full_draw.stored_j, 1, 1e-5);
}

// Built bows let off 90 % and more (published), so a bow that would tip over between two hands is still solved.
TEST(FullDraw, HighLetOffTipsOverAndIsSolvedWithALevelNock) {
  BowDesign steep;  // short bows with flat limbs stay balanced
  steep.limb_angle_rad = 55 * unit::degree_rad;
  for (const double axle_in : {28.0, 33.0, 40.0}) {
    CatalogueBow b = shop_bow(8);
    b.axle_to_axle_mm = axle_in * inch_mm;
    b.let_off = 0.70;
    EXPECT_EQ(full_draw_from_catalogue(b, steep).nock_path, NockPath::balanced) << axle_in;
    b.let_off = 0.95;
    const FullDraw f = full_draw_from_catalogue(b, steep);
    EXPECT_EQ(f.nock_path, NockPath::level) << axle_in;
    EXPECT_NEAR(f.full_draw.nock_above_centre_mm, 8, 1e-9);
    EXPECT_NEAR(f.let_off(), 0.95, 1e-5);
    EXPECT_LT(f.full_draw.upper.leg_angle_rad, f.full_draw.lower.leg_angle_rad);
    // Level, the draw is the pull's own path: energy is the area under its curve.
    const auto curve = f.curve(500);
    double area = 0;
    for (std::size_t i = 1; i < curve.size(); ++i)
      area += (curve[i].force_n + curve[i - 1].force_n) / 2 * (curve[i].draw_mm - curve[i - 1].draw_mm) / 1000;
    EXPECT_NEAR(area / f.full_draw.stored_j, 1, 1e-5);
  }
}

// What "stable" means: pushing the nocking point off its balanced height costs energy. The same bow (same legs at rest)
// is solved balanced and held level; at one distance from the pivot the level one has more energy.
TEST(ElasticDraw, StableStatesAreLeastInEnergy) {
  const CatalogueBow b = shop_bow();
  const SizedBow s = size_to_catalogue(b);
  const double draw = 600;
  for (const double z : {-2.0, 2.0}) {
    CatalogueBow off = b;
    off.nock_above_centre_mm = z;
    const auto bow = [&](NockPath path) {
      return ElasticDraw(off, s.cycle.design(), s.cycle.limb_stiffness_n_mm(), {}, s.full_draw.leg_free_mm,
                         2 * s.rest.axle_height_mm, path);
    };
    const ElasticState free = bow(NockPath::balanced).follow(draw).value();
    const ElasticState level = bow(NockPath::level).follow(draw).value();
    EXPECT_TRUE(free.stable);
    EXPECT_GT(std::abs(free.nock_above_centre_mm - level.nock_above_centre_mm), 0.1);
    // Same distance to the pivot is what the hands fix: the level state is nearer, by (z_free² - z²) / (2 draw).
    const double longer = (free.nock_above_centre_mm * free.nock_above_centre_mm - z * z) / (2 * draw);
    EXPECT_GT(level.stored_j + level.force_n * longer / 1000, free.stored_j);
  }
}

TEST(FullDraw, AsBuiltRepeatsWhatSizingFound) {
  const FullDraw sized = full_draw_from_catalogue(shop_bow(10));
  const FullDraw built = full_draw_as_built(shop_bow(10), sized.design);
  EXPECT_NEAR(built.full_draw.upper.leg_angle_rad, sized.full_draw.upper.leg_angle_rad, 1e-6);
  EXPECT_NEAR(built.limb_stiffness_n_mm / sized.limb_stiffness_n_mm, 1, 1e-5);
  EXPECT_NEAR(built.let_off(), 0.8, 1e-4);
  // Short of the valley the same bow holds more.
  CatalogueBow shorter = shop_bow(10);
  shorter.draw_length_to_pivot_mm -= 40;
  EXPECT_LT(full_draw_as_built(shorter, sized.design).let_off(), 0.8);
  shorter.draw_length_to_pivot_mm = 3000;
  EXPECT_THROW(full_draw_as_built(shorter, sized.design), Error);
}

TEST(FullDraw, AsBuiltTakesABowWithoutAValley) {
  BowDesign round;  // concentric: the force only rises, and is highest at full draw
  round.string_track = {42, 0, 0};
  round.cable_track = {14, 0, 0};
  CatalogueBow b = shop_bow();
  b.draw_length_to_pivot_mm = 600;
  const FullDraw f = full_draw_as_built(b, round);
  EXPECT_NEAR(f.peak.force_n, b.peak_weight_n, 1e-6);
  EXPECT_NEAR(f.let_off(), 0, 1e-9);
}

TEST(FullDraw, RefusesWhatCannotBeInWords) {
  CatalogueBow b = shop_bow();
  b.nock_above_centre_mm = 400;
  EXPECT_THROW(full_draw_from_catalogue(b), Error);
  b.nock_above_centre_mm = std::nan("");
  EXPECT_THROW(full_draw_from_catalogue(b), Error);
  b = shop_bow(180);  // far off centre: solved or refused, nothing else
  try {
    EXPECT_TRUE(std::isfinite(full_draw_from_catalogue(b).full_draw.upper.leg_angle_rad));
  } catch (const Error& e) {
    EXPECT_THAT(e.what(), testing::HasSubstr("nock_above_centre"));
  }
}

}  // namespace
}  // namespace peepwright
