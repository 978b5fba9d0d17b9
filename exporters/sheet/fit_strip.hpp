// SPDX-License-Identifier: GPL-3.0-or-later
// From a fit to what its sheets show.
#pragma once

#include "exporters/print/strip.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {

/// The strip of a fit. `date` is printed as it is; it may be empty.
StripData strip_of(const FitReport& report, PaperUnits units, const std::string& date);

}  // namespace peepwright
