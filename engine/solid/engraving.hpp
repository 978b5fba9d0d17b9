// SPDX-License-Identifier: GPL-3.0-or-later
// Figures as short straight strokes that do not touch, so that each can be cut on its own and no tool runs into
// another. Flat: x to the right, y up, mm.
#pragma once

#include <string_view>
#include <vector>

#include "engine/solid/shape.hpp"

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

/// `shape` with a pocket `depth_mm` deep under each stroke, in its flat face square to x that lies at the least x. A
/// stroke's x is y of the shape, its y is z. Strokes lie inside that face (or faces, when it is parted), clear of its
/// edges and of each other. Built edge by edge: a boolean of hundreds of tools takes seconds. Throws Error(internal)
/// when a stroke lies outside, or the result is not one sound solid of the right volume.
Shape engraved(const Shape& shape, const std::vector<Stroke>& strokes, double depth_mm, const char* what);

}  // namespace peepwright::solid
