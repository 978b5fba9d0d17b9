// SPDX-License-Identifier: GPL-3.0-or-later
// One chart on a page of its own, with what stands on every sheet under it.
#pragma once

#include <functional>

#include "exporters/drawing/chart.hpp"

namespace peepwright {

/// A5, landscape. `draw` is handed the frame it may draw in.
Canvas chart_page(const std::function<void(Canvas&, const Box&)>& draw);
Canvas chart_page(const Chart& chart);

}  // namespace peepwright
