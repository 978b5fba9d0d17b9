// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/axis.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

Ticks round_ticks(double low, double high, int most) {
  if (!std::isfinite(low) || !std::isfinite(high) || low > high || most < least_ticks)
    throw Error(ErrorCode::internal, "drawing: an axis needs two finite ends in order and room for three ticks.");
  constexpr double largest = 1e100;
  if (std::max(std::abs(low), std::abs(high)) > largest)
    throw Error(ErrorCode::input, "a chart cannot show numbers beyond 1e100; check the inputs");
  constexpr double smallest = 1e-100;
  if (std::max(std::abs(low), std::abs(high)) < smallest) low = high = 0;
  // Ends that differ by rounding only are one value.
  const double size = std::max(std::abs(low), std::abs(high));
  if (high - low <= 1e-9 * size || high == low) {
    const double half = size > 0 ? 0.1 * size : 1;
    low -= half;
    high += half;
  }
  Ticks out;
  double step = 0;
  long first = 0, last = 0;
  int power = static_cast<int>(std::floor(std::log10((high - low) / most)));
  for (bool found = false; !found; ++power)
    for (const int digit : {1, 2, 5}) {
      step = digit * std::pow(10.0, power);
      constexpr double rounding = 1e-9;
      first = std::lround(std::floor(low / step + rounding));
      last = std::lround(std::ceil(high / step - rounding));
      if ((found = last - first + 1 <= most)) break;
    }
  --power;
  constexpr int long_number = 5, group = 3;
  const int digits_before =
      static_cast<int>(std::floor(std::log10(static_cast<double>(std::max(std::abs(first), std::abs(last))) * step))) +
      1;
  if (digits_before > long_number || power < -long_number + 1)
    out.exponent = group * static_cast<int>(std::floor((digits_before - 1) / static_cast<double>(group)));
  const int decimals = std::max(0, out.exponent - power);
  for (long k = first; k <= last; ++k) {
    out.at.push_back(static_cast<double>(k) * step);
    out.labels.push_back(number_text(out.at.back() / std::pow(10.0, out.exponent), std::min(decimals, 12)));
  }
  out.from = out.at.front();
  out.to = out.at.back();
  return out;
}

}  // namespace peepwright
