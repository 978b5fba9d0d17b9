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

/// The bow of `spec` solved from brace to full draw: sized to its catalogue numbers, as built where its six cam keys
/// are given, or with the limbs and cams that explain its draw-force table. Throws Error(input) when a catalogue number is missing, and where no such bow exists, with the
/// reachable range.
FullDraw draw_cycle_of(const Spec& spec);

/// True when `spec` has the catalogue numbers that a draw cycle needs.
bool has_catalogue_numbers(const Spec& spec);

/// What the draw cycle said, or why it could not.
struct DrawEstimate {
  std::optional<FullDraw> bow;
  std::string refusal;  ///< why there is no bow, in words; empty when there is one
  double leg_deviation_rad = 0;             ///< standard uncertainty of the upper leg's angle
  std::optional<double> table_deviation_n;  ///< readings of bow.force_draw less the bow's force, root mean square
};

/// Solves the draw cycle and puts what it says in the place of the assumed axle travel and take-off radii. The spread
/// of the leg angle over plausible cam families becomes the uncertainty of the angle, in one piece: travel, closing
/// and radius vary together, so that their own uncertainties would count the same thing several times.
/// A draw-force table takes the place of the families: the fit to it gives the angle and its uncertainty.
/// A measured value still wins. When no bow of this kind fits the catalogue, the key table's assumptions stay; a draw-force
/// table that fits no bow throws Error(input) with its place.
DrawEstimate use_draw_cycle(Spec& spec);

}  // namespace peepwright
