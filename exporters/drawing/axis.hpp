// SPDX-License-Identifier: GPL-3.0-or-later
// Round numbers along an axis.
#pragma once

#include <string>
#include <vector>

namespace peepwright {

/// Ticks at whole multiples of 1, 2 or 5 times a power of ten; the axis begins and ends at one.
struct Ticks {
  double from = 0, to = 1;
  std::vector<double> at;
  std::vector<std::string> labels;  ///< of the values divided by 10^exponent
  int exponent = 0;                 ///< not 0 where the numbers would be long: a multiple of 3
};

/// Fewer cannot span both sides of zero with round steps.
inline constexpr int least_ticks = 3;

/// At most `most` ≥ `least_ticks` ticks that span `low` to `high`; equal ends are spread apart. Throws Error(internal)
/// for what is not finite or `low` > `high`, and Error(input) for numbers beyond 1e100.
Ticks round_ticks(double low, double high, int most);

}  // namespace peepwright
