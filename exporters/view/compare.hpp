// SPDX-License-Identifier: GPL-3.0-or-later
// Two fits over one another: this bow and a shorter one, or a peep as it is tied and as it should be.
#pragma once

#include <string>
#include <vector>

#include "exporters/view/side_view.hpp"

namespace peepwright {

/// One number of both fits.
struct ComparedRow {
  std::string name, unit;
  double a = 0, b = 0;
  std::string words_a, words_b;  ///< instead of the numbers, where they need more
};

/// Mark, peep, head, eye travel, arrow on the face, longest distance: what a coach explains the difference by.
/// Lengths in mm or in, angles in deg, distances in m or yd.
std::vector<ComparedRow> compared(const Fit& a, const Fit& b, PaperUnits units);

/// As text for the terminal, ends with a newline. Lengths and distances are told in `units`. Throws Error(input) where
/// the hands differ, as the sheet does.
std::string comparison_text(const Fit& a, const Fit& b, PaperUnits units);

/// One page: A in full lines, B in dashed ones, told apart without colour; the numbers beside it, what either forbids
/// (`options.warnings`) above.
Canvas comparison_sheet(const Fit& a, const SideScene& scene_a, const Fit& b, const SideScene& scene_b,
                        const SideViewOptions& options);

}  // namespace peepwright
