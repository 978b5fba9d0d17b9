// SPDX-License-Identifier: GPL-3.0-or-later
// Continuation along the draw: from a known state to a wanted draw in steps Newton can take, and where on the way the
// force is level.
#pragma once

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

namespace peepwright {

/// Longest step of a draw cycle that is followed; limbs and cams move by a few degrees in it.
inline constexpr double follow_step_mm = 20;
/// A step that fails is halved down to this; then the cycle ends there.
inline constexpr double shortest_follow_step_mm = 0.05;
/// A Newton step of limb or cam larger than this has left the branch, perhaps across draws that cannot be had: it
/// counts as failed, and shorter steps decide.
inline constexpr double off_branch_rad = 0.25;
/// No string is longer: draws beyond it, and what is no number, are not looked for.
inline constexpr double longest_draw_mm = 1e4;

/// `solve(draw_mm, near)` gives the state at a draw from a state nearby, or nothing. State has `draw_mm`.
template <typename State, typename Solve>
std::optional<State> follow_in_steps(double draw_mm, const State& from, const Solve& solve) {
  if (!(draw_mm > 0 && draw_mm < longest_draw_mm)) return std::nullopt;
  State s = from;
  double step = follow_step_mm;
  do {
    const double left = draw_mm - s.draw_mm;
    const double next = std::abs(left) <= step ? draw_mm : s.draw_mm + std::copysign(step, left);
    if (auto reached = solve(next, s)) {
      s = *reached;
      step = std::min(2 * step, follow_step_mm);
    } else {
      step /= 2;
      if (step < shortest_follow_step_mm) return std::nullopt;
    }
  } while (s.draw_mm != draw_mm);
  return s;
}

inline constexpr double one_turn_rad = 2 * std::numbers::pi;

/// First peak of the draw force after rest and the valley behind it. `slope(state)` is the force's by the draw; where
/// it changes its sign the place is found to `bits` of the draw. Nothing where a step fails, where `past(state)` says
/// that a cam has turned too far, or where the draw would pass `end_mm`.
template <typename State, typename Solve, typename Slope, typename Past>
std::optional<std::pair<State, State>> peak_then_valley(const State& rest, double end_mm, const Solve& solve,
                                                        const Slope& slope, const Past& past, int bits) {
  const auto level_between = [&](const State& before, const State& after) {
    const auto slope_at = [&](double draw) {
      const std::optional<State> s = solve(draw, before);
      return s ? slope(*s) : std::numeric_limits<double>::quiet_NaN();
    };
    std::uintmax_t iterations = 60;
    const auto interval =
        boost::math::tools::toms748_solve(slope_at, before.draw_mm, after.draw_mm, slope(before), slope(after),
                                          boost::math::tools::eps_tolerance<double>(bits), iterations);
    return solve((interval.first + interval.second) / 2, before);
  };
  State before = rest;
  std::optional<State> peak;
  while (before.draw_mm < end_mm) {
    const std::optional<State> after = solve(std::min(before.draw_mm + follow_step_mm, end_mm), before);
    if (!after || past(*after)) return std::nullopt;
    if (!peak && slope(*after) < 0) {
      if (slope(before) < 0) return std::nullopt;
      peak = level_between(before, *after);
      if (!peak) return std::nullopt;
    } else if (peak && slope(*after) >= 0) {
      if (auto valley = level_between(before, *after)) return std::pair{*peak, *valley};
      return std::nullopt;
    }
    before = *after;
  }
  return std::nullopt;
}

}  // namespace peepwright
