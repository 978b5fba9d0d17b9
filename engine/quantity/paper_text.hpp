// SPDX-License-Identifier: GPL-3.0-or-later
// How a number is said to those who measure in inches and yards: these first, millimetres and metres after.
#pragma once

#include <string>
#include <string_view>

#include "engine/quantity/format.hpp"

namespace peepwright {

/// Lengths that a ruler's fractions are too coarse for (clearances, uncertainties): "1.1 mm", or "0.04 in (1.1 mm)".
/// `digits` after the point in mm, one more in inches. `sign`: "+" before what is not negative.
std::string fine_text(double mm, PaperUnits units, int digits = 1, bool sign = false);

/// Bores differ by less than a ruler shows: "4.33 mm (0.170 in)", or "0.170 in (4.33 mm)"; a drill size of whole 1/64
/// in by its fraction, "3.97 mm (5/32 in)".
std::string bore_text(Length bore, PaperUnits first);

/// "18 m", "22.9 m", or "20 yd" where inches are wanted.
std::string distance_text(double distance_m, PaperUnits units);

/// "54.86 m", or "60 yd (54.86 m)".
std::string both_distance_text(double distance_m, PaperUnits units);

/// A value in the unit that tables show (mm, m, g, m/s, N, J …), in what goes with inches (in, yd, gr, ft/s, lbf, ft
/// lbf) where these are wanted; other units stay.
struct ShownQuantity {
  double value = 0;
  std::string unit;
};
ShownQuantity shown_in(double value, std::string_view unit, PaperUnits units);

}  // namespace peepwright
