// SPDX-License-Identifier: GPL-3.0-or-later
// The speed of an arrow that nobody measured: what the bow stores says it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/bow/arrow_speed.hpp"
#include "tests/engine/draw_estimate_bows.hpp"

namespace peepwright {
namespace {

using enum Key;
using testing::HasSubstr;

/// A bow for a young archer: 25 lbf, 22 in of draw.
Spec youth_bow() {
  Spec spec;
  spec.give(bow_axle_to_axle, Length::in(28).mm());
  spec.give(bow_brace_height, Length::in(6).mm());
  spec.give(bow_draw_length, Length::in(22).mm());
  spec.give(bow_peak_weight, Force::lbf(25).n());
  spec.give(bow_let_off, 0.7);
  return spec;
}

// 82 m/s would be no arrow of a young archer's.
TEST(AssumedSpeed, IsThatOfTheStoredEnergy) {
  Spec usual = test::weighed_shop(), young = youth_bow();
  const double round_j = draw_cycle_of(young).full_draw.stored_j;
  const DrawEstimate estimate = use_draw_cycle(young);
  use_draw_cycle(usual);
  EXPECT_NEAR(usual.value(arrow_speed), 82, 1.5);
  EXPECT_EQ(young.value(arrow_speed), arrow_speed_m_s(stored_by_usual_cams * round_j, young.value(arrow_mass)));
  EXPECT_LT(young.value(arrow_speed), 48);
  EXPECT_EQ(young[arrow_speed].status, Status::assumed);
  EXPECT_THAT(std::string(young[arrow_speed].reason), HasSubstr("stored energy by the draw cycle"));
  ASSERT_TRUE(estimate.speed);
  EXPECT_EQ(estimate.speed->m_s, young.value(arrow_speed));
  EXPECT_EQ(estimate.speed->deviation_m_s, young[arrow_speed].uncertainty);
  // A lighter arrow is faster, and one that was weighed surer.
  Spec light = youth_bow();
  light.give(arrow_mass, 250 * unit::grain_kg);
  use_draw_cycle(light);
  EXPECT_GT(light.value(arrow_speed), 1.15 * young.value(arrow_speed));
  EXPECT_LT(light[arrow_speed].uncertainty / light.value(arrow_speed),
            young[arrow_speed].uncertainty / young.value(arrow_speed));
}

TEST(AssumedSpeed, IsAsUnsureAsTheBowIsUnknown) {
  const auto relative = [](Spec spec) {
    spec.give(arrow_mass, 0.0255);
    use_draw_cycle(spec);
    return spec[arrow_speed].uncertainty / spec.value(arrow_speed);
  };
  Spec unweighed = test::weighed_shop();
  unweighed.forget(bow_peak_weight);
  EXPECT_GE(relative(test::weighed_shop()), 0.08);
  EXPECT_LE(relative(test::weighed_shop()), 0.10);
  EXPECT_GT(relative(unweighed), 1.3 * relative(test::weighed_shop()));
  EXPECT_LT(relative(test::measured(1)), 0.5 * relative(test::weighed_shop()));
  Spec mine = test::weighed_shop();
  mine.set_uncertainty(arrow_speed, 2, true);
  use_draw_cycle(mine);
  EXPECT_EQ(mine[arrow_speed].uncertainty, 2);
}

// A table is the bow's own, and so is what it stores: nothing is added for cams that are not round.
TEST(AssumedSpeed, OfATableIsThatOfItsArea) {
  Spec spec = test::measured(0);
  double area_j = 0;
  for (std::size_t i = 1; i < spec.force_draw.size(); ++i) {
    const ForceReading &a = spec.force_draw[i - 1], &b = spec.force_draw[i];
    area_j += (a.force.n() + b.force.n()) / 2 * (b.draw.mm() - a.draw.mm()) / 1000;
  }
  use_draw_cycle(spec);
  EXPECT_NEAR(spec.value(arrow_speed) / arrow_speed_m_s(area_j, spec.value(arrow_mass)), 1, 0.01);
  EXPECT_THAT(std::string(spec[arrow_speed].reason), HasSubstr("draw-force table"));
  // A flat top, which no round cam has: the bow fitted to it stores what it does all the same.
  Spec flat = test::weighed_shop();
  flat.give(bow_axle_to_axle, Length::in(30).mm());
  flat.give(bow_brace_height, Length::in(6.5).mm());
  flat.give(bow_draw_length, Length::in(28).mm());
  double draw_in = 9, before = 0;
  area_j = Force::lbf(8).n() / 2 * Length::in(9 - 8.25).mm() / 1000;
  for (const double lbf : {8, 20, 33, 44, 52, 57, 60, 60, 60, 59, 58, 57, 55, 52, 47, 40, 31, 21, 14, 12}) {
    flat.force_draw.push_back({Length::in(draw_in++), Force::lbf(lbf), {}});
    if (before > 0) area_j += Force::lbf((before + lbf) / 2).n() * unit::inch_mm / 1000;
    before = lbf;
  }
  use_draw_cycle(flat);
  EXPECT_NEAR(flat.value(arrow_speed), arrow_speed_m_s(area_j, flat.value(arrow_mass)), flat[arrow_speed].uncertainty);
}

TEST(AssumedSpeed, OfGivenCamsIsThatOfTheirOwnEnergy) {
  Spec spec = test::with_cams();
  const double stored_j = draw_cycle_of(spec).full_draw.stored_j;
  use_draw_cycle(spec);
  EXPECT_EQ(spec.value(arrow_speed), arrow_speed_m_s(stored_j, spec.value(arrow_mass)));
}

TEST(AssumedSpeed, StandsBackBehindAMeasuredOne) {
  Spec spec = youth_bow();
  spec.give(arrow_speed, 60);
  const DrawEstimate estimate = use_draw_cycle(spec);
  EXPECT_EQ(spec.value(arrow_speed), 60);
  EXPECT_TRUE(spec.given(arrow_speed));
  EXPECT_LT(estimate.speed->m_s, 48);
}

TEST(AssumedSpeed, IsTheTablesWhereThereIsNoDrawCycle) {
  Spec spec = test::weighed_shop();
  spec.give(bow_draw_length, Length::in(36).mm());
  spec.give(bow_axle_to_axle, Length::in(20).mm());
  ASSERT_FALSE(use_draw_cycle(spec).bow);
  EXPECT_EQ(spec.value(arrow_speed), 82);
  EXPECT_EQ(spec[arrow_speed].uncertainty, 10);
}

// With and without the spread, so that drawings, sweeps and reports have one speed.
TEST(AssumedSpeed, HangsOnNoSpreadOfFamilies) {
  for (const Spec& bow : {test::weighed_shop(), youth_bow(), test::shop_spec()}) {
    Spec alone = bow, spread = bow;
    put(*draw_assumptions(bow, DrawDetail::angle_alone), alone);
    use_draw_cycle(spread);
    EXPECT_EQ(alone.value(arrow_speed), spread.value(arrow_speed));
    EXPECT_EQ(alone[arrow_speed].uncertainty, spread[arrow_speed].uncertainty);
  }
}

// A file may not say a speed so low; the bow has it all the same, and a faster arrow would clear the sight sooner.
TEST(AssumedSpeed, IsTheBowsWhateverAFileMaySay) {
  Spec slow = youth_bow(), fast = test::weighed_shop();
  slow.give(bow_peak_weight, 20);
  slow.give(arrow_mass, 0.08);
  fast.give(bow_peak_weight, 400);
  fast.give(arrow_mass, 0.008);
  for (Spec* spec : {&slow, &fast}) {
    const DrawEstimate estimate = use_draw_cycle(*spec);
    EXPECT_EQ(spec->value(arrow_speed), arrow_speed_m_s(estimate.stored->joules, spec->value(arrow_mass)));
  }
  EXPECT_LT(slow.value(arrow_speed), info_of(arrow_speed).least);
  EXPECT_GT(fast.value(arrow_speed), info_of(arrow_speed).most);
}

}  // namespace
}  // namespace peepwright
