// SPDX-License-Identifier: GPL-3.0-or-later
// Charts: lines, readings, bands and labelled points over two axes. Series are told apart by dashes and marks, never
// by colour, and carry their names beside them; names that find no room there go into a key under the chart.
#pragma once

#include <string>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright {

/// In the units of the axes. A value that is not finite is a gap.
struct ChartPoint {
  double x = 0, y = 0;
};

/// `line` joins the points; without it each is a mark.
struct ChartSeries {
  std::string label;
  std::vector<ChartPoint> points;
  bool line = true;
};

/// `low` to `high` over rising x: hatched as an uncertainty, or light grey as an area.
struct ChartBand {
  struct Slice {
    double x = 0, low = 0, high = 0;
  };
  std::string label;
  std::vector<Slice> slices;
  bool hatched = true;
};

/// A point with words.
struct ChartNote {
  ChartPoint at;
  std::string text;
};

struct ChartAxis {
  std::string name, unit;
  bool from_zero = false;  ///< zero is on the axis in any case
  double least_span = 0;   ///< the axis is never shorter, so that what does not matter does not look like a trend
};

/// One line of the table beside the chart.
struct ChartRow {
  std::string name, value;
};

struct Chart {
  std::string title;
  ChartAxis x, y;
  std::vector<ChartSeries> series;  ///< at most `most_chart_series`
  std::vector<ChartBand> bands;
  std::vector<ChartNote> notes;
  std::vector<ChartRow> table;
};

inline constexpr std::size_t most_chart_series = 12;

/// Draws within `frame` on the current page; text is sized by the frame. Throws Error(input) where there is nothing to
/// show, where the frame has no room for it, and for too many series.
void draw_chart(Canvas& canvas, const Chart& chart, const Box& frame);

}  // namespace peepwright
