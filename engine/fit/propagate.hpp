// SPDX-License-Identifier: GPL-3.0-or-later
// Propagation of uncertainty (JCGM 100:2008, the GUM), for independent inputs.
#pragma once

#include <functional>
#include <span>

#include "engine/quantity/attempt.hpp"

namespace peepwright {

/// The result when one input is moved off its estimate by `by`.
using MovedResult = std::function<double(double by)>;

/// `act(share)` for a share of 1, where that is not possible (Error(input)) of a tenth, then of a hundredth: an
/// estimate may lie at the very edge of what can be.
template <class Act>
auto with_share_possible(const Act& act) {
  for (const double share : {1.0, 0.1})
    if (auto result = if_possible([&] { return act(share); })) return *result;
  constexpr double last = 0.01;
  return act(last);
}

/// Signed ½ (f(x + u) − f(x − u)): what one input's standard uncertainty does to the result (GUM 5.1.3, note 2).
/// Where a step of u is not possible a smaller share of it is taken and scaled up.
double contribution(const MovedResult& result, double standard_uncertainty);

/// Root of the sum of squares (GUM 5.1.2).
double combined(std::span<const double> contributions);

}  // namespace peepwright
