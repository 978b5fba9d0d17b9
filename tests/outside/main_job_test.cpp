// SPDX-License-Identifier: GPL-3.0-or-later
// The main job against what is known outside: common practice (no source) and an independent implementation.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/bow/draw_estimate.hpp"
#include "engine/bow/string_legs.hpp"
#include "engine/face/face.hpp"
#include "engine/fit/fit.hpp"

namespace peepwright {
namespace {

Spec bow(double axle_in, double brace_in, double draw_in) {
  Spec spec;
  spec.give(Key::bow_axle_to_axle, Length::in(axle_in).mm());
  spec.give(Key::bow_brace_height, Length::in(brace_in).mm());
  spec.give(Key::bow_draw_length, Length::in(draw_in).mm());
  return spec;
}

// Common practice, no source: 3 7/8 in from peep centre to arrow centre at full draw goes with a mark of about
// 6 in above the top of the nock at rest.
constexpr double practice_height_in = 3.875, practice_mark_in = 6;

TEST(CommonPractice, TheTiedPairGivesALegAngleNearForty) {
  Spec spec;
  spec.give(Key::bow_draw_length, Length::in(29.5).mm());
  spec.give(Key::tied_mark, Length::in(practice_mark_in).mm());
  spec.give(Key::tied_height_full_draw, Length::in(practice_height_in).mm());
  check_spec(spec);
  const StringLegs legs = string_legs(spec);
  EXPECT_EQ(legs.source, LegSource::tied_peep);
  // asin(3 7/8 in / 6 1/8 in) is 39.1° for a string that bent at the nocking point; past knots 11 mm apart it is 38.2°.
  EXPECT_GT(degrees(legs.upper_rad), 37.5);
  EXPECT_LT(degrees(legs.upper_rad), 39.5);
}

// What stands in for the draw cycle where no bow can be computed says what the cycle says of usual bows.
TEST(AssumedTravel, IsTheDrawCyclesOfUsualBows) {
  for (const auto& [axle_in, draw_in] : {std::pair{30.0, 28.0}, {32.0, 30.0}, {33.0, 29.5}, {36.0, 28.0}}) {
    const Spec assumed = bow(axle_in, 6.75, draw_in);
    Spec drawn = assumed;
    use_draw_cycle(drawn);
    for (const Key key : {Key::assumed_axle_closing, Key::assumed_axle_travel, Key::assumed_rest_take_off_radius,
                          Key::assumed_take_off_radius})
      EXPECT_NEAR(assumed.value(key), drawn.value(key), 1.5 * assumed[key].uncertainty)
          << axle_in << ' ' << info_of(key).path;
    EXPECT_NEAR(degrees(string_legs(assumed).upper_rad), degrees(string_legs(drawn).upper_rad), 1.5) << axle_in;
  }
}

/// Mark of a peep that shall stand `height` above the arrow at full draw.
double mark_for_height_mm(const Spec& spec, double height_mm) {
  const double bend = spec.value(Key::string_knots_apart) / 2;
  return bend + (height_mm - bend) / std::sin(string_legs(spec).upper_rad) - spec.value(Key::string_nock_height) / 2;
}

TEST(CommonPractice, CatalogueNumbersGiveTheSameMarkWithinAQuarterInch) {
  for (const double axle_in : {31.0, 32.0, 33.0}) {
    const double mark = mark_for_height_mm(bow(axle_in, 6.75, 29.5), Length::in(practice_height_in).mm());
    EXPECT_NEAR(Length::mm(mark).in(), practice_mark_in, 0.25) << axle_in;
  }
}

TEST(CommonPractice, TheDrawCycleGivesItForTheBowThatThePairDescribes) {
  // The pair's own leg angle, 38.5° to 40.5°, is by the draw cycle that of a bow of 30 to 32 in.
  for (const double axle_in : {30.0, 31.0, 32.0}) {
    Spec spec = bow(axle_in, 6.75, 29.5);
    use_draw_cycle(spec);
    ASSERT_EQ(string_legs(spec).source, LegSource::draw_cycle);
    EXPECT_NEAR(Length::mm(mark_for_height_mm(spec, Length::in(practice_height_in).mm())).in(), practice_mark_in, 0.25)
        << axle_in;
  }
}

TEST(CommonPractice, AxlePositionsMeasuredAtFullDrawGiveTheSameMark) {
  // The same bow with its assumed travel written down as if it had been measured: source 3, same numbers.
  const Spec assumed = bow(32, 6.75, 29.5);
  Spec measured = assumed;
  measured.give(Key::full_draw_axle_to_axle, Length::in(32).mm() - assumed.value(Key::assumed_axle_closing));
  measured.give(Key::full_draw_axle_set_back, Length::in(6.75).mm() - assumed.value(Key::assumed_rest_take_off_radius) +
                                                  assumed.value(Key::assumed_axle_travel));
  measured.give(Key::full_draw_take_off_radius, assumed.value(Key::assumed_take_off_radius));
  EXPECT_EQ(string_legs(assumed).source, LegSource::assumed_travel);
  EXPECT_EQ(string_legs(measured).source, LegSource::axle_positions);
  EXPECT_DOUBLE_EQ(string_legs(measured).upper_rad, string_legs(assumed).upper_rad);
  EXPECT_NEAR(Length::mm(mark_for_height_mm(measured, Length::in(practice_height_in).mm())).in(), practice_mark_in,
              0.25);
}

TEST(CommonPractice, AFirstGuessIsFiveInchesUpTheString) {
  // About 127 mm from the nock as a first guess: common practice, no source. The mean adult on a common bow.
  EXPECT_NEAR(solve_core(bow(33, 6.75, 29.5)).mark_mm, 127, 12.7);
}

TEST(PublishedRule, TheFarDistanceIsTheCompoundTargetRound) {
  // International target rules: compound at 50 m [P2].
  EXPECT_DOUBLE_EQ(Spec().value(Key::distances_far), 50000);
}

TEST(CommonPractice, ALongerBowTakesALowerMarkForTheSameFace) {
  // Shorter axle length, sharper string, higher mark at rest for the same height at full draw (common practice).
  double previous = 1e9;
  int count = 0;
  for (double axle_in = 28; axle_in <= 40; axle_in += 0.5, ++count) {
    const double mark = mark_for_height_mm(bow(axle_in, 6.75, 29.5), 85);
    EXPECT_LT(mark, previous) << axle_in;
    previous = mark;
  }
  EXPECT_EQ(count, 25);
}

TEST(CommonPractice, TheWholeFitKeepsThatTrendAndTheHeight) {
  double previous = 1e9;
  for (double axle_in = 28; axle_in <= 40; axle_in += 1) {
    const CoreFit fit = solve_core(bow(axle_in, 6.75, 29.5));
    EXPECT_LT(fit.mark_mm, previous) << axle_in;
    EXPECT_NEAR(fit.peep_height_mm, solve_core(bow(34, 6.75, 29.5)).peep_height_mm, 2.5) << axle_in;
    previous = fit.mark_mm;
  }
}

/// The mean man of the survey data at a leg angle of 40°, with the sight and arrow of the check.
Spec reference_shooter() {
  Spec spec;
  spec.build = Build::adult_male;
  spec.give(Key::bow_draw_length, Length::in(29.5).mm());
  spec.give(Key::full_draw_string_angle, 80 * unit::degree_rad);
  spec.give(Key::string_diameter, 2.4);
  spec.give(Key::string_serving_diameter, 2.4);
  spec.give(Key::string_knots_apart, 0);  // its string bends at the nocking point
  spec.give(Key::sight_extension, 150);
  spec.give(Key::sight_housing_diameter, 44);
  spec.give(Key::arrow_shaft_diameter, 5.5);
  spec.give(Key::arrow_vane_height, 9);
  spec.give(Key::arrow_mass, 0.0259);
  spec.give(Key::arrow_speed, 85.3);
  spec.give(Key::arrow_drag_coefficient, 2.0);
  return spec;
}

TEST(IndependentImplementation, PinHeightsAndLongestDistance) {
  // The other implementation places the peep for a line of sight 2° below the arrow, whatever distance that is.
  const Spec spec = reference_shooter();
  PostureInput input;
  input.leg_angle_rad = 40 * unit::degree_rad;
  input.line_down_rad = 2 * unit::degree_rad;
  input.serving_radius_mm = 1.2;
  const double along = solve_posture(make_face(spec), input).along_string_mm;
  const SightGeometry geometry =
      geometry_of(spec, {along * std::cos(input.leg_angle_rad), 0, along * std::sin(input.leg_angle_rad)});
  const Shot shot = shot_of(spec, spec.value(Key::arrow_drag_coefficient));
  const SightBody body = body_of(spec);
  EXPECT_DOUBLE_EQ(body.below_pin_mm, 22);
  EXPECT_DOUBLE_EQ(body.envelope_radius_mm, 11.75);
  const struct {
    double distance_m, pin_mm;
  } table[] = {{10, 74.8}, {18.288, 73.2}, {30, 68.3}, {50, 58.4}, {70, 47.6}};
  for (const auto& row : table)
    EXPECT_NEAR(sight_mark(shot, geometry, body, row.distance_m).pin_height_mm, row.pin_mm, 0.2) << row.distance_m;
  const Reach reach = longest_distance(shot, geometry, body, 3);
  EXPECT_FALSE(reach.beyond_limit);
  EXPECT_NEAR(reach.longest_m, 89.1, 0.5);
}

TEST(IndependentImplementation, TheFitAtTheDistanceOfTwoDegreesIsThatOne) {
  // Choose the fit distance at which the line of sight does fall 2°; then the whole fit must give the same peep.
  Spec spec = reference_shooter();
  double near = 30, far = 60;
  for (int i = 0; i < 60; ++i) {
    const double middle = (near + far) / 2;
    spec.give(Key::distances_far, 90000);
    spec.give(Key::distances_fit, middle * 1000);
    (solve_core(spec).line_down_rad < 2 * unit::degree_rad ? near : far) = middle;
  }
  const CoreFit fit = solve_core(spec);
  EXPECT_NEAR(fit.posture.along_string_mm, 133.3, 0.3);
  EXPECT_NEAR(fit.peep_height_mm, 85.7, 0.3);
  EXPECT_NEAR(fit.eye_to_peep_mm, 89.2, 0.5);
}

TEST(PublishedTrend, EyeAndHandGoWithTheDistance) {
  // With a peep fixed on the string the hand goes lower on the face for far shots: a national federation's FAQ [P2].
  const Fit fit = solve_fit(reference_shooter());
  EXPECT_GT(fit.eye_travel_mm, 0.5);
}

TEST(TiedPeep, LowerRaisesTheArrowOnTheFaceAndShortensTheReach) {
  int compared = 0;
  for (const Build build : {Build::adult_male, Build::adult_female})
    for (const double leg_deg : {36.0, 40.0, 46.0}) {
      Spec spec = reference_shooter();
      spec.build = build;
      spec.give(Key::full_draw_string_angle, 2 * leg_deg * unit::degree_rad);
      const double fitted = solve_core(spec).mark_mm;
      double previous_eye = -1e9, previous_reach = -1;
      for (double off = -20; off <= 20; off += 4) {
        spec.give(Key::tied_mark, fitted + off);
        const Fit tied = solve_fit(spec, Peep::tied);
        // The arrow's place on the face is the eye's height above it: the lower the peep, the nearer the arrow.
        EXPECT_GT(tied.core.posture.pupil.z, previous_eye) << leg_deg << ' ' << off;
        EXPECT_GT(tied.reach.longest_m, previous_reach) << leg_deg << ' ' << off;
        previous_eye = tied.core.posture.pupil.z;
        previous_reach = tied.reach.longest_m;
        ++compared;
      }
    }
  EXPECT_EQ(compared, 2 * 3 * 11);
}

}  // namespace
}  // namespace peepwright
