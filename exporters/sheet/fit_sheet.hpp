// SPDX-License-Identifier: GPL-3.0-or-later
// The fit sheet: what the shop hands over, on one page; a second one only for long tables of sight marks.
#pragma once

#include "exporters/report/report.hpp"
#include "exporters/view/side_view.hpp"

namespace peepwright {

/// A4 or Letter, upright. Throws Error(input) for an unknown paper and for texts that find no room.
Canvas fit_sheet(const FitReport& report, const SideScene& scene, const SideViewOptions& options);

}  // namespace peepwright
