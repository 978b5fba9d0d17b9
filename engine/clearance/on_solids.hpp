// SPDX-License-Identifier: GPL-3.0-or-later
// The fit's clearances between solids: the head's skin, string, arrow, sight and peep where the solve put them.
#pragma once

#include <vector>

#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"
#include "engine/solid/assembly.hpp"
#include "engine/solid/clip_gauge.hpp"

namespace peepwright {

/// The assembly of a fit in the bow frame W, pin at the fit distance. Axles stand where the fit has them; where an
/// angle was read that does not go with them, the axle length gives way, so that the string leaves its cam as a
/// tangent.
solid::AssemblyInput assembly_of(const Fit& fit);

/// All six clearances with verdicts, nearest points (as for a right-handed archer, as everything in `Fit`) and what
/// comes nearest. `head` must be made from the fit's face.
std::vector<Clearance> clearances_on_solids(const Fit& fit, const solid::HeadModel& head);

/// How sure the room between shaft and chin is: every input moved as for the mark's budget and a head made of each
/// face, the chin's own depth among them, which no key holds. "posture" is how high the head settles. `fit` must be
/// solved for the peep to be placed, and of a face that nobody scanned.
Budget chin_budget(const Fit& fit);

/// The rigid gauge for the fit's mark, with the sizes under [gauge].
solid::ClipGaugeInput clip_gauge_of(const Fit& fit);

}  // namespace peepwright
