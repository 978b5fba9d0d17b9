// SPDX-License-Identifier: GPL-3.0-or-later
// Positions in a layout file: "tie_top + 1.5", "max(peep_width / 2, 4)".
#pragma once

#include <map>
#include <string>
#include <string_view>

namespace peepwright::print {

using Names = std::map<std::string, double, std::less<>>;

/// + - * / ( ) min(a, b) max(a, b), numbers and names. Throws Error(input): what is wrong, in which text.
double evaluate(std::string_view expression, const Names& names);

}  // namespace peepwright::print
