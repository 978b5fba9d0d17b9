// SPDX-License-Identifier: GPL-3.0-or-later
// From a solved fit to the assembly that shows and checks it.
#pragma once

#include "engine/fit/fit.hpp"
#include "engine/solid/assembly.hpp"

namespace peepwright::solid {

/// Everything of `fit` that has a place in space, for the fit distance; the pin at the far mark for the gap
/// sight-arrow. The string's angle is what the fit rests on: where it was read rather than computed from the axles, the
/// axles stand where cams of the take-off radius have the string leave at that angle.
AssemblyInput assembly_of(const Fit& fit);

}  // namespace peepwright::solid
