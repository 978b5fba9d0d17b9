// SPDX-License-Identifier: GPL-3.0-or-later
// What a report tells people to do: it must follow from the numbers, agree between report and sheet, and not ask for
// what was given already.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "exporters/report/report.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using ::testing::AllOf;
using ::testing::AnyOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

Spec measured_bow() {
  Spec spec = test::shop_spec();
  spec.give(Key::full_draw_string_angle, 84 * unit::degree_rad);
  spec.give(Key::face_eye_to_arrow, 90);
  return spec;
}

FitReport tied_at(double off_mm) {
  Spec spec = measured_bow();
  spec.give(Key::tied_mark, solve_core(spec).mark_mm + off_mm);
  return make_report(spec, std::nullopt);
}

TEST(TiedAdvice, FollowsTheMoveAndItsGiveOrTake) {
  const double give = tied_at(0).tied_move_uncertainty_mm;
  ASSERT_GT(give, 2);
  EXPECT_GT(give, tied_at(0).budget.expanded_mm());  // the reading of the tied mark comes on top
  const auto said = [](double off_mm) { return tied_advice(tied_at(off_mm), PaperUnits::millimetres); };
  EXPECT_THAT(said(1), HasSubstr(" above the mark: leave it"));
  EXPECT_THAT(said(0.9 * give), AllOf(HasSubstr("measure more before"), Not(HasSubstr("move it"))));
  EXPECT_THAT(said(give + 1), HasSubstr("DOWN the string (give or take"));
  EXPECT_THAT(said(-give - 1), HasSubstr("UP the string (give or take"));
}

TEST(TiedAdvice, GivesTheMarkAsItWasMeasured) {
  Spec spec = measured_bow();
  spec.give(Key::tied_mark, 300);  // far from any face: the posture gives way by tenths of a millimetre
  EXPECT_THAT(tied_advice(make_report(spec, std::nullopt), PaperUnits::millimetres), HasSubstr("Tied now at 300.0 mm"));
}

Verification undecided(bool face, bool eye, bool mark_and_height, bool comfortable = false) {
  Verification v;
  v.verdict = MoveVerdict::not_sure_enough;
  v.move_mm = 2;
  v.move_uncertainty_mm = 4;
  v.face_decides = face;
  if (eye) v.reading.eye_to_arrow = Length::mm(90);
  if (mark_and_height) v.reading.mark = Length::mm(120), v.reading.height_full_draw = Length::mm(85);
  v.reading.comfortable = comfortable;
  return v;
}

TEST(Undecided, AsksForWhatIsMissingOnly) {
  const auto said = [](const Verification& v) { return verification_text(v, PaperUnits::millimetres); };
  EXPECT_THAT(said(undecided(true, false, true)), HasSubstr("give it with --eye-to-arrow"));
  EXPECT_THAT(said(undecided(true, true, true)),
              AllOf(Not(HasSubstr("give it with --eye")), HasSubstr("The archer decides"), HasSubstr("--comfortable"),
                    HasSubstr("move it 2.0 mm (3/32 in) UP the string, tie lightly")));
  EXPECT_THAT(said(undecided(true, true, true, true)), Not(HasSubstr("--comfortable")));
  EXPECT_THAT(said(undecided(false, true, false)), HasSubstr("Measure mark and height at full draw, and give both"));
  EXPECT_THAT(said(undecided(false, true, true)), HasSubstr("bow.full_draw.string_angle"));
}

TEST(Undecided, SaysWhenNoMarkWasMeasured) {
  const auto said = [](const Verification& v) { return verification_text(v, PaperUnits::millimetres); };
  EXPECT_THAT(said(undecided(true, true, false)), HasSubstr("none was measured"));
  EXPECT_THAT(said(undecided(true, true, true)), HasSubstr("120.0 mm (4 23/32 in) as measured"));
}

std::string notes_of(const Spec& spec) {
  std::string out;
  for (const std::string& note : notes_in(make_report(spec, std::nullopt), PaperUnits::millimetres)) out += note + "\n";
  return out;
}

TEST(UnsafeArrow, TooShortForTheDraw) {
  Spec spec = measured_bow();
  const double pivot = spec.pivot_x().mm();
  spec.give(Key::arrow_length, pivot - 30);
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT DRAW"), HasSubstr("30 mm behind the grip's pivot")));
  spec.give(Key::arrow_length, pivot + 5);
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT DRAW"), HasSubstr("5 mm ahead of the grip's pivot")));
  spec.give(Key::arrow_length, pivot + 13);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("DO NOT DRAW")));
}

// The rating arrow of ASTM F1544: 70 lbf of peak weight and 350 gr, which is 5 gr for each.
TEST(UnsafeArrow, TooLightForThePeakWeight) {
  Spec spec = measured_bow();
  spec.give(Key::bow_peak_weight, Force::lbf(70).n());
  spec.give(Key::arrow_mass, 351 * unit::grain_kg);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("DO NOT SHOOT this arrow")));
  spec.give(Key::arrow_mass, 280 * unit::grain_kg);
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT SHOOT this arrow"), HasSubstr("4.0 gr for each lbf")));
}

TEST(UnsafeArrow, FasterThanTheBowCanBe) {
  Spec spec = measured_bow();
  spec.give(Key::bow_peak_weight, Force::lbf(60).n());
  spec.give(Key::arrow_mass, 395 * unit::grain_kg);
  spec.give(Key::arrow_speed, 82);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("carries")));
  spec.give(Key::arrow_speed, 122);
  EXPECT_THAT(notes_of(spec), HasSubstr("at 122.0 m/s carries 190 J, but this bow stores about"));
}

TEST(MarksAdvice, NamesWhatNobodyMeasured) {
  Spec spec = measured_bow();
  EXPECT_THAT(marks_advice(make_report(spec, std::nullopt)),
              AllOf(HasSubstr("Shoot the first in"), HasSubstr("nobody measured: arrow as it leaves the bow")));
  spec.give(Key::arrow_speed, 82);
  spec.give(Key::arrow_mass, 0.025);
  spec.give(Key::sight_extension, 230);
  EXPECT_THAT(marks_advice(make_report(spec, std::nullopt)), Not(HasSubstr("nobody")));
}

TEST(OwnTravel, IsNotCalledTheDrawCycles) {
  Spec spec = measured_bow();
  spec.forget(Key::full_draw_string_angle);
  EXPECT_EQ(make_report(spec, std::nullopt).fit.core.legs.source, LegSource::draw_cycle);
  EXPECT_THAT(report_text(make_report(spec, std::nullopt), PaperUnits::millimetres),
              HasSubstr("resting on: bow.assumed.axle_closing "));
  spec.give(Key::assumed_axle_closing, 30);
  spec.give(Key::assumed_axle_travel, 90);
  const FitReport own = make_report(spec, std::nullopt);
  EXPECT_EQ(own.fit.core.legs.source, LegSource::assumed_travel);
  EXPECT_THAT(own.fit.core.legs.assumptions, Not(::testing::Contains(Key::assumed_axle_closing)));
  for (const std::string& note : notes_in(own, PaperUnits::millimetres))
    EXPECT_THAT(note, Not(HasSubstr("no draw cycle could be computed")));
}

}  // namespace
}  // namespace peepwright
