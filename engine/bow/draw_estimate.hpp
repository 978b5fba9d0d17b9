// SPDX-License-Identifier: GPL-3.0-or-later
// The draw cycle for a spec: from catalogue numbers to the bow's behaviour, and into the fit's assumptions.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/bow/families.hpp"
#include "engine/bow/full_draw.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

/// The bow of `spec` solved from brace to full draw: sized to its catalogue numbers, or as built where its six cam keys
/// are given. Throws Error(input) when a catalogue number is missing, and where no such bow exists, with the
/// reachable range.
FullDraw draw_cycle_of(const Spec& spec);

/// True when `spec` has the catalogue numbers that a draw cycle needs.
bool has_catalogue_numbers(const Spec& spec);

/// What the draw cycle said, or why it could not.
struct DrawEstimate {
  std::optional<FullDraw> bow;
  std::string refusal;  ///< why there is no bow, in words; empty when there is one
};

/// Solves the draw cycle and puts what it says in the place of the assumed axle travel and take-off radii. The spread
/// of the leg angle over plausible cam families becomes the uncertainty of the angle, in one piece: travel, closing
/// and radius vary together, so that their own uncertainties would count the same thing several times.
/// A measured value still wins. When no bow of this kind fits the catalogue, the table's assumptions stay.
DrawEstimate use_draw_cycle(Spec& spec);

}  // namespace peepwright
