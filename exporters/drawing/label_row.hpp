// SPDX-License-Identifier: GPL-3.0-or-later
// Several labels in one place: each keeps its beginning, however long the others are.
#pragma once

#include <string>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright {

/// The labels that are not empty, `between` them, within the style's `wrap_mm` and `max_lines`: where all together are
/// too long the longest are cut, with an ellipsis, until they fit; none to less than 6 letters.
std::string label_row(const Canvas& canvas, const std::vector<std::string>& labels, const std::string& between,
                      const TextStyle& style);

}  // namespace peepwright
