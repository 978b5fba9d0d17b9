// SPDX-License-Identifier: GPL-3.0-or-later
// The draw-force curve as a chart.
#pragma once

#include "exporters/report/draw_report.hpp"
#include "exporters/sheet/chart_page.hpp"

namespace peepwright {

/// Draw force against draw, with what was measured, peak and holding weight, the stored energy as the area, and the
/// bow's main numbers beside it; a page of its own.
Canvas draw_force_chart(const DrawReport& report, PaperUnits units);

}  // namespace peepwright
