// SPDX-License-Identifier: GPL-3.0-or-later
// Continuation along the draw: from a known state to a wanted draw in steps Newton can take.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

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

}  // namespace peepwright
