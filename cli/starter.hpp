// SPDX-License-Identifier: GPL-3.0-or-later
// Starter files in one system of units, or as the trade mixes them.
#pragma once

#include <string>
#include <string_view>

namespace peepwright::cli {

/// `text` with one of the two in the place of every "95 mm|3 3/4 in": that of `units`, "mm" or "in"; the first for "".
std::string starter_text(std::string_view text, std::string_view units);

}  // namespace peepwright::cli
