// SPDX-License-Identifier: GPL-3.0-or-later
// Quantity to text for people. None of these looks at the locale.
#pragma once

#include <string>

#include "engine/quantity/parse.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {

/// What lengths on paper are written in.
enum class PaperUnits { millimetres, inches };

/// Nearest 1/32 in, reduced, as the trade writes it: "6 1/4 in", "3/32 in", "-1/2 in", "0 in".
std::string inches_text(Length length);

/// "133.3 mm"; `digits` after the point. Never "-0.0".
std::string mm_text(Length length, int digits = 1);

/// Both, the wanted one first: "133.3 mm (5 1/4 in)".
std::string both_text(Length length, PaperUnits first);
/// The same of millimetres, which stand first: for messages, which do not know the reader's ruler.
std::string both_text(double mm);

/// Decimal number with `digits` after the point, never "-0.0", never an exponent for |v| < 1e15.
std::string number_text(double value, int digits);

/// As every results file holds numbers: to a billionth, since more digits are noise of the solver and may differ
/// between machines; never -0.
double to_billionth(double value);

/// A value in the internal unit of `dimension`, shown in the unit people use: lengths in mm, angles in
/// degrees, masses in grams, the rest as they are. The unit alone is `shown_unit`.
double shown_value(double internal, Dimension dimension);
std::string_view shown_unit(Dimension dimension);

/// Both, for messages: "857.25 mm", "78.5 deg", "0.8"; six digits.
std::string shown_text(double internal, Dimension dimension);
/// A value in the unit a person wrote it in, and beside it in `shown_unit` where that is another: "60 yd (54864 mm)".
std::string text_as_written(double internal, Dimension dimension, std::string_view unit);
/// A range in the same way, to four digits in the unit written: "0.5906 in to 11.81 in (15 mm to 300 mm)".
std::string range_as_written(double least, double most, Dimension dimension, std::string_view unit);

/// Text that `parse_quantity` reads back to exactly the same number: for programs that embed the engine and write input
/// files of their own.
std::string exact_text(double internal, Dimension dimension);

}  // namespace peepwright
