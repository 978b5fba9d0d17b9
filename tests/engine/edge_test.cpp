// SPDX-License-Identifier: GPL-3.0-or-later
// Whatever the accepted inputs: an answer of finite numbers that keeps the model's laws, or one clear refusal.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"
#include "tests/engine/between.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::between;
using test::shop_man;

/// True if the spec was solved; false if it was refused as input. Anything else fails the test.
bool keeps_the_laws(const Spec& spec) {
  Fit fit;
  try {
    check_spec(spec);
    fit = solve_fit(spec);
  } catch (const Error& e) {
    EXPECT_EQ(e.code(), ErrorCode::input) << e.what();
    EXPECT_GT(std::string(e.what()).size(), 20U);
    return false;
  }
  const CoreFit& core = fit.core;
  const double bend = core.legs.bend_mm;
  EXPECT_NEAR(core.peep_height_mm, bend + (core.posture.along_string_mm - bend) * std::sin(core.legs.upper_rad), 1e-9);
  EXPECT_GT(core.mark_mm, 0);
  EXPECT_LT(core.mark_mm, 600);
  for (const double number :
       {core.eye_to_peep_mm, core.line_down_rad, fit.eye_travel_mm, fit.framing_bore_mm, fit.bore.open_height_mm,
        fit.reach.longest_m, fit.aim_error_mm, core.posture.along_string_sd_mm})
    EXPECT_TRUE(std::isfinite(number));
  for (const Clearance& c : fit.clearances) EXPECT_TRUE(std::isfinite(c.distance_mm)) << c.name;
  const SightGeometry geometry = geometry_of(spec, core.peep);
  const Shot shot = shot_of(spec, core.drag_coefficient);
  for (const MarkRow& row : fit.marks) {
    // Re-flown, the mark hits: the path passes the line of sight at the distance.
    const double launch = row.mark.launch_rad;
    const auto hit = fly(shot, launch, row.mark.distance_m);
    EXPECT_TRUE(hit);
    if (!hit) continue;
    const double line =
        (geometry.peep_z_mm - (geometry.start_x_mm - geometry.peep_x_mm) * std::tan(launch)) * std::cos(launch);
    EXPECT_NEAR(hit->offset_m * 1000, line, 1e-3);
  }
  return true;
}

TEST(Edges, EveryKeyAtBothEndsOfItsRange) {
  int solved = 0, refused = 0;
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    for (const double edge : {row.least, row.most}) {
      Spec spec = shop_man();
      spec.give(row.key, edge);
      (keeps_the_laws(spec) ? solved : refused) += 1;
    }
  }
  EXPECT_GT(solved, 90);
  EXPECT_GT(refused, 5);
}

TEST(Edges, BudgetOfAnExtremeButPossibleBowIsFinite) {
  Spec spec = shop_man();
  spec.give(Key::bow_axle_to_axle, Length::in(24).mm());
  spec.give(Key::face_percentile, 99);
  const CoreFit fit = solve_core(spec);
  const Budget budget = mark_budget(spec, fit);
  EXPECT_TRUE(std::isfinite(budget.combined_mm));
  EXPECT_GT(budget.combined_mm, 1);
}

RC_GTEST_PROP(Properties, RandomSpecsAreSolvedOrRefused, ()) {
  Spec spec = shop_man();
  spec.build = *rc::gen::element(Build::adult_male, Build::adult_female, Build::adult_mean);
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden || *rc::gen::inRange(0, 14) != 0) continue;
    spec.give(row.key, between(row.least, row.most));
  }
  RC_CLASSIFY(keeps_the_laws(spec));
  RC_ASSERT(!::testing::Test::HasFailure());
}

RC_GTEST_PROP(Properties, PlausibleBowsAndFacesAreAlwaysSolved, ()) {
  Spec spec;
  spec.build = *rc::gen::element(Build::adult_male, Build::adult_female);
  spec.give(Key::bow_axle_to_axle, Length::in(between(28, 40)).mm());
  spec.give(Key::bow_brace_height, Length::in(between(6, 8)).mm());
  spec.give(Key::bow_draw_length, Length::in(between(26, 31)).mm());
  spec.give(Key::face_percentile, between(1, 99));
  spec.give(Key::arrow_speed, between(65, 105));
  spec.give(Key::arrow_mass, between(0.019, 0.035));
  RC_ASSERT(keeps_the_laws(spec));
  RC_ASSERT(!::testing::Test::HasFailure());
  // A longer bow takes a lower mark, whatever the rest.
  const double mark = solve_core(spec).mark_mm;
  Spec longer = spec;
  longer.give(Key::bow_axle_to_axle, spec.value(Key::bow_axle_to_axle) + 25);
  RC_ASSERT(solve_core(longer).mark_mm < mark);
}

}  // namespace
}  // namespace peepwright
