// SPDX-License-Identifier: GPL-3.0-or-later
// Reads the survey tables that are built into the engine.
#pragma once

#include <string_view>
#include <vector>

namespace peepwright::face_data {

using Row = std::vector<std::string_view>;

/// Rows after the header. The fields we read stand before any quoted one, so a plain split will do.
std::vector<Row> rows_of(std::string_view csv);

/// Throws Error(internal) where `field` is no number.
double number(std::string_view field);

}  // namespace peepwright::face_data
