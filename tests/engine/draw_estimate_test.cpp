// SPDX-License-Identifier: GPL-3.0-or-later
// From a spec to the bow's behaviour: every key of the bow counts, and a measured table beats the catalogue.
#include "engine/bow/draw_estimate.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "engine/bow/lateral_stiffness.hpp"
#include "engine/bow/string_legs.hpp"
#include "tests/shared/refusal.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using enum Key;
using testing::AllOf;
using testing::HasSubstr;
using testing::StartsWith;

Spec shop_bow() {
  Spec spec = test::shop_spec();
  spec.give(bow_peak_weight, Force::lbf(60).n());
  spec.give(bow_let_off, 0.8);
  return spec;
}

Spec with_cams() {
  Spec spec = shop_bow();
  const BowDesign own = draw_cycle_of(spec).design;
  spec.give(cam_string_radius, own.string_track.radius_mm);
  spec.give(cam_string_eccentricity, own.string_track.eccentricity_mm);
  spec.give(cam_string_angle, own.string_track.angle_rad);
  spec.give(cam_cable_radius, own.cable_track.radius_mm);
  spec.give(cam_cable_eccentricity, own.cable_track.eccentricity_mm);
  spec.give(cam_cable_angle, own.cable_track.angle_rad);
  spec.give(limb_length, own.limb_length_mm);
  spec.give(limb_angle, own.limb_angle_rad);
  spec.give(limb_preload, own.limb_preload_rad);
  return spec;
}

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
  const double before = draw_cycle_of(with_cams()).full_draw.upper.leg_angle_rad;
  int tried = 0;
  for (const KeyInfo& row : all_keys()) {
    if (!row.path.starts_with("bow.limb.") && !row.path.starts_with("bow.cam.")) continue;
    Spec spec = with_cams();
    spec.nudge(row.key, row.dimension == Dimension::angle ? 2 * unit::degree_rad : 0.5);
    const double moved = draw_cycle_of(spec).full_draw.upper.leg_angle_rad - before;
    // With limbs and cams as they are, the preload changes forces, and by way of stretch alone the angle: least of all.
    EXPECT_GT(std::abs(moved), 1e-7) << row.path;
    ++tried;
  }
  EXPECT_EQ(tried, 9);
}

TEST(DrawEstimate, LimbKeysCountWithoutCamsToo) {
  const double before = draw_cycle_of(shop_bow()).full_draw.upper.leg_angle_rad;
  for (const auto& [key, value] :
       {std::pair{limb_length, 360.0}, {limb_angle, 60 * unit::degree_rad}, {limb_preload, 20 * unit::degree_rad}}) {
    Spec spec = shop_bow();
    spec.give(key, value);
    EXPECT_GT(std::abs(draw_cycle_of(spec).full_draw.upper.leg_angle_rad - before), 1e-4) << info_of(key).path;
    // The spread over families has one range less; the limb's length has little share in it.
    Spec plain = shop_bow();
    EXPECT_LT(use_draw_cycle(spec).leg_deviation_rad, 1.01 * use_draw_cycle(plain).leg_deviation_rad)
        << info_of(key).path;
  }
}

// One that is measured leaves open what its own uncertainty does, and no more.
TEST(DrawEstimate, AMeasuredLimbAngleNarrowsTheSpread) {
  Spec open = shop_bow(), flat = shop_bow(), sure = shop_bow(), poor = shop_bow();
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
    Spec spec = shop_bow();
    spec.give(bow_let_off, let_off);
    const FullDraw bow = draw_cycle_of(spec);
    const double give = sideways_give(bow, 130).tail_by_nock_mm_n;
    EXPECT_GT(give, before) << let_off;
    before = give;
    // A hand that stays holds the string by its pull too, and less of it is left.
    EXPECT_LT(sideways_give(bow, 130, ReleaseHand::stays, 14).tail_by_nock_mm_n, give);
  }
}

/// Readings every inch of a bow that is not the default design. The noise is a wave along the draw, `noise_n` root mean
/// square: worse than chance, as cams that are not round are.
Spec measured(double noise_n, double* leg_rad = nullptr) {
  Spec hidden = shop_bow();
  hidden.give(limb_angle, 62 * unit::degree_rad);
  hidden.give(limb_length, 300);
  hidden.give(limb_preload, 38 * unit::degree_rad);
  const FullDraw bow = draw_cycle_of(hidden);
  if (leg_rad) *leg_rad = bow.full_draw.upper.leg_angle_rad;
  std::vector<double> draws;
  for (double in = 7; in < 27.75; ++in) draws.push_back(Length::in(in).mm());
  draws.push_back(Length::in(27.75).mm());
  Spec spec = shop_bow();
  int k = 0;
  for (const ElasticState& s : bow.states(draws)) {
    const double noise = noise_n * std::sqrt(2.0) * std::sin(7.0 * ++k);
    spec.force_draw.push_back(
        {spec.from_pivot(Length::mm(s.draw_mm)), Force::n(std::max(0.0, s.force_n + noise)), {"t.toml", 3, 1}});
  }
  return spec;
}

TEST(ForceDrawTable, FindsTheBowBehindIt) {
  double truth = 0;
  for (const double noise : {0.0, 1.0, 2.0, 4.0}) {
    Spec spec = measured(noise, &truth);
    const DrawEstimate found = use_draw_cycle(spec);
    ASSERT_TRUE(found.bow);
    EXPECT_NEAR(found.bow->full_draw.upper.leg_angle_rad, truth, 2.5 * found.leg_deviation_rad) << noise;
    EXPECT_NEAR(found.bow->peak.force_n / Force::lbf(60).n(), 1, 0.02) << noise;
    ASSERT_TRUE(found.table_deviation_n);
    EXPECT_LT(*found.table_deviation_n, noise + 1.0);
    Spec plain = shop_bow();
    EXPECT_LT(found.leg_deviation_rad, (noise < 1 ? 0.8 : 1.1) * use_draw_cycle(plain).leg_deviation_rad) << noise;
    EXPECT_EQ(spec[spread_leg_angle].uncertainty, found.leg_deviation_rad);
  }
}

TEST(ForceDrawTable, WorseReadingsAreLessSure) {
  Spec good = measured(1), bad = measured(6);
  EXPECT_GT(use_draw_cycle(bad).leg_deviation_rad, use_draw_cycle(good).leg_deviation_rad);
}

TEST(ForceDrawTable, IsAsSureAsAPersonSaysItsReadingsAre) {
  Spec plain = measured(1), poor = measured(1);
  poor.force_draw_uncertainty = Force::n(15);
  EXPECT_GT(use_draw_cycle(poor).leg_deviation_rad, 1.1 * use_draw_cycle(plain).leg_deviation_rad);
}

TEST(ForceDrawTable, IsNamedAsTheSource) {
  Spec spec = measured(1);
  use_draw_cycle(spec);
  const StringLegs legs = string_legs(spec);
  EXPECT_EQ(legs.source, LegSource::force_draw);
  EXPECT_THAT(std::string(text_of(legs.source)), HasSubstr("measured draw-force table"));
  EXPECT_EQ(name_of(legs.source), "force_draw");
  EXPECT_THAT(std::string(spec[assumed_axle_closing].reason), HasSubstr("bow.force_draw"));
}

TEST(ForceDrawTable, TellsPeakAndLetOffWhereNobodyGaveThem) {
  Spec spec = measured(0);
  spec.forget(bow_peak_weight);
  spec.forget(bow_let_off);
  use_draw_cycle(spec);
  EXPECT_EQ(spec[bow_peak_weight].status, Status::assumed);
  EXPECT_NEAR(spec.value(bow_peak_weight), Force::lbf(60).n(), 3);
  EXPECT_NEAR(spec.value(bow_let_off), 0.8, 0.02);
}

TEST(ForceDrawTable, AMeasuredLimbIsKept) {
  Spec spec = measured(1);
  spec.give(limb_angle, 62 * unit::degree_rad);
  Spec open = measured(1);
  const DrawEstimate kept = use_draw_cycle(spec), free = use_draw_cycle(open);
  EXPECT_EQ(kept.bow->design.limb_angle_rad, 62 * unit::degree_rad);
  EXPECT_LT(kept.leg_deviation_rad, free.leg_deviation_rad);
}

TEST(ForceDrawTable, OneThatFitsNoBowIsRefusedWithItsPlace) {
  Spec spec = measured(0);
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
  Spec usual = shop_bow(), young = youth_bow();
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
  Spec unweighed = shop_bow();
  unweighed.forget(bow_peak_weight);
  EXPECT_GE(relative(shop_bow()), 0.08);
  EXPECT_LE(relative(shop_bow()), 0.10);
  EXPECT_GT(relative(unweighed), 1.3 * relative(shop_bow()));
  EXPECT_LT(relative(measured(1)), 0.5 * relative(shop_bow()));
  Spec mine = shop_bow();
  mine.set_uncertainty(arrow_speed, 2, true);
  use_draw_cycle(mine);
  EXPECT_EQ(mine[arrow_speed].uncertainty, 2);
}

// A table is the bow's own, and so is what it stores: nothing is added for cams that are not round.
TEST(AssumedSpeed, OfATableIsThatOfItsArea) {
  Spec spec = measured(0);
  double area_j = 0;
  for (std::size_t i = 1; i < spec.force_draw.size(); ++i) {
    const ForceReading &a = spec.force_draw[i - 1], &b = spec.force_draw[i];
    area_j += (a.force.n() + b.force.n()) / 2 * (b.draw.mm() - a.draw.mm()) / 1000;
  }
  use_draw_cycle(spec);
  EXPECT_NEAR(spec.value(arrow_speed) / arrow_speed_m_s(area_j, spec.value(arrow_mass)), 1, 0.01);
  EXPECT_THAT(std::string(spec[arrow_speed].reason), HasSubstr("draw-force table"));
  // A flat top, which no round cam has: the bow fitted to it stores what it does all the same.
  Spec flat = shop_bow();
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

// Cams leave the limb open, as long as nobody measures it.
TEST(DrawEstimate, GivenCamsOnLimbsOfNobodyKnowsWhatAngleAreLessSure) {
  Spec known = with_cams(), open = with_cams();
  open.forget(limb_angle);
  const double of_known = use_draw_cycle(known).leg_deviation_rad, of_open = use_draw_cycle(open).leg_deviation_rad;
  EXPECT_GT(of_open, 1.4 * of_known);
  for (const double limb_deg : {25.0, 50.0}) {
    Spec other = with_cams();
    other.give(limb_angle, limb_deg * unit::degree_rad);
    EXPECT_NEAR(draw_cycle_of(other).full_draw.upper.leg_angle_rad, draw_cycle_of(open).full_draw.upper.leg_angle_rad,
                2 * of_open)
        << limb_deg;
  }
}

TEST(AssumedSpeed, OfGivenCamsIsThatOfTheirOwnEnergy) {
  Spec spec = with_cams();
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
  Spec spec = shop_bow();
  spec.give(bow_draw_length, Length::in(36).mm());
  spec.give(bow_axle_to_axle, Length::in(20).mm());
  ASSERT_FALSE(use_draw_cycle(spec).bow);
  EXPECT_EQ(spec.value(arrow_speed), 82);
  EXPECT_EQ(spec[arrow_speed].uncertainty, 10);
}

// With and without the spread, so that drawings, sweeps and reports have one speed.
TEST(AssumedSpeed, HangsOnNoSpreadOfFamilies) {
  for (const Spec& bow : {shop_bow(), youth_bow(), test::shop_spec()}) {
    Spec alone = bow, spread = bow;
    put(*draw_assumptions(bow, DrawDetail::angle_alone), alone);
    use_draw_cycle(spread);
    EXPECT_EQ(alone.value(arrow_speed), spread.value(arrow_speed));
    EXPECT_EQ(alone[arrow_speed].uncertainty, spread[arrow_speed].uncertainty);
  }
}

TEST(AssumedSpeed, StaysWithinWhatTheKeyAccepts) {
  Spec spec = youth_bow();
  spec.give(bow_peak_weight, 20);
  spec.give(arrow_mass, 0.08);
  use_draw_cycle(spec);
  EXPECT_EQ(spec.value(arrow_speed), info_of(arrow_speed).least);
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
        Spec spec = cams ? with_cams() : shop_bow();
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
