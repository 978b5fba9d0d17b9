// SPDX-License-Identifier: GPL-3.0-or-later
// What a report says of passing vanes that strike the sight, or may. Private to the room.
#pragma once

#include <vector>

#include "exporters/report/report.hpp"

namespace peepwright {

/// Adds what is forbidden at which distances, and what is to be looked at first: of the peep as fitted, and of one that
/// is tied, which is shot with until it is moved.
void note_sights(const FitReport& report, std::vector<Note>& notes);

}  // namespace peepwright
