// SPDX-License-Identifier: GPL-3.0-or-later
// How sure sight marks are, against draws of the inputs (JCGM 101:2008: propagation by a Monte Carlo method).
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/fit/budget.hpp"
#include "engine/quantity/attempt.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

Spec measured() {
  Spec spec = test::shop_spec();
  spec.give(Key::full_draw_string_angle, 84 * unit::degree_rad);
  spec.give(Key::face_eye_to_arrow, 90);
  spec.give(Key::face_hollow_below_eye, 83);  // statistics alone would draw faces that are none
  spec.give(Key::face_chin_below_eye, 98);
  spec.give(Key::face_mouth_corner_below_eye, 67);
  spec.give(Key::face_nose_tip_below_eye, 38);
  spec.give(Key::face_nose_tip_ahead_of_eye, 38);
  spec.give(Key::arrow_speed, 80);
  spec.give(Key::sight_extension, 230);
  return spec;
}

struct Spread {
  double pin = 0, from_first = 0, lowest = 0, longest_m = 0;
};

class Scatter {
 public:
  void add(double v) { ++count_, sum_ += v, squares_ += v * v; }
  [[nodiscard]] double deviation() const { return std::sqrt(squares_ / count_ - (sum_ / count_) * (sum_ / count_)); }

 private:
  double count_ = 0, sum_ = 0, squares_ = 0;
};

/// Standard deviations over `count` draws of every uncertain input, and of how the head settles, of the last mark, of
/// its distance from the first, of the lowest clearance and of the longest distance.
Spread drawn(const Spec& given, const Fit& fit, int count) {
  const Spec spec = with_spreads(given);
  std::mt19937 random(20261125);
  std::normal_distribution<double> normal;
  Scatter pins, gaps, lowest, longest;
  for (int i = 0; i < count; ++i) {
    Spec one = spec;
    for (const KeyInfo& row : all_keys()) {
      const Input& input = spec[row.key];
      if (input.status == Status::absent || input.status == Status::chosen || !(input.uncertainty > 0)) continue;
      one.nudge(row.key, input.uncertainty * normal(random));
    }
    const auto solved = if_possible([&] { return solve_core(one, fit.peep); });
    if (!solved) continue;  // a face that is none
    CoreFit core = *solved;
    const double settles_mm = fit.core.posture.along_string_sd_mm * normal(random);
    core.peep.x += settles_mm * std::cos(core.legs.upper_rad);
    core.peep.z += settles_mm * std::sin(core.legs.upper_rad);
    const Shot shot = shot_of(one, core.drag_coefficient);
    const SightGeometry geometry = geometry_of(one, core.peep);
    const auto at = [&](const SightMark& mark) { return sight_mark(shot, geometry, body_of(one), mark.distance_m); };
    const double last = at(fit.marks.back().mark).pin_height_mm;
    pins.add(last);
    gaps.add(last - at(fit.marks.front().mark).pin_height_mm);
    lowest.add(at(fit.lowest).clearance_mm);
    longest.add(longest_distance(shot, geometry, body_of(one), one.value(Key::wanted_sight_arrow)).longest_m);
  }
  return {pins.deviation(), gaps.deviation(), lowest.deviation(), longest.deviation()};
}

TEST(PinUncertainty, IsTheSpreadOfDrawnInputs) {
  const Spec spec = measured();
  const Fit fit = solve_fit(spec);
  const std::vector<PinUncertainty> pins = sight_uncertainty(spec, fit).pins;
  ASSERT_EQ(pins.size(), fit.marks.size());
  const Spread by_draws = drawn(spec, fit, 8000);  // its own give or take: 0.8 %
  EXPECT_NEAR(pins.back().pin_mm / 2, by_draws.pin, 0.06 * by_draws.pin);
  EXPECT_NEAR(pins.back().from_first_mm / 2, by_draws.from_first, 0.06 * by_draws.from_first);
}

// A few metres away a pin moves by less than the eye: there the head counts in the distance between marks, too.
TEST(PinUncertainty, IsTheSpreadOfDrawnInputsNearTheArcherToo) {
  Spec spec = measured();
  spec.give(Key::distances_near, 3000);
  spec.mark_distances = {Length::m(3), Length::m(5)};
  const Fit fit = solve_fit(spec);
  const std::vector<PinUncertainty> pins = sight_uncertainty(spec, fit).pins;
  const Spread by_draws = drawn(spec, fit, 2000);
  EXPECT_NEAR(pins.back().pin_mm / 2, by_draws.pin, 0.06 * by_draws.pin);
  EXPECT_NEAR(pins.back().from_first_mm / 2, by_draws.from_first, 0.06 * by_draws.from_first);
}

TEST(PinUncertainty, GrowsFromTheFirstMarkOn) {
  const Spec spec = measured();
  const std::vector<PinUncertainty> pins = sight_uncertainty(spec, solve_fit(spec)).pins;
  EXPECT_EQ(pins.front().from_first_mm, 0);
  for (std::size_t i = 1; i < pins.size(); ++i) EXPECT_GT(pins[i].from_first_mm, pins[i - 1].from_first_mm);
}

TEST(PinUncertainty, OfAnArrowThatNobodyMeasuredIsLarger) {
  Spec spec = measured();
  const double known = sight_uncertainty(spec, solve_fit(spec)).pins.back().from_first_mm;
  spec.forget(Key::arrow_speed);
  EXPECT_GT(sight_uncertainty(spec, solve_fit(spec)).pins.back().from_first_mm, 3 * known);
}

TEST(SightUncertainty, LowestClearanceAndLongestDistanceSpreadAsDrawnInputsDo) {
  Spec spec = measured();
  spec.give(Key::tied_mark, 120);
  for (const Peep peep : {Peep::to_place, Peep::tied}) {
    const Fit fit = solve_fit(spec, peep);
    const SightUncertainty sight = sight_uncertainty(spec, fit);
    ASSERT_TRUE(sight.longest_m);
    const Spread by_draws = drawn(spec, fit, 2000);
    EXPECT_NEAR(sight.lowest_clearance_mm / 2, by_draws.lowest, 0.06 * by_draws.lowest);
    EXPECT_NEAR(*sight.longest_m / 2, by_draws.longest_m, 0.06 * by_draws.longest_m);
    // The clearance there over how fast it falls with distance: the same by another way.
    const auto clearance = [&](double distance_m) {
      return sight_mark(shot_of(spec, fit.core.drag_coefficient), geometry_of(spec, fit.core.peep), body_of(spec),
                        distance_m)
          .clearance_mm;
    };
    const double falls = (clearance(fit.reach.longest_m - 1) - clearance(fit.reach.longest_m + 1)) / 2;
    Spec there = spec;
    there.give(Key::distances_far, 1000 * fit.reach.longest_m);
    const SightUncertainty at_end = sight_uncertainty(there, solve_fit(there, peep));
    EXPECT_NEAR(*sight.longest_m, at_end.lowest_clearance_mm / falls, 0.05 * *sight.longest_m);
  }
}

// The peep that is tied stands where it was measured: no face moves its pin.
TEST(SightUncertainty, OfATiedPeepIsSmaller) {
  Spec spec = measured();
  spec.forget(Key::face_eye_to_arrow);  // which a peep that is tied does not hang on
  spec.give(Key::tied_mark, solve_core(spec).mark_mm);
  const SightUncertainty tied = sight_uncertainty(spec, solve_fit(spec, Peep::tied)),
                         placed = sight_uncertainty(spec, solve_fit(spec));
  EXPECT_LT(tied.pins.back().pin_mm, 0.7 * placed.pins.back().pin_mm);
  // Housing and vanes that nobody measured are in both.
  EXPECT_LT(tied.lowest_clearance_mm, 0.95 * placed.lowest_clearance_mm);
}

// Where the vanes begin to strike is the longest distance of a sight that wants no room.
TEST(SightUncertainty, OfWhereTheVanesBeginToStrike) {
  Spec spec = measured();
  EXPECT_FALSE(sight_uncertainty(spec, solve_fit(spec)).strikes_past_m);  // they do not
  spec.give(Key::sight_bar_drop, 50);
  const Fit fit = solve_fit(spec);
  ASSERT_LT(fit.lowest.clearance_mm, 0);
  const std::optional<double> strikes_past_m = sight_uncertainty(spec, fit).strikes_past_m;
  spec.give(Key::wanted_sight_arrow, 0);
  const SightUncertainty no_room = sight_uncertainty(spec, solve_fit(spec));
  ASSERT_TRUE(no_room.longest_m && strikes_past_m);
  EXPECT_GT(*strikes_past_m, 1);
  EXPECT_NEAR(*strikes_past_m, *no_room.longest_m, 1e-9);
}

TEST(SightUncertainty, IsNoneOfADistanceThatIsNone) {
  Spec spec = measured();
  spec.give(Key::sight_bar_drop, 90);
  Fit fit = solve_fit(spec);
  ASSERT_EQ(fit.reach.longest_m, 0);
  EXPECT_FALSE(sight_uncertainty(spec, fit).longest_m);
  spec.give(Key::sight_bar_drop, 0);
  spec.give(Key::arrow_speed, 129);
  spec.give(Key::sight_housing_diameter, 10);
  spec.give(Key::sight_extension, 0);
  fit = solve_fit(spec);
  ASSERT_TRUE(fit.reach.beyond_limit);
  EXPECT_FALSE(sight_uncertainty(spec, fit).longest_m);
}

}  // namespace
}  // namespace peepwright
