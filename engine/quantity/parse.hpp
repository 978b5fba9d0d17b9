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

/// Reads `text` as a value of `dimension` and returns it in the internal unit (mm, rad, kg, m/s, N, 1).
///
/// A number is decimal ("6.75"), a fraction ("7/8") or a whole number and a fraction ("33 1/4", "33-1/4");
/// a sign may stand before it. Ratios also read as "75 %". Numbers need no unit only where the dimension
/// has none (ratio, number).
/// Throws Error(input), with no location: what is wrong and what is accepted.
double parse_quantity(std::string_view text, Dimension dimension);

}  // namespace peepwright
