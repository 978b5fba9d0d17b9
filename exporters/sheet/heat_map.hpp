// SPDX-License-Identifier: GPL-3.0-or-later
// A number over two others, as a field of cells.
#pragma once

#include <string>
#include <vector>

#include "exporters/drawing/chart.hpp"

namespace peepwright {

struct HeatMap {
  std::string title;
  ChartAxis x, y, value;
  std::vector<double> xs, ys;  ///< values of columns and rows, rising
  struct Cell {
    double value = 0;  ///< not finite: nothing is known there
    bool hatched = false;
  };
  std::vector<Cell> cells;  ///< row of `ys` after row
  std::string hatch_means;
  int digits = 1;  ///< of the numbers in the cells
};

/// Greys from light (least) to dark, each cell with its number where there is room for it; a key under the map.
/// Numbers that differ by less than `value.least_span` get one grey, and the key says that they hardly change. Throws
/// Error(input) where no cell has a number.
void draw_heat_map(Canvas& canvas, const HeatMap& map, const Box& frame);

}  // namespace peepwright
