// SPDX-License-Identifier: GPL-3.0-or-later
// How unlike two words are, for messages that guess at what was meant.
#pragma once

#include <cstddef>
#include <string_view>

namespace peepwright {

/// The least number of letters put in, left out, replaced, or changed over with their neighbour, that makes one of the
/// other (Damerau 1964; no letter is touched twice). Work and memory grow with the product of the lengths.
std::size_t edits(std::string_view a, std::string_view b);

}  // namespace peepwright
