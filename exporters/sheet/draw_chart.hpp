// SPDX-License-Identifier: GPL-3.0-or-later
// The draw-force curve as a chart.
#pragma once

#include <string>

#include "exporters/report/draw_report.hpp"

namespace peepwright {

/// One chart in every format; the same bytes each time.
struct ChartFiles {
  std::string pdf, svg, png;
};

/// Draw force against draw, with what was measured, peak and holding weight, the stored energy as the area, and the
/// bow's main numbers beside it.
ChartFiles draw_force_chart(const DrawReport& report, PaperUnits units);

}  // namespace peepwright
