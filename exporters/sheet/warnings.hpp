// SPDX-License-Identifier: GPL-3.0-or-later
// What a fit forbids: it heads every sheet.
#pragma once

#include <vector>

#include "exporters/drawing/warning.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {

/// Of the report's notes those that forbid drawing or shooting, the ones on drawing first; keys are named by their
/// trade term, "arrow length".
std::vector<Warning> warnings_of(const FitReport& report, PaperUnits units);

/// What two fits laid over one another forbid, each headline with the letter of its fit, "A: DO NOT DRAW …", and with
/// both where they forbid it in the same words; the ones on drawing first.
std::vector<Warning> warnings_of_two(const std::vector<Warning>& a, const std::vector<Warning>& b);

/// The other notes, as full sentences without keys.
std::vector<std::string> plain_notes(const FitReport& report, PaperUnits units);

/// What stands before the step that says to draw; empty where nothing is forbidden.
std::string hold_before_drawing(const std::vector<Warning>& warnings);

}  // namespace peepwright
