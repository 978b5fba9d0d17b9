// SPDX-License-Identifier: GPL-3.0-or-later
// The draw cycle for a spec: from catalogue numbers to the bow's behaviour, and into the fit's assumptions.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "engine/bow/arrow_speed.hpp"
#include "engine/bow/families.hpp"
#include "engine/bow/full_draw.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

/// The bow of `spec` solved from brace to full draw: sized to its catalogue numbers, as built where its six cam keys
/// are given, or with the limbs and cams that explain its draw-force table. Throws Error(input) when a catalogue number
/// is missing, and where no such bow exists, with the reachable range.
FullDraw draw_cycle_of(const Spec& spec);

/// True when `spec` has the catalogue numbers that a draw cycle needs.
bool has_catalogue_numbers(const Spec& spec);

/// The forces of a draw-force table as they were read, not as the fitted bow has them.
struct ForcesRead {
  ForceReading peak;                ///< the highest, the first of equal ones
  std::optional<double> holding_n;  ///< the last, where it was read within half an inch of the draw length
};

/// Nothing without a table.
std::optional<ForcesRead> forces_read(const Spec& spec);

/// What the draw cycle said, or why it could not.
struct DrawEstimate {
  std::optional<FullDraw> bow;
  std::string refusal;                      ///< why there is no bow, in words; empty when there is one
  double leg_deviation_rad = 0;             ///< standard uncertainty of the upper leg's angle
  std::optional<double> table_deviation_n;  ///< readings of bow.force_draw less the bow's force, root mean square
  std::optional<StoredEnergy> stored;       ///< none without a bow
  std::optional<SpeedByEnergy> speed;       ///< that gives the spec's arrow, whatever speed is given
};

/// Whether the spread over cam families, fifty times the work of the angle itself, is asked for.
enum class DrawDetail { with_spread, angle_alone };

/// Solves the draw cycle and puts what it says in the place of the assumed axle travel, take-off radii and arrow
/// speed. The spread
/// of the leg angle over plausible cam families becomes the uncertainty of the angle, in one piece: travel, closing
/// and radius vary together, so that their own uncertainties would count the same thing several times.
/// A draw-force table takes the place of the families: the fit to it gives the angle and its uncertainty.
/// A measured value still wins. When no bow of this kind fits the catalogue, the key table's assumptions stay; a
/// draw-force table that fits no bow throws Error(input) with its place.
DrawEstimate use_draw_cycle(Spec& spec);

/// What the draw cycle puts into a spec, without the bow itself: small, so that a sweep keeps it for each of its bows.
/// With `DrawDetail::angle_alone` the values are the same to the last bit and the deviations are 0.
struct DrawAssumptions {
  double closing_mm = 0, travel_mm = 0, rest_take_off_radius_mm = 0, take_off_radius_mm = 0;  ///< means of the halves
  double upper_leg_rad = 0, lower_leg_rad = 0;
  double leg_deviation_rad = 0, radius_deviation_mm = 0;
  double stretch_at_mark_mm = 0;
  bool from_table = false;         ///< of a draw-force table
  double peak_n = 0, let_off = 0;  ///< as read for that table, else by the cycle
  bool usual_cams = true;          ///< cams are neither given nor read off a table
  double stored_j = 0;             ///< by the cycle
};

/// What the bow stores, and the speed it gives the arrow of `spec`: the mass may differ from variant to variant of a
/// sweep where the bow does not.
StoredEnergy stored_energy(const DrawAssumptions& assumptions, const Spec& spec);
SpeedByEnergy speed_of(const DrawAssumptions& assumptions, const Spec& spec);

/// Nothing where no bow of this kind fits the catalogue. Throws as use_draw_cycle does.
std::optional<DrawAssumptions> draw_assumptions(const Spec& spec, DrawDetail detail);
void put(const DrawAssumptions& assumptions, Spec& spec);

/// Every number of `spec` that the draw cycle looks at: specs of one sweep that agree in these have the same bow.
using DrawInputs = std::array<double, 18>;
DrawInputs draw_inputs(const Spec& spec);

}  // namespace peepwright
