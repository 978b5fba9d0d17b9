// SPDX-License-Identifier: GPL-3.0-or-later
// What a report tells people to do: it must follow from the numbers, agree between report and sheet, and not ask for
// what was given already.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "exporters/report/draw_report.hpp"
#include "exporters/report/report.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::measured_bow;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

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

// An eye that aims through a peep stands where that peep puts it, and would confirm any.
TEST(Verification, AsksForAHeadThatSettledWithEyesClosed) {
  const auto said = [](const Verification& v) { return verification_text(v, PaperUnits::millimetres); };
  EXPECT_THAT(said(undecided(true, false, true)), HasSubstr("eyes closed"));
  EXPECT_THAT(said(undecided(true, true, true)), HasSubstr("eyes closed"));
  const std::string doubt = "aiming through it finds any peep right";
  for (const bool eye : {true, false})
    for (const bool comfortable : {true, false}) {
      Verification v = undecided(true, eye, true, comfortable);
      v.verdict = MoveVerdict::leave;
      if (eye || comfortable) EXPECT_THAT(said(v), HasSubstr(doubt));
      else EXPECT_THAT(said(v), Not(HasSubstr(doubt)));
      v.verdict = MoveVerdict::move;
      EXPECT_THAT(said(v), Not(HasSubstr(doubt)));
    }
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
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT DRAW"), HasSubstr("30.0 mm behind the grip's pivot")));
  spec.give(Key::arrow_length, pivot + 5);
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT DRAW"), HasSubstr("5.0 mm ahead of the grip's pivot")));
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
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("at 122.0 m/s carries 190.5 J"), HasSubstr("than any other would")));
  // What a fit says of it the draw says as well.
  spec.give(Key::arrow_speed, 95);
  EXPECT_THAT(notes_of(spec), HasSubstr("as cams that keep their peak longer can"));
  EXPECT_THAT(draw_text(make_draw_report(spec, PaperUnits::millimetres), PaperUnits::millimetres),
              HasSubstr("carries"));
}

TEST(UnsafeArrow, FasterThanTheBowCanBeIsSaidOfAnAssumedMassToo) {
  Spec spec = measured_bow();
  spec.give(Key::arrow_speed, 100);
  const std::string said = "(assumed) at 100.0 m/s carries";
  EXPECT_THAT(notes_of(spec), HasSubstr(said));
  EXPECT_THAT(make_draw_report(spec, PaperUnits::millimetres).notes, ::testing::Contains(HasSubstr(said)));
  spec.forget(Key::arrow_speed);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("carries")));
}

TEST(UnsafeArrow, OneThatNobodyMeasuredIsToBe) {
  Spec spec = measured_bow();
  spec.forget(Key::arrow_length);
  EXPECT_THAT(notes_of(spec), HasSubstr("arrow.length is not given. Before the bow is drawn measure"));
  // And none is assumed that would leave the rest.
  const Spec long_draw =
      parse_spec({{"a.toml", "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"7 in\"\ndraw_length = \"32 in\"\n"}});
  EXPECT_GE(long_draw.value(Key::arrow_length), long_draw.pivot_x().mm() + 25);
  spec.give(Key::arrow_length, spec.pivot_x().mm() + 30);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("arrow.length")));
}

TEST(MeasureNext, NamesTheLimbWhereTheDrawCycleTellsTheAngle) {
  const auto named = [](const Spec& spec) {
    const FitReport report = make_report(spec, std::nullopt);
    const auto limb = std::ranges::find(report.next, "bow.limb.angle", &Advice::key);
    return limb == report.next.end() ? 0 : limb->expanded_mm / report.budget.expanded_mm();
  };
  Spec spec = test::shop_spec();
  spec.give(Key::face_eye_to_arrow, 90);  // else the face leaves more open than the bow
  const double left = named(spec);
  EXPECT_GT(left, 0.3);
  EXPECT_LT(left, 0.95);
  // It is what the fit says of itself once the limb is measured.
  Spec limb = spec;
  limb.give(Key::limb_angle, BowDesign{}.limb_angle_rad);
  EXPECT_NEAR(
      make_report(limb, std::nullopt).budget.expanded_mm() / make_report(spec, std::nullopt).budget.expanded_mm(), left,
      1e-9);
  EXPECT_EQ(named(limb), 0);
  EXPECT_EQ(named(measured_bow()), 0);
}

TEST(Notes, APeepThatIsShutOrNearlySo) {
  Spec spec = measured_bow();
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("the peep is ")));
  spec.give(Key::peep_bore, 2);
  spec.give(Key::peep_bore_angle, 60 * unit::degree_rad);
  EXPECT_THAT(notes_of(spec), AllOf(HasSubstr("DO NOT SHOOT with this peep: it is SHUT to the eye"),
                                    HasSubstr("to the string (peep.bore_angle)")));
  spec.give(Key::peep_bore_angle, 51 * unit::degree_rad);
  EXPECT_THAT(notes_of(spec), HasSubstr("the peep is nearly shut"));
}

TEST(Notes, AStrainedHeadIsSaidToBe) {
  Spec spec = measured_bow();
  std::string strained, forced;
  for (double angle = 84; angle <= 100; angle += 0.5) {
    spec.give(Key::full_draw_string_angle, angle * unit::degree_rad);
    const FitReport report = make_report(spec, std::nullopt);
    const std::string notes = notes_of(spec);
    for (std::size_t i = 0; i < residual_count; ++i) {
      const std::string_view verdict = verdict_of(report.fit.core.posture, static_cast<Residual>(i));
      const std::string name = std::string(info_of(static_cast<Residual>(i)).name) + ": ";
      if (verdict == "as wanted") {
        EXPECT_THAT(notes, Not(HasSubstr(name))) << angle;
      } else {
        EXPECT_THAT(notes, HasSubstr(name)) << angle;
      }
      if (verdict == "strained") strained = notes;
    }
  }
  EXPECT_THAT(strained, HasSubstr(", strained; a relaxed head keeps within "));
}

TEST(Notes, DrawForcesOfABowThatNobodyWeighedAreSaidToBe) {
  Spec spec = measured_bow();
  spec.give(Key::bow_peak_weight, Force::lbf(50).n());
  spec.give(Key::bow_let_off, 0.8);
  EXPECT_THAT(notes_of(spec), Not(HasSubstr("nobody gave")));
  spec.forget(Key::bow_peak_weight);
  EXPECT_THAT(notes_of(spec), HasSubstr("nobody gave bow.peak_weight: draw forces are of a bow of"));
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

// With one mark there are no others to set from it, and the eye goes nowhere.
TEST(MarksAdvice, OfASingleMarkSpeaksOfNoOthers) {
  Spec spec = measured_bow();
  spec.mark_distances = {Length::m(20)};
  const std::string one = report_text(make_report(spec, std::nullopt), PaperUnits::millimetres);
  EXPECT_THAT(one,
              AllOf(HasSubstr("Shoot it in"), Not(HasSubstr("set the others")), Not(HasSubstr("the anchor, moves"))));
  // Between marks that are listed, wherever the targets of near and far stand.
  spec.mark_distances = {Length::m(20), Length::m(60)};
  const FitReport report = make_report(spec, std::nullopt);
  EXPECT_NEAR(report.fit.eye_travel_mm, report.fit.marks[1].eye_height_mm - report.fit.marks[0].eye_height_mm, 1e-12);
  EXPECT_THAT(report_text(report, PaperUnits::millimetres), HasSubstr("From the first to the last mark the eye"));
}

}  // namespace
}  // namespace peepwright
