// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/verify.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/shared/refusal.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::bend;
using test::height_at;
using test::shop_man;
using ::testing::AllOf;
using ::testing::HasSubstr;

TiedReading reading(double mark_mm, double height_mm = 0, double eye_mm = 0) {
  TiedReading out;
  out.mark = Length::mm(mark_mm);
  if (height_mm > 0) out.height_full_draw = Length::mm(height_mm);
  if (eye_mm > 0) out.eye_to_arrow = Length::mm(eye_mm);
  return out;
}

TEST(Verify, ReadingsThatAgreeWithTheFitLeaveThePeepAlone) {
  Spec spec = shop_man();
  spec.give(Key::face_eye_to_arrow, 90);
  const CoreFit fit = solve_core(spec);
  const Verification v = verify_tied(spec, reading(fit.mark_mm, fit.peep_height_mm));
  EXPECT_NEAR(v.move_mm, 0, 0.2);
  EXPECT_EQ(v.verdict, MoveVerdict::leave);
}

TEST(Verify, ABowWithAnotherAngleMovesThePeepByTheFormula) {
  // Face and mark are known well, the reading says that the string is a degree steeper than was thought. s = H / sin θ.
  Spec spec = shop_man();
  spec.give(Key::face_eye_to_arrow, 90);
  const CoreFit fit = solve_core(spec);
  const double steeper = fit.legs.upper_rad + 1 * unit::degree_rad;
  const double height = height_at(fit.posture.along_string_mm, steeper);
  const Verification v = verify_tied(spec, reading(fit.mark_mm, height, 90));
  EXPECT_NEAR(v.leg_angle_rad, steeper, 0.4 * unit::degree_rad);
  EXPECT_LT(v.leg_angle_rad, steeper);  // what was thought before still counts
  EXPECT_NEAR(v.better_mark_mm, bend + (v.wanted_height_mm - bend) / std::sin(v.leg_angle_rad) - 3.5, 1e-9);
  EXPECT_NEAR(v.move_mm, v.better_mark_mm - v.tied_mark_mm, 1e-9);
  const double by_formula = bend + (fit.peep_height_mm - bend) / std::sin(steeper) - fit.posture.along_string_mm;
  EXPECT_NEAR(v.move_mm, by_formula, 1.5);
}

TEST(Verify, APeepTiedTwentyTooLowIsMovedTwentyUp) {
  Spec spec = shop_man();
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  spec.give(Key::face_eye_to_arrow, 92);
  const CoreFit fit = solve_core(spec);
  const double tied = fit.mark_mm - 20;
  const double height = height_at(tied + 3.5, fit.legs.upper_rad);
  const Verification v = verify_tied(spec, reading(tied, height));
  EXPECT_EQ(v.verdict, MoveVerdict::move);
  EXPECT_NEAR(v.move_mm, 20, 0.5);
}

TEST(Verify, AHeightSaysNothingAboutTheFaceUnlessTheArcherIsComfortable) {
  const Spec spec = shop_man();
  TiedReading low = reading(110, 74);
  const Verification forced = verify_tied(spec, low);
  EXPECT_NEAR(forced.wanted_height_mm, forced.wanted_height_before_mm, 1e-9);
  low.comfortable = true;
  const Verification relaxed = verify_tied(spec, low);
  EXPECT_LT(relaxed.wanted_height_mm, forced.wanted_height_mm - 5);
  EXPECT_LT(relaxed.wanted_height_sd_mm, 3.1);
}

TEST(Verify, WithoutAMarkTheFilesTiedMarkCounts) {
  Spec spec = shop_man();
  spec.give(Key::face_eye_to_arrow, 92);
  spec.give(Key::tied_mark, 109);
  TiedReading only_height = reading(109);
  only_height.mark.reset();
  only_height.height_full_draw = Length::mm(height_at(112.5, solve_core(spec).legs.upper_rad));
  EXPECT_NEAR(verify_tied(spec, only_height).tied_mark_mm, 109, 0.3);
}

TEST(Verify, ReadingsThatContradictTheFilesAreRefused) {
  Spec spec = shop_man();
  spec.give(Key::full_draw_string_angle, 88 * unit::degree_rad);
  EXPECT_NO_THROW(verify_tied(spec, reading(130, height_at(133.5, 44 * unit::degree_rad))));
  EXPECT_THROW(verify_tied(spec, reading(130, height_at(133.5, 52 * unit::degree_rad))), Error);
  EXPECT_THROW(verify_tied(spec, reading(130, height_at(133.5, 38 * unit::degree_rad))), Error);
}

TEST(Verify, WhatIsMeasuredMakesItSurer) {
  const Spec spec = shop_man();
  const auto u = [&](const TiedReading& r) { return verify_tied(spec, r).move_uncertainty_mm; };
  const double only_mark = u(reading(130)), both = u(reading(130, 86)), all = u(reading(130, 86, 88));
  EXPECT_LT(both, only_mark);  // the angle is known better
  EXPECT_LT(all, both / 2);    // and now the face
}

// The eye read when verifying tells as much as the same reading in the file, and no reading of it tells how the head
// settles behind it.
TEST(Verify, AnEyeReadAnewIsWorthWhatItIsInTheFile) {
  Spec without = shop_man();
  without.give(Key::full_draw_string_angle, 84 * unit::degree_rad);  // an angle that nobody read is in all of these
  Spec with = without;
  with.give(Key::face_eye_to_arrow, 92);
  const double uncertainty = with[Key::face_eye_to_arrow].uncertainty;
  TiedReading eye = reading(130, 0, 92);
  eye.eye_uncertainty = Length::mm(uncertainty);
  const Verification anew = verify_tied(without, eye), known = verify_tied(with, reading(130));
  EXPECT_LT(anew.wanted_height_sd_mm, known.wanted_height_sd_mm);  // the face's other measures count a little, too
  EXPECT_GT(anew.wanted_height_sd_mm, 0.95 * known.wanted_height_sd_mm);
  // Read twice: the readings' part shrinks by the root of two, the posture's stays.
  const double posture = solve_core(with).posture.peep_height_sd_mm;
  const Verification twice = verify_tied(with, eye);
  const double readings = std::sqrt(std::pow(known.wanted_height_sd_mm, 2) - posture * posture);
  EXPECT_NEAR(twice.wanted_height_sd_mm, std::hypot(readings / std::sqrt(2), posture), 0.02);
  EXPECT_GT(twice.wanted_height_sd_mm, posture);
}

// Neither axles nor brace height are known: beside the pair that is read anew stands the angle, and nothing else.
TEST(Verify, AMeasuredAngleBesideATiedPairCounts) {
  Spec angle;
  angle.build = Build::adult_male;
  angle.give(Key::bow_draw_length, Length::in(29.5).mm());
  Spec pair = angle;
  pair.give(Key::tied_mark, 130);
  pair.give(Key::tied_height_full_draw, 86);
  angle.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  Spec both = angle;
  both.give(Key::tied_mark, 130);
  both.give(Key::tied_height_full_draw, 86);
  const TiedReading anew = reading(130, 87);
  const double by_angle = verify_tied(angle, anew).leg_angle_sd_rad;
  EXPECT_LT(by_angle, 0.25 * unit::degree_rad);  // half of the 0.5 deg that the key's readings are sure to
  EXPECT_NEAR(verify_tied(both, anew).leg_angle_sd_rad, by_angle, 1e-12);
  // The pair alone is outdated by the new one, which says all that is known then.
  EXPECT_GT(verify_tied(pair, anew).leg_angle_sd_rad, 1.5 * by_angle);
}

// A pair in the files that was read at another mark goes on telling the angle: a peep tied where the fit put it by that
// pair, and found as high as the fit said, stays.
TEST(Verify, ATiedPairAtAnotherMarkStillTellsTheAngle) {
  Spec spec = shop_man();
  spec.give(Key::face_eye_to_arrow, 92);
  spec.give(Key::tied_mark, 118);
  spec.give(Key::tied_height_full_draw, height_at(121.5, 45 * unit::degree_rad));
  const CoreFit fit = solve_core(spec);
  ASSERT_EQ(fit.legs.source, LegSource::tied_peep);
  ASSERT_GT(std::abs(fit.mark_mm - 118), 2);
  const Verification v = verify_tied(spec, reading(fit.mark_mm, fit.peep_height_mm));
  EXPECT_EQ(v.leg_angle_before_rad, fit.legs.upper_rad);
  EXPECT_NEAR(v.better_mark_mm, fit.mark_mm, 0.05);
  EXPECT_NEAR(v.move_mm, 0, 0.05);
  // Read at the same mark it is the same pair read again, and counts once.
  Spec no_pair = spec;
  no_pair.forget(Key::tied_mark);
  no_pair.forget(Key::tied_height_full_draw);
  const TiedReading again = reading(118.4, 87);
  EXPECT_NEAR(verify_tied(spec, again).leg_angle_rad, verify_tied(no_pair, again).leg_angle_rad, 1e-12);
}

// Each side of a contradiction has a remedy of its own.
TEST(Verify, AnEyeReadOtherwiseThanTheFilesHaveItNamesBoth) {
  Spec spec = shop_man();
  spec.give(Key::face_eye_to_arrow, 92);
  TiedReading eye = reading(130, 0, 104);
  eye.eye_words = {"--eye-to-arrow", "mm"};
  const auto said = [&] { return test::refusal([&] { verify_tied(spec, eye); }); };
  EXPECT_THAT(said(), AllOf(HasSubstr("set archer.face.eye_to_arrow in the files right, or leave it out there"),
                            HasSubstr("measure the eye above the arrow again (--eye-to-arrow)")));
  spec.forget(Key::face_eye_to_arrow);
  eye.eye_to_arrow = Length::mm(150);
  EXPECT_THAT(said(), AllOf(HasSubstr("check what the files say of the face"),
                            HasSubstr("measure the eye above the arrow again (--eye-to-arrow)")));
}

TEST(Verify, RefusesReadingsThatNoBowGives) {
  const Spec spec = shop_man();
  const auto said = [&](const TiedReading& r) { return test::refusal([&] { verify_tied(spec, r); }); };
  EXPECT_EQ(said({}),
            "nothing was measured: give the mark, the height at full draw, the eye above the arrow or several of them");
  EXPECT_THAT(said(reading(95, 150)), HasSubstr("do not go together"));
  EXPECT_EQ(said(reading(5)), "the mark: 5 mm cannot be; accepted is 20 mm to 450 mm");
  // A program's own words, and the unit that was typed there.
  TiedReading typed = reading(508);
  typed.mark_words = {"--mark", "in"};
  EXPECT_EQ(said(typed), "--mark: 20 in (508 mm) cannot be; accepted is 0.7874 in to 17.72 in (20 mm to 450 mm)");
  typed.mark.reset();
  typed.comfortable = true;
  typed.eye_to_arrow = Length::mm(90);
  typed.height_words = {"--height", ""};
  EXPECT_THAT(said(typed), HasSubstr("none was measured: give --height"));
}

}  // namespace
}  // namespace peepwright
