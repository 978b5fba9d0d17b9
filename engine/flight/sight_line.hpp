// SPDX-License-Identifier: GPL-3.0-or-later
// The line of sight through peep and pin, the pin's height for each distance, and how far the sight reaches
// before the passing vanes would touch it.
#pragma once

#include <optional>

#include "engine/flight/trajectory.hpp"

namespace peepwright {

/// Peep, start of flight and pin in the bow plane, frame W (origin the nocking point, x along the arrow), mm.
struct SightGeometry {
  double peep_x_mm = 0, peep_z_mm = 0;
  double start_x_mm = 0;  ///< flight starts on the arrow axis at this station: the pivot's
  double pin_x_mm = 0;
};

/// One sight mark.
struct SightMark {
  double distance_m = 0;
  double launch_rad = 0;     ///< β: the arrow's launch above the line of sight
  double pin_height_mm = 0;  ///< pin above the arrow axis
  double clearance_mm = 0;   ///< lowest part of housing or bar above the swept envelope; negative: it is hit
};

/// What hangs below the pin and what passes under it, mm.
struct SightBody {
  double below_pin_mm = 0;        ///< lowest part of housing or bar below the pin
  double envelope_radius_mm = 0;  ///< shaft radius plus vane height
};

/// β(d): launch angle above the line of sight for a target on that line, `distance_m` from the foot of the
/// start's perpendicular. Nothing if the arrow does not reach.
std::optional<double> launch_above_line(const Shot& shot, const SightGeometry& geometry, double distance_m);

/// Pin height above the arrow axis: z = H − (x_pin − x_peep) tan β.
double pin_height_mm(const SightGeometry& geometry, double launch_rad);

/// The whole mark. Throws Error(input) when the arrow does not reach `distance_m`.
SightMark sight_mark(const Shot& shot, const SightGeometry& geometry, const SightBody& body, double distance_m);

/// Farthest distance at which the sight clears the envelope by `wanted_mm`. Marks rise and then fall with
/// distance, so a pin can be too low near the archer, clear in between, and too low again: this is the far end.
struct Reach {
  double longest_m = 0;       ///< 0: it never clears
  bool beyond_limit = false;  ///< true: still clear at `longest_m`, the farthest that was looked at
};
inline constexpr double farthest_looked_at_m = 250;
Reach longest_distance(const Shot& shot, const SightGeometry& geometry, const SightBody& body, double wanted_mm);

}  // namespace peepwright
