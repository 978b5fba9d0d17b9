// SPDX-License-Identifier: GPL-3.0-or-later
// One chart on a page of its own, with what stands on every sheet under it.
#pragma once

#include <functional>
#include <string>

namespace peepwright {

class Canvas;
struct Box;
struct Chart;

/// One chart in every format; the same bytes each time.
struct ChartFiles {
  std::string pdf, svg, png;
};

/// `title` is the document's. A5, landscape. `draw` is handed the frame it may draw in.
ChartFiles chart_page(const std::string& title, const std::function<void(Canvas&, const Box&)>& draw);
ChartFiles chart_page(const std::string& title, const Chart& chart);

}  // namespace peepwright
