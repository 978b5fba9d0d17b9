// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/propagate.hpp"

#include <cmath>

namespace peepwright {

double contribution(const MovedResult& result, double standard_uncertainty) {
  return with_share_possible([&](double share) {
    return (result(share * standard_uncertainty) - result(-share * standard_uncertainty)) / (2 * share);
  });
}

double combined(std::span<const double> contributions) {
  double squares = 0;
  for (const double c : contributions) squares += c * c;
  return std::sqrt(squares);
}

}  // namespace peepwright
