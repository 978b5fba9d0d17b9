// SPDX-License-Identifier: GPL-3.0-or-later
// The strip on paper: pieces that fit the page, and what stands beside them.
#pragma once

#include <vector>

#include "exporters/print/shapes.hpp"

namespace peepwright::print {

/// Where the strip may end at the earliest, mm above the datum.
double strip_end(const Layout& layout, const StripData& data);

/// Cuts the strip into pieces of at most `reach_mm`; one piece if it fits, and that one fills the page.
/// Throws Error(input) when no match line can be placed.
std::vector<Tile> plan_tiles(const Layout& layout, const StripData& data, double reach_mm);

/// Every sheet, text boxes recorded. The data must have been checked.
Canvas draw_sheets(const Layout& layout, const StripData& data, const std::string& paper,
                   const PrinterCorrection& correction);

/// Throws Error(input), naming the value, what it was and what is accepted.
void check_strip(const StripData& data, const PrinterCorrection& correction);

}  // namespace peepwright::print
