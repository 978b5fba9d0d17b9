// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/propagate.hpp"

#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright {

double contribution(const MovedResult& result, double standard_uncertainty) {
  for (const double share : {1.0, 0.1}) {
    try {
      return (result(share * standard_uncertainty) - result(-share * standard_uncertainty)) / (2 * share);
    } catch (const Error&) {
      // At the very edge of what can be; nearer by it may work.
    }
  }
  constexpr double last = 0.01;
  return (result(last * standard_uncertainty) - result(-last * standard_uncertainty)) / (2 * last);
}

double combined(std::span<const double> contributions) {
  double squares = 0;
  for (const double c : contributions) squares += c * c;
  return std::sqrt(squares);
}

}  // namespace peepwright
