// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace peepwright {

/// `text`, a whole STEP file with UTF-8 in its strings, in plain ASCII: letters beyond it become \X2\hhhh\X0\ and
/// \X4\hhhhhhhh\X0\ (ISO 10303-21:2016, 6.4.3.3). Line ends that stand inside a letter, where the kernel broke a long
/// string, are moved behind it. A byte that belongs to no letter becomes "?".
std::string part21_text(std::string_view text);

}  // namespace peepwright
