// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/fit.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "engine/fit/budget.hpp"
#include "tests/shared/refusal.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::bend;
using test::height_at;
using test::shop_man;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::ThrowsMessage;

TEST(Fit, PeepHeightIsAlongTimesSinePastTheKnots) {
  const CoreFit fit = solve_core(shop_man());
  EXPECT_NEAR(fit.peep_height_mm, height_at(fit.posture.along_string_mm, fit.legs.upper_rad), 1e-9);
  EXPECT_NEAR(fit.mark_mm, fit.posture.along_string_mm - 3.5, 1e-9);
}

TEST(Fit, EyeStandsOnTheLineThroughPinAndPeep) {
  const Spec spec = shop_man();
  const CoreFit fit = solve_core(spec);
  const SightGeometry geometry = geometry_of(spec, fit.peep);
  const double pin = pin_height_mm(geometry, fit.line_down_rad);
  const double slope = (fit.peep.z - pin) / (fit.peep.x - geometry.pin_x_mm);
  EXPECT_NEAR(fit.posture.pupil.z, fit.peep.z + slope * (fit.posture.pupil.x - fit.peep.x), 0.05);
}

TEST(Fit, LeftHandedIsTheMirrorImage) {
  Spec left = shop_man();
  left.hand = Hand::left;
  const Fit r = solve_fit(shop_man()), l = solve_fit(left);
  EXPECT_EQ(r.core.mark_mm, l.core.mark_mm);
  EXPECT_EQ(r.core.posture.yaw_rad, l.core.posture.yaw_rad);
  const Point3 mouth = r.core.posture.to_bow(r.core.face, mirrored(r.core.face.at(Landmark::cheilion)));
  EXPECT_EQ(as_archer_stands(left, mouth).y, -as_archer_stands(shop_man(), mouth).y);
  EXPECT_NE(mouth.y, 0);
}

TEST(Fit, AMeasuredEyeHeightIsKept) {
  for (const double eye : {75.0, 90.0, 105.0}) {
    Spec spec = shop_man();
    spec.give(Key::face_eye_to_arrow, eye);
    EXPECT_NEAR(solve_core(spec).posture.pupil.z, eye, 1.0);
  }
}

TEST(Fit, SourcesGoBestFirst) {
  Spec spec = shop_man();
  EXPECT_EQ(solve_core(spec).legs.source, LegSource::assumed_travel);
  spec.give(Key::full_draw_axle_to_axle, Length::in(29.5).mm());
  spec.give(Key::full_draw_axle_set_back, 195);
  EXPECT_EQ(solve_core(spec).legs.source, LegSource::axle_positions);
  spec.give(Key::tied_mark, 150);
  spec.give(Key::tied_height_full_draw, 98);
  EXPECT_EQ(solve_core(spec).legs.source, LegSource::tied_peep);
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  EXPECT_EQ(solve_core(spec).legs.source, LegSource::string_angle);
  EXPECT_NEAR(solve_core(spec).legs.upper_rad, 40 * unit::degree_rad, 1e-12);
}

// Limbs bend inward by a tenth of what the axles are apart or so: a reading of 125 deg would have them far outside.
TEST(Fit, AnAngleThatNoBowOfThisLengthMakesIsRefused) {
  Spec spec = shop_man();
  const auto said = [&] { return test::refusal([&] { solve_core(spec); }); };
  for (const double angle_deg : {70.0, 80.0, 90.0}) {
    spec.give(Key::full_draw_string_angle, angle_deg * unit::degree_rad);
    EXPECT_EQ(said(), "accepted") << angle_deg;
  }
  spec.give(Key::full_draw_string_angle, 125 * unit::degree_rad);
  EXPECT_THAT(said(), AllOf(HasSubstr("farther apart at full draw than the 838.2 mm (33 in) of bow.axle_to_axle"),
                            HasSubstr("Read bow.full_draw.string_angle again")));
  spec.give(Key::full_draw_string_angle, 58 * unit::degree_rad);
  EXPECT_THAT(said(), HasSubstr("nearer together at full draw"));
  // What the axles were measured to do says more than what limbs usually do; that the two disagree is a note's matter.
  spec.give(Key::full_draw_axle_to_axle, 740);
  EXPECT_EQ(said(), "accepted");
  spec = shop_man();
  spec.give(Key::tied_mark, 100);
  spec.give(Key::tied_height_full_draw, 90);
  EXPECT_THAT(said(), AllOf(HasSubstr("farther apart"), HasSubstr("Measure peep.tied.mark and")));
  // Nothing is known of the axles: nothing can be said of them.
  Spec bare;
  bare.give(Key::bow_draw_length, Length::in(29.5).mm());
  bare.give(Key::full_draw_string_angle, 125 * unit::degree_rad);
  EXPECT_EQ(test::refusal([&] { solve_core(bare); }), "accepted");
}

TEST(Fit, NockAboveCentreMakesTheUpperLegFlatter) {
  Spec spec = shop_man();
  spec.give(Key::bow_nock_above_centre, 10);
  const StringLegs legs = string_legs(spec);
  EXPECT_LT(legs.upper_rad, legs.lower_rad);
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  const StringLegs read = string_legs(spec);
  EXPECT_NEAR(read.upper_rad + read.lower_rad, 80 * unit::degree_rad, 1e-12);
  EXPECT_NEAR(read.lower_rad - read.upper_rad, legs.lower_rad - legs.upper_rad, 1e-12);
}

TEST(Fit, TiedPeepStaysWhereItIsTied) {
  Spec spec = shop_man();
  for (const double mark : {105.0, 130.0, 150.0}) {
    spec.give(Key::tied_mark, mark);
    EXPECT_NEAR(solve_core(spec, Peep::tied).mark_mm, mark, 0.3);
  }
}

TEST(Fit, MarksStandBetweenTheDistancesInTheirOwnUnit) {
  const auto marks = [](std::initializer_list<std::pair<Key, Length>> given) {
    Spec spec = shop_man();
    for (const auto& [key, distance] : given) spec.give(key, distance.mm());
    return mark_distances_m(spec);
  };
  using ::testing::DoubleNear;
  using ::testing::ElementsAre;
  EXPECT_THAT(marks({}), ElementsAre(10, 20, 30, 40, 50));
  EXPECT_THAT(marks({{Key::distances_far, Length::m(45)}}), ElementsAre(10, 20, 30, 40, 45));
  const auto yards = [](double count) { return DoubleNear(0.9144 * count, 1e-9); };
  EXPECT_THAT(marks({{Key::distances_near, Length::in(36 * 20)},
                     {Key::distances_fit, Length::in(36 * 35)},
                     {Key::distances_far, Length::in(36 * 55)}}),
              ElementsAre(yards(20), yards(30), yards(35), yards(40), yards(50), yards(55)));
  EXPECT_THAT(marks({{Key::distances_far, Length::in(36 * 40.5)}}), ElementsAre(10, 20, 30, yards(40.5)));
  // What is assumed, 10, 30 and 50 m, is the same fit to whoever asks, but no round mark among yards.
  EXPECT_THAT(marks({{Key::distances_far, Length::in(36 * 60)}}),
              ElementsAre(yards(20), yards(30), yards(40), yards(50), yards(60)));
  Spec in_yards = shop_man();
  in_yards.speaks_in_yards = true;
  EXPECT_THAT(mark_distances_m(in_yards), ElementsAre(yards(20), yards(30), yards(40), yards(50)));
  const Fit fit = solve_fit(in_yards), same = solve_fit(shop_man());
  EXPECT_EQ(fit.core.mark_mm, same.core.mark_mm);
  EXPECT_EQ(fit.lowest.distance_m, same.lowest.distance_m);
  in_yards.give(Key::distances_far, Length::m(45).mm());
  EXPECT_THAT(mark_distances_m(in_yards), ElementsAre(10, 20, 30, 40, 45));
}

TEST(Fit, DragFromTwoMarksGivesThatDragBack) {
  Spec spec = shop_man();
  spec.give(Key::arrow_drag_coefficient, 1.9);
  const CoreFit known = solve_core(spec);
  const Shot shot = shot_of(spec, 1.9);
  const SightGeometry geometry = geometry_of(spec, known.peep);
  const double moved = pin_height_mm(geometry, *launch_above_line(shot, geometry, 20)) -
                       pin_height_mm(geometry, *launch_above_line(shot, geometry, 60));
  spec.forget(Key::arrow_drag_coefficient);
  spec.give(Key::two_marks_near, 20000);
  spec.give(Key::two_marks_far, 60000);
  spec.give(Key::two_marks_moved, moved);
  EXPECT_NEAR(solve_core(spec).drag_coefficient, 1.9, 1e-6);
  spec.give(Key::two_marks_moved, moved + 8);
  EXPECT_THROW(solve_core(spec), Error);  // no thin shaft has that much drag
}

TEST(Fit, DragFromASpeedLostOnTheWayIsThatOfTheDecay) {
  // u2 = u1·e^(−ks), k = ρ C_D π d² / 8m (Miyazaki et al., Sports Engineering 16 (2013) 43–54); air at sea level by
  // ISO 2533, 1.225 kg/m³.
  Spec spec = shop_man();
  spec.give(Key::air_altitude, 0);
  const double diameter_m = spec.value(Key::arrow_shaft_diameter) / 1000, mass_kg = spec.value(Key::arrow_mass);
  const double speed = spec.value(Key::arrow_speed);
  const auto after_40_m = [&](double drag) {
    return speed * std::exp(-1.225 * drag * std::numbers::pi * diameter_m * diameter_m / (8 * mass_kg) * 40);
  };
  spec.give(Key::slowed_distance, 40000);
  spec.give(Key::slowed_speed, after_40_m(1.9));
  EXPECT_NEAR(solve_core(spec).drag_coefficient, 1.9, 1e-3);
  const double with_drag = solve_fit(spec).marks.back().mark.pin_height_mm;
  spec.give(Key::slowed_speed, after_40_m(2.6));
  EXPECT_LT(solve_fit(spec).marks.back().mark.pin_height_mm, with_drag);  // more drag, more drop, a lower pin
  spec.give(Key::slowed_speed, speed / 2);
  EXPECT_THAT([&] { solve_core(spec); },
              ThrowsMessage<Error>(AllOf(HasSubstr("gives a drag coefficient of"), HasSubstr("Measure again"))));
}

TEST(Fit, TwoMarksNoDragMakesAreRefused) {
  Spec spec = shop_man();
  spec.give(Key::two_marks_near, 20000);
  spec.give(Key::two_marks_far, 60000);
  spec.give(Key::two_marks_moved, 1);
  EXPECT_THAT([&] { solve_core(spec); }, ThrowsMessage<Error>(HasSubstr("no drag makes the pin move 1.0 mm")));
}

TEST(Fit, HeadShiftIsZeroAgainstItselfAndOppositeTheOtherWay) {
  Spec shorter = shop_man();
  shorter.give(Key::bow_axle_to_axle, Length::in(29).mm());
  const CoreFit a = solve_core(shop_man()), b = solve_core(shorter);
  EXPECT_EQ(head_shift(a, a).forward_mm, 0);
  EXPECT_EQ(head_shift(a, b).forward_mm, -head_shift(b, a).forward_mm);
  EXPECT_GT(std::abs(head_shift(b, a).forward_mm), 1);  // a sharper string brings the head forward or back
}

TEST(PeepView, ATiltedBoreShutsAndAStraightOneIsRound) {
  const BoreSeen straight = bore_seen(4, 8, 0.7, 0.66, 0.04);
  EXPECT_NEAR(straight.open_height_mm, 4, 1e-9);
  EXPECT_NEAR(straight.ratio, 1, 1e-9);
  double previous = 4;
  for (double tilt = 0.05; tilt < 0.45; tilt += 0.05) {
    const double open = bore_seen(4, 8, 0.7 + tilt, 0.66, 0.04).open_height_mm;
    EXPECT_LT(open, previous);
    EXPECT_NEAR(open, 4 * std::cos(tilt) - 8 * std::sin(tilt), 1e-9);
    previous = open;
  }
  EXPECT_EQ(bore_seen(4, 8, 1.4, 0.66, 0.04).open_height_mm, 0);
}

TEST(Clearance, Verdicts) {
  EXPECT_EQ(room("x", 5, 2).verdict, Verdict::clear);
  EXPECT_EQ(room("x", 1, 2).verdict, Verdict::tight);
  EXPECT_FALSE(room("x", 1, 2).met);
  EXPECT_EQ(room("x", 0, 2).verdict, Verdict::touching);
  const GapRange touch{Length::mm(-1), Length::mm(3)};
  EXPECT_TRUE(contact("x", 0, touch).met);
  EXPECT_EQ(contact("x", 0, touch).verdict, Verdict::touching);
  EXPECT_FALSE(contact("x", -1.5, touch).met);
  EXPECT_FALSE(contact("x", 3.5, touch).met);
  EXPECT_EQ(contact("x", -1, touch).verdict, Verdict::touching);
  // As near as is wanted is not yet touching: the word follows the sign.
  EXPECT_EQ(contact("x", 1, touch).verdict, Verdict::clear);
  EXPECT_TRUE(contact("x", 1, touch).met);
  EXPECT_EQ(contact("x", 3.5, touch).verdict, Verdict::clear);
}

TEST(Budget, AFaultOfOursIsNoLackOfAdvice) {
  const CoreFit fit = solve_core(shop_man());
  Spec spec = shop_man();
  spec.scan = ScanSource{};  // that nobody took in
  EXPECT_THAT(test::refusal([&] { what_to_measure_next(spec, fit, 5); }, ErrorCode::internal),
              HasSubstr("before its scan"));
}

TEST(Budget, SumsAndShrinksWithMeasuring) {
  const Spec spec = shop_man();
  const CoreFit fit = solve_core(spec);
  const Budget budget = mark_budget(spec, fit);
  double squares = 0;
  for (const BudgetLine& line : budget.lines) {
    squares += line.contribution_mm * line.contribution_mm;
    EXPECT_NEAR(std::abs(line.sensitivity) * line.standard_uncertainty, line.contribution_mm, 1e-9) << line.input;
  }
  EXPECT_NEAR(budget.combined_mm * budget.combined_mm, squares, 1e-9);
  EXPECT_DOUBLE_EQ(budget.expanded_mm(), 2 * budget.combined_mm);
  Spec measured = spec;
  measured.give(Key::face_eye_to_arrow, fit.posture.pupil.z);
  EXPECT_LT(mark_budget(measured, solve_core(measured)).expanded_mm(), budget.expanded_mm() / 2);
}

TEST(Budget, SensitivityOfTheMarkToTheStringAngleIsTheFormula) {
  // s = h + (H − h) / sin θ at a measured height: ds/dθ = −(H − h) cos θ / sin² θ, and the included angle is twice θ.
  Spec spec = shop_man();
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  spec.give(Key::face_eye_to_arrow, 90);
  const CoreFit fit = solve_core(spec);
  const double theta = fit.legs.upper_rad;
  const double expected_per_deg =
      -(fit.peep_height_mm - bend) * std::cos(theta) / (std::sin(theta) * std::sin(theta)) / 2 * unit::degree_rad;
  for (const BudgetLine& line : mark_budget(spec, fit).lines)
    if (line.input == "bow.full_draw.string_angle") {
      EXPECT_NEAR(line.sensitivity, expected_per_deg, 0.1 * std::abs(expected_per_deg));
      return;
    }
  FAIL() << "no line for the string angle";
}

TEST(Budget, AdviceIsTheBudgetOneWouldGet) {
  const Spec spec = shop_man();
  const CoreFit fit = solve_core(spec);
  const double expanded = mark_budget(spec, fit).expanded_mm();
  const auto advice = what_to_measure_next(spec, fit, expanded);
  ASSERT_FALSE(advice.empty());
  EXPECT_EQ(advice.front().key, "archer.face.eye_to_arrow");
  for (const Advice& a : advice) EXPECT_LT(a.expanded_mm, expanded);
}

}  // namespace
}  // namespace peepwright
