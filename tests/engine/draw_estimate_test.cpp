// SPDX-License-Identifier: GPL-3.0-or-later
// From a spec to the bow's behaviour: every key of the bow counts, and a measured table beats the catalogue.
#include "engine/bow/draw_estimate.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "engine/bow/lateral_stiffness.hpp"
#include "engine/bow/string_legs.hpp"
#include "tests/engine/draw_estimate_bows.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using enum Key;
using testing::AllOf;
using testing::HasSubstr;
using testing::StartsWith;

// A leg beyond 24 to 68 deg, by each source: the message stands at the reading that it came from, and says which.
TEST(StringLegs, AnAngleThatCannotBeIsRefusedByWhereItCameFrom) {
  const auto said = [](const std::string& bow) {
    return test::refusal([&] { (void)string_legs(parse_spec({{"bow.toml", bow}})); });
  };
  // A nocking point far above the centre makes the upper leg flatter and the lower one steeper.
  const std::string draw = "bow.draw_length = \"29 1/2 in\"\n",
                    uneven = draw +
                             "bow.axle_to_axle = \"20 in\"\nbow.brace_height = \"6 3/4 in\"\n"
                             "bow.nock_above_centre = \"60 mm\"\n";
  EXPECT_THAT(said("bow.draw_length = \"36 in\"\nbow.axle_to_axle = \"20 in\"\nbow.brace_height = \"3 in\"\n"),
              AllOf(StartsWith("bow.toml:1:19: these numbers (from catalogue numbers and assumed axle travel)"),
                    HasSubstr("24 to 68 deg can be. Check bow.axle_to_axle, bow.brace_height and bow.draw_length")));
  EXPECT_THAT(
      said(draw + "bow.full_draw.axle_to_axle = \"54 in\"\nbow.full_draw.axle_set_back = \"450 mm\"\n"),
      AllOf(
          StartsWith("bow.toml:2:30: these numbers (from axle positions measured at full draw)"),
          HasSubstr("24 to 68 deg can be. Measure bow.full_draw.axle_to_axle and bow.full_draw.axle_set_back again")));
  EXPECT_THAT(said(uneven + "bow.full_draw.string_angle = \"56 deg\"\n"),
              AllOf(StartsWith("bow.toml:5:30: these numbers (read at full draw)"),
                    HasSubstr("Read bow.full_draw.string_angle again, and check bow.nock_above_centre")));
  EXPECT_THAT(said(uneven + "peep.tied.mark = \"130 mm\"\npeep.tied.height_full_draw = \"117 mm\"\n"),
              AllOf(StartsWith("bow.toml:6:30: these numbers (from the tied peep's mark"),
                    HasSubstr("Measure peep.tied.mark and peep.tied.height_full_draw again")));
}

TEST(DrawEstimate, EveryKeyOfLimbAndCamMovesTheLegAngle) {
  const double before = draw_cycle_of(test::with_cams()).full_draw.upper.leg_angle_rad;
  int tried = 0;
  for (const KeyInfo& row : all_keys()) {
    if (!row.path.starts_with("bow.limb.") && !row.path.starts_with("bow.cam.")) continue;
    Spec spec = test::with_cams();
    spec.nudge(row.key, row.dimension == Dimension::angle ? 2 * unit::degree_rad : 0.5);
    const double moved = draw_cycle_of(spec).full_draw.upper.leg_angle_rad - before;
    // With limbs and cams as they are, the preload changes forces, and by way of stretch alone the angle: least of all.
    EXPECT_GT(std::abs(moved), 1e-7) << row.path;
    ++tried;
  }
  EXPECT_EQ(tried, 9);
}

TEST(DrawEstimate, LimbKeysCountWithoutCamsToo) {
  const double before = draw_cycle_of(test::weighed_shop()).full_draw.upper.leg_angle_rad;
  for (const auto& [key, value] :
       {std::pair{limb_length, 360.0}, {limb_angle, 60 * unit::degree_rad}, {limb_preload, 20 * unit::degree_rad}}) {
    Spec spec = test::weighed_shop();
    spec.give(key, value);
    EXPECT_GT(std::abs(draw_cycle_of(spec).full_draw.upper.leg_angle_rad - before), 1e-4) << info_of(key).path;
    // The spread over families has one range less; the limb's length has little share in it.
    Spec plain = test::weighed_shop();
    EXPECT_LT(use_draw_cycle(spec).leg_deviation_rad, 1.01 * use_draw_cycle(plain).leg_deviation_rad)
        << info_of(key).path;
  }
}

// One that is measured leaves open what its own uncertainty does, and no more.
TEST(DrawEstimate, AMeasuredLimbAngleNarrowsTheSpread) {
  Spec open = test::weighed_shop(), flat = test::weighed_shop(), sure = test::weighed_shop(),
       poor = test::weighed_shop();
  for (Spec* spec : {&flat, &sure, &poor}) spec->give(limb_angle, 15 * unit::degree_rad);
  sure.set_uncertainty(limb_angle, 0, true);
  poor.set_uncertainty(limb_angle, 8 * unit::degree_rad, true);
  const double of_open = use_draw_cycle(open).leg_deviation_rad, of_flat = use_draw_cycle(flat).leg_deviation_rad,
               of_sure = use_draw_cycle(sure).leg_deviation_rad, of_poor = use_draw_cycle(poor).leg_deviation_rad;
  EXPECT_LT(of_flat, 0.8 * of_open);
  EXPECT_NE(of_sure, of_flat);
  EXPECT_GT(of_poor, 1.05 * of_sure);
  EXPECT_LT(of_poor, of_open);
}

TEST(DrawEstimate, LetOffSoftensTheStringSideways) {
  double before = 0;
  for (const double let_off : {0.60, 0.65, 0.75, 0.80, 0.85, 0.90}) {
    Spec spec = test::weighed_shop();
    spec.give(bow_let_off, let_off);
    const FullDraw bow = draw_cycle_of(spec);
    const double give = sideways_give(bow, 130).tail_by_nock_mm_n;
    EXPECT_GT(give, before) << let_off;
    before = give;
    // A hand that stays holds the string by its pull too, and less of it is left.
    EXPECT_LT(sideways_give(bow, 130, ReleaseHand::stays, 14).tail_by_nock_mm_n, give);
  }
}

TEST(ForceDrawTable, FindsTheBowBehindIt) {
  double truth = 0;
  for (const double noise : {0.0, 1.0, 2.0, 4.0}) {
    Spec spec = test::measured(noise, &truth);
    const DrawEstimate found = use_draw_cycle(spec);
    ASSERT_TRUE(found.bow);
    EXPECT_NEAR(found.bow->full_draw.upper.leg_angle_rad, truth, 2.5 * found.leg_deviation_rad) << noise;
    EXPECT_NEAR(found.bow->peak.force_n / Force::lbf(60).n(), 1, 0.02) << noise;
    ASSERT_TRUE(found.table_deviation_n);
    EXPECT_LT(*found.table_deviation_n, noise + 1.0);
    Spec plain = test::weighed_shop();
    EXPECT_LT(found.leg_deviation_rad, (noise < 1 ? 0.8 : 1.1) * use_draw_cycle(plain).leg_deviation_rad) << noise;
    EXPECT_EQ(spec[spread_leg_angle].uncertainty, found.leg_deviation_rad);
  }
}

TEST(ForceDrawTable, WorseReadingsAreLessSure) {
  Spec good = test::measured(1), bad = test::measured(6);
  EXPECT_GT(use_draw_cycle(bad).leg_deviation_rad, use_draw_cycle(good).leg_deviation_rad);
}

TEST(ForceDrawTable, IsAsSureAsAPersonSaysItsReadingsAre) {
  Spec plain = test::measured(1), poor = test::measured(1);
  poor.force_draw_uncertainty = Force::n(15);
  EXPECT_GT(use_draw_cycle(poor).leg_deviation_rad, 1.1 * use_draw_cycle(plain).leg_deviation_rad);
}

TEST(ForceDrawTable, IsNamedAsTheSource) {
  Spec spec = test::measured(1);
  use_draw_cycle(spec);
  const StringLegs legs = string_legs(spec);
  EXPECT_EQ(legs.source, LegSource::force_draw);
  EXPECT_THAT(std::string(text_of(legs.source)), HasSubstr("measured draw-force table"));
  EXPECT_EQ(name_of(legs.source), "force_draw");
  EXPECT_THAT(std::string(spec[assumed_axle_closing].reason), HasSubstr("bow.force_draw"));
}

TEST(ForceDrawTable, TellsPeakAndLetOffWhereNobodyGaveThem) {
  Spec spec = test::measured(0);
  spec.forget(bow_peak_weight);
  spec.forget(bow_let_off);
  use_draw_cycle(spec);
  EXPECT_EQ(spec[bow_peak_weight].status, Status::assumed);
  EXPECT_NEAR(spec.value(bow_peak_weight), Force::lbf(60).n(), 3);
  EXPECT_NEAR(spec.value(bow_let_off), 0.8, 0.02);
}

TEST(ForceDrawTable, AMeasuredLimbIsKept) {
  Spec spec = test::measured(1);
  spec.give(limb_angle, 62 * unit::degree_rad);
  Spec open = test::measured(1);
  const DrawEstimate kept = use_draw_cycle(spec), free = use_draw_cycle(open);
  EXPECT_EQ(kept.bow->design.limb_angle_rad, 62 * unit::degree_rad);
  EXPECT_LT(kept.leg_deviation_rad, free.leg_deviation_rad);
}

TEST(ForceDrawTable, OneThatFitsNoBowIsRefusedWithItsPlace) {
  Spec spec = test::measured(0);
  for (std::size_t i = 0; i < spec.force_draw.size(); ++i) spec.force_draw[i].force = Force::n(i % 2 == 0 ? 300 : 0);
  try {
    use_draw_cycle(spec);
    FAIL() << "accepted";
  } catch (const Error& e) {
    EXPECT_EQ(e.code(), ErrorCode::input);
    EXPECT_THAT(e.what(), HasSubstr("t.toml:3:1: bow.force_draw: "));
  }
}

/// A low brace and a long draw: fewer than half of the cam families make this bow, the usual one does.
TEST(DrawEstimate, AngleStandsWhereMostFamiliesMakeNoBow) {
  Spec alone, spread;
  for (Spec* spec : {&alone, &spread}) {
    spec->give(Key::bow_axle_to_axle, Length::in(33).mm());
    spec->give(Key::bow_brace_height, Length::in(5).mm());
    spec->give(Key::bow_draw_length, Length::in(32).mm());
    spec->give(Key::bow_let_off, 0.85);
  }
  const auto assumptions = draw_assumptions(alone, DrawDetail::angle_alone);
  ASSERT_TRUE(assumptions);
  EXPECT_EQ(assumptions->leg_deviation_rad, 0);
  put(*assumptions, alone);
  const DrawEstimate estimate = use_draw_cycle(spread);
  ASSERT_TRUE(estimate.bow) << estimate.refusal;
  EXPECT_NEAR(degrees(estimate.leg_deviation_rad), 3, 1e-9);
  // The middle limb leaves these cams no room, a steep one does. One that is given is kept, and then nothing is drawn.
  EXPECT_NEAR(degrees(estimate.bow->design.limb_angle_rad), 60, 1e-9);
  Spec middle = spread;
  middle.give(Key::limb_angle, BowDesign{}.limb_angle_rad);
  EXPECT_FALSE(use_draw_cycle(middle).bow);
  EXPECT_EQ(string_legs(alone).upper_rad, string_legs(spread).upper_rad);
}

// Cams leave the limb open, as long as nobody measures it.
TEST(DrawEstimate, GivenCamsOnLimbsOfNobodyKnowsWhatAngleAreLessSure) {
  Spec known = test::with_cams(), open = test::with_cams();
  open.forget(limb_angle);
  const double of_known = use_draw_cycle(known).leg_deviation_rad, of_open = use_draw_cycle(open).leg_deviation_rad;
  EXPECT_GT(of_open, 1.4 * of_known);
  for (const double limb_deg : {25.0, 50.0}) {
    Spec other = test::with_cams();
    other.give(limb_angle, limb_deg * unit::degree_rad);
    EXPECT_NEAR(draw_cycle_of(other).full_draw.upper.leg_angle_rad, draw_cycle_of(open).full_draw.upper.leg_angle_rad,
                2 * of_open)
        << limb_deg;
  }
}

/// What tells one bow of a sweep from another: all that the draw cycle reads, and nothing that it does not.
// A nocking point off the middle draws one half farther than the other: the fit's legs are the draw cycle's own, and a
// nocking point as far below the middle is the bow's mirror image.
TEST(DrawEstimate, EachLegIsItsOwnHalfs) {
  for (const bool cams : {false, true})
    for (const double above_mm : {0.0, 5.0, 12.0, 40.0}) {
      SCOPED_TRACE(testing::Message() << cams << ' ' << above_mm);
      std::array<StringLegs, 2> legs;
      for (const bool below : {false, true}) {
        Spec spec = cams ? test::with_cams() : test::weighed_shop();
        spec.give(bow_nock_above_centre, below ? -above_mm : above_mm);
        const DrawEstimate estimate = use_draw_cycle(spec);
        ASSERT_TRUE(estimate.bow) << estimate.refusal;
        legs[below] = string_legs(spec);
        EXPECT_EQ(legs[below].source, LegSource::draw_cycle);
        EXPECT_NEAR(legs[below].upper_rad, estimate.bow->full_draw.upper.leg_angle_rad, 1e-9);
        EXPECT_NEAR(legs[below].lower_rad, estimate.bow->full_draw.lower.leg_angle_rad, 1e-9);
      }
      EXPECT_NEAR(legs[0].upper_rad, legs[1].lower_rad, 1e-7);
      EXPECT_NEAR(legs[0].lower_rad, legs[1].upper_rad, 1e-7);
    }
}

TEST(DrawEstimate, InputsTellBowsApart) {
  const Spec bow = test::shop_spec();
  for (const Key key :
       {Key::bow_axle_to_axle, Key::bow_brace_height, Key::bow_draw_length, Key::bow_peak_weight, Key::bow_let_off,
        Key::bow_nock_above_centre, Key::string_strands, Key::limb_length, Key::limb_angle, Key::limb_preload}) {
    Spec other = bow;
    other.give(key, info_of(key).least + 0.4 * (info_of(key).most - info_of(key).least));
    EXPECT_NE(draw_inputs(other), draw_inputs(bow)) << info_of(key).path;
  }
  Spec other_sight = bow;
  other_sight.give(Key::sight_extension, 200);
  other_sight.give(Key::arrow_mass, 0.03);  // the speed is worked out for each arrow
  EXPECT_EQ(draw_inputs(other_sight), draw_inputs(bow));
}

}  // namespace
}  // namespace peepwright
