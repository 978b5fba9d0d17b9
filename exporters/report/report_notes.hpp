// SPDX-License-Identifier: GPL-3.0-or-later
// What a fit's report asks to be minded. Private to the room.
#pragma once

#include <optional>

#include "exporters/report/report.hpp"

namespace peepwright {

/// Adds what there is to mind to `report.notes`, the rest of which is complete.
void note_everything(FitReport& report);

/// An arrow that carries more than a bow storing `stored_j` gives; nothing where mass or speed are not given.
std::optional<Note> note_on_energy(const Spec& spec, double stored_j);

}  // namespace peepwright
