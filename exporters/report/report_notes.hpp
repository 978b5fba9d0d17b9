// SPDX-License-Identifier: GPL-3.0-or-later
// What a fit's report asks to be minded. Private to the room.
#pragma once

#include "exporters/report/report.hpp"

namespace peepwright {

/// Adds what there is to mind to `report.notes`, the rest of which is complete.
void note_everything(FitReport& report);

}  // namespace peepwright
