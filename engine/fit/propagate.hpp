// SPDX-License-Identifier: GPL-3.0-or-later
// Propagation of uncertainty (JCGM 100:2008, the GUM), for independent inputs.
#pragma once

#include <functional>
#include <span>

namespace peepwright {

/// The result when one input is moved off its estimate by `by`.
using MovedResult = std::function<double(double by)>;

/// Signed ½ (f(x + u) − f(x − u)): what one input's standard uncertainty does to the result (GUM 5.1.3, note 2).
/// Where a step of u is not possible (f throws Error) a tenth, then a hundredth of it is taken and scaled up.
double contribution(const MovedResult& result, double standard_uncertainty);

/// Root of the sum of squares (GUM 5.1.2).
double combined(std::span<const double> contributions);

}  // namespace peepwright
