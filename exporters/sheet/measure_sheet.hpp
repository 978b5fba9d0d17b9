// SPDX-License-Identifier: GPL-3.0-or-later
// A sheet to measure with: every measure drawn on head and bow, its key, and a line to write it on.
#pragma once

#include <string>
#include <vector>

#include "engine/spec/key.hpp"
#include "exporters/drawing/canvas.hpp"

namespace peepwright {

struct MeasureSheetOptions {
  std::string paper = "a4";  ///< "a4" or "letter", upright
  std::string version;       ///< "peepwright 0.1.0"
};

/// The measures in the order of their numbers on the sheet, from 1.
const std::vector<Key>& numbered_measures();

/// One page. The figure is the adult mean, the bow one of 33 in: nothing on it depends on anybody's files. Throws
/// Error(input) for an unknown paper.
Canvas measure_sheet(const MeasureSheetOptions& options);

}  // namespace peepwright
