// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers of a sweep's table in the units that people read.
#pragma once

#include "engine/quantity/paper_text.hpp"
#include "exporters/sweep/sweep_manifest.hpp"

namespace peepwright {

/// `value`, in the axis's own unit, as charts and summary show it: distances in m or yd, the altitude in m or ft, other
/// lengths in mm or in, and with inches masses in gr, speeds in ft/s and forces in lbf.
ShownQuantity shown_on(const SweepManifest::Axis& axis, double value, PaperUnits units);

/// The same in words. Inches that a ruler has as a fraction are written as one: "30 1/2 in", "0.0945 in", "40 yd".
std::string text_on(const SweepManifest::Axis& axis, double value, PaperUnits units);

}  // namespace peepwright
