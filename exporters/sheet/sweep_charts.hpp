// SPDX-License-Identifier: GPL-3.0-or-later
// A sweep's summary as charts.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "exporters/sheet/chart_page.hpp"
#include "exporters/sweep/sweep_summary.hpp"

namespace peepwright {

struct NamedChart {
  std::string name;   ///< of the file, without its ending
  std::string title;  ///< of the document
  Canvas page;
};

/// For each varied key the mark ("sweep-mark-KEY") and the share of variants that clear ("sweep-clear-KEY"); longest
/// distance against peep height ("sweep-longest"); for two varied keys a heat map of the mark ("sweep-map"). What has
/// fewer than two places to join is left out.
std::vector<NamedChart> sweep_charts(const SweepSummary& summary, PaperUnits units);

/// Whether a chart of some sweep would be called so, without the ending.
bool is_sweep_chart(std::string_view name);

}  // namespace peepwright
