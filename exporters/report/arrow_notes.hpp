// SPDX-License-Identifier: GPL-3.0-or-later
// What reports of a fit and of a bow alone both say of the arrow, of forces that nobody gave and of those overruled.
// Private to the room.
#pragma once

#include <optional>
#include <vector>

#include "exporters/report/report.hpp"

namespace peepwright {

/// An arrow that carries more than the bow stores; nothing where its speed is not given or the bow not known.
std::optional<Note> note_on_energy(const Spec& spec, const DrawEstimate& draw);

/// An arrow too light for the bow's peak weight, the higher of the one given and the one read; nothing where the
/// arrow's mass is not given or the peak neither given nor read. The limit is the mass of the rating arrow of ASTM
/// F1544 and F1832: 5 grains for each pound-force of peak weight.
std::optional<Note> note_on_light_arrow(const Spec& spec);

/// A let-off and a peak weight that were given, and that cams or a draw-force table given beside them overrule.
std::vector<Note> notes_on_overruled(const Spec& spec, const FullDraw& bow);

/// Whether draw forces rest on a peak weight, and on a let-off, that nobody gave: a draw-force table has both, and
/// given cams make their own let-off.
bool peak_weight_assumed(const Spec& spec);
bool let_off_assumed(const Spec& spec);

}  // namespace peepwright
