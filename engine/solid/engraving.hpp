// SPDX-License-Identifier: GPL-3.0-or-later
// Figures as short straight strokes that do not touch, so that each can be cut on its own and no tool runs into
// another. Flat: x to the right, y up, mm.
#pragma once

#include <string_view>
#include <vector>

namespace peepwright::solid {

/// An upright rectangle.
struct Stroke {
  double left = 0, right = 0, low = 0, high = 0;
};

struct Lettering {
  double height_mm = 4, width_mm = 1.8;  ///< of one figure, outside
  double stroke_mm = 0.5;
  double gap_mm = 0.6;  ///< between figures
};

/// Width that `text` takes.
double text_width(std::string_view text, const Lettering& lettering);

/// Strokes of `text`, its left lower corner at (0, 0). Digits, '.', 'P', 'E'; anything else is left blank.
std::vector<Stroke> text_strokes(std::string_view text, const Lettering& lettering);

}  // namespace peepwright::solid
