// SPDX-License-Identifier: GPL-3.0-or-later
// Where labels go, so that none lies on a line or on another label. Plain geometry, millimetres on the page.
#pragma once

#include <cstddef>
#include <vector>

#include "exporters/drawing/segment.hpp"

namespace peepwright::view {

/// One place that a label could take.
struct LabelChoice {
  Box box;
  std::vector<Segment> leader;  ///< from what it names to the box; may cross lines, but no box
  double cost = 0;              ///< how far from ideal, mm or so
  double crossing = 1.5;        ///< cost of every line that the leader crosses
};

/// For every label (each has at least one choice) the index of its choice: of the least total cost found such that no
/// box, grown by `clearance_mm`, meets a line, another box or another label's leader. Where a label has no such place
/// the choice that breaks fewest of these is taken. Deterministic. `total`, if given, becomes the cost of all together.
std::vector<std::size_t> place_labels(const std::vector<std::vector<LabelChoice>>& labels,
                                      const std::vector<Segment>& lines, double clearance_mm, double* total = nullptr);

}  // namespace peepwright::view
