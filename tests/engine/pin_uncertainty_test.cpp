// SPDX-License-Identifier: GPL-3.0-or-later
// How sure sight marks are, against draws of the inputs (JCGM 101:2008: propagation by a Monte Carlo method).
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/fit/budget.hpp"
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
  double pin = 0, from_first = 0;
};

/// Standard deviations over `count` draws of every uncertain input, and of how the head settles, of the last mark and
/// of its distance from the first.
Spread drawn(const Spec& given, const Fit& fit, int count) {
  const Spec spec = with_spreads(given);
  std::mt19937 random(20261125);
  std::normal_distribution<double> normal;
  double sum_pin = 0, squares_pin = 0, sum_gap = 0, squares_gap = 0;
  for (int i = 0; i < count; ++i) {
    Spec one = spec;
    for (const KeyInfo& row : all_keys()) {
      const Input& input = spec[row.key];
      if (input.status == Status::absent || input.status == Status::chosen || !(input.uncertainty > 0)) continue;
      one.nudge(row.key, input.uncertainty * normal(random));
    }
    CoreFit core = solve_core(one);
    const double settles_mm = fit.core.posture.along_string_sd_mm * normal(random);
    core.peep.x += settles_mm * std::cos(core.legs.upper_rad);
    core.peep.z += settles_mm * std::sin(core.legs.upper_rad);
    const auto pin = [&](const MarkRow& row) {
      return sight_mark(shot_of(one, core.drag_coefficient), geometry_of(one, core.peep), body_of(one),
                        row.mark.distance_m)
          .pin_height_mm;
    };
    const double last = pin(fit.marks.back()), gap = last - pin(fit.marks.front());
    sum_pin += last, squares_pin += last * last, sum_gap += gap, squares_gap += gap * gap;
  }
  const auto deviation = [&](double sum, double squares) {
    return std::sqrt(squares / count - (sum / count) * (sum / count));
  };
  return {deviation(sum_pin, squares_pin), deviation(sum_gap, squares_gap)};
}

TEST(PinUncertainty, IsTheSpreadOfDrawnInputs) {
  const Spec spec = measured();
  const Fit fit = solve_fit(spec);
  const std::vector<PinUncertainty> pins = pin_uncertainties(spec, fit);
  ASSERT_EQ(pins.size(), fit.marks.size());
  const Spread by_draws = drawn(spec, fit, 2000);  // its own give or take: 1.6 %
  EXPECT_NEAR(pins.back().pin_mm / 2, by_draws.pin, 0.06 * by_draws.pin);
  EXPECT_NEAR(pins.back().from_first_mm / 2, by_draws.from_first, 0.06 * by_draws.from_first);
}

// A few metres away a pin moves by less than the eye: there the head counts in the distance between marks, too.
TEST(PinUncertainty, IsTheSpreadOfDrawnInputsNearTheArcherToo) {
  Spec spec = measured();
  spec.give(Key::distances_near, 3000);
  spec.mark_distances = {Length::m(3), Length::m(5)};
  const Fit fit = solve_fit(spec);
  const std::vector<PinUncertainty> pins = pin_uncertainties(spec, fit);
  const Spread by_draws = drawn(spec, fit, 2000);
  EXPECT_NEAR(pins.back().pin_mm / 2, by_draws.pin, 0.06 * by_draws.pin);
  EXPECT_NEAR(pins.back().from_first_mm / 2, by_draws.from_first, 0.06 * by_draws.from_first);
}

TEST(PinUncertainty, GrowsFromTheFirstMarkOn) {
  const Spec spec = measured();
  const std::vector<PinUncertainty> pins = pin_uncertainties(spec, solve_fit(spec));
  EXPECT_EQ(pins.front().from_first_mm, 0);
  for (std::size_t i = 1; i < pins.size(); ++i) EXPECT_GT(pins[i].from_first_mm, pins[i - 1].from_first_mm);
}

TEST(PinUncertainty, OfAnArrowThatNobodyMeasuredIsLarger) {
  Spec spec = measured();
  const double known = pin_uncertainties(spec, solve_fit(spec)).back().from_first_mm;
  spec.forget(Key::arrow_speed);
  EXPECT_GT(pin_uncertainties(spec, solve_fit(spec)).back().from_first_mm, 3 * known);
}

}  // namespace
}  // namespace peepwright
