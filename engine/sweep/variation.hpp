// SPDX-License-Identifier: GPL-3.0-or-later
// One key of the spec that a sweep varies.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "engine/spec/key.hpp"

namespace peepwright {

/// Evenly spaced values of one numeric key, in its internal unit (mm, rad, kg, m/s, N, 1).
struct Variation {
  Key key = Key::bow_axle_to_axle;
  double from = 0, to = 0, step = 0;
  std::uint64_t count = 0;  ///< of grid values: from, from + step … up to `to`

  /// Grid value `i` < count. The last one is `to` itself where the steps end there.
  [[nodiscard]] double grid_value(std::uint64_t i) const;
};

/// A key takes at most so many values in one sweep.
inline constexpr std::uint64_t most_values = 1'000'000;

/// Reads "bow.axle_to_axle=28 in..36 in/0.5 in". Each of the three carries its unit where the key has one.
/// Throws Error(input): an unknown key (with the nearest), one that cannot be varied, a value outside what the key
/// accepts, an empty range, a step of 0 or less, more than `most_values` values.
Variation parse_variation(std::string_view text);

/// "bow.axle_to_axle_mm": the key and its shown unit, as a column is named.
std::string column_name(Key key);

}  // namespace peepwright
