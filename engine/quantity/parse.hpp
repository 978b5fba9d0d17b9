// SPDX-License-Identifier: GPL-3.0-or-later
// Text to quantity, as people in a bow shop write it: "33 1/4 in", "3-7/8in", "95 mm", "280 ft/s", "400 gr".
#pragma once

#include <string_view>

#include "engine/quantity/error.hpp"

namespace peepwright {

/// The dimensions a value in an input file may have.
enum class Dimension { length, angle, mass, speed, force, ratio, number };

/// The unit that `Dimension` is kept in inside the engine: "mm", "rad", "kg", "m/s", "N", "" for pure numbers.
std::string_view internal_unit(Dimension dimension);

/// The units a person may write, for messages: "mm, cm, m, in, ft, yd".
std::string_view accepted_units(Dimension dimension);

/// An example of a well-written value, for messages: "33 1/4 in".
std::string_view example_value(Dimension dimension);

/// How much one `unit` is in the internal unit; 0 for one that `dimension` has not.
double size_of_unit(std::string_view unit, Dimension dimension);

/// A value in the internal unit, and the unit it was written in by its first name: "in" for `"` and "inches".
struct WrittenQuantity {
  double value = 0;
  std::string_view unit;
};

/// Reads `text` as a value of `dimension`.
///
/// A number is decimal ("6.75"), a fraction below one ("7/8") or a whole number and such a fraction ("33 1/4",
/// "33-1/4", "33¼"); a sign may stand before it. Lengths also read as whole feet and inches ("2' 9 1/4\"", "2 ft 9
/// in"), ratios as "75 %". Typographic primes, quotes, fraction slashes and spaces count as the plain ones. Numbers
/// need no unit only where the dimension has none (ratio, number). Throws Error(input), with no location: what is wrong
/// and what is accepted.
WrittenQuantity parse_written(std::string_view text, Dimension dimension);

/// The same, its value alone: in mm, rad, kg, m/s, N, 1.
double parse_quantity(std::string_view text, Dimension dimension);

}  // namespace peepwright
