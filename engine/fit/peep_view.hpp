// SPDX-License-Identifier: GPL-3.0-or-later
// What the eye sees through the peep.
#pragma once

#include <vector>

#include "engine/quantity/quantity.hpp"

namespace peepwright {

/// A bore as the eye sees it: a cylinder seen off its axis shows a lens between two ellipses.
struct BoreSeen {
  double tilt_rad = 0;        ///< bore axis against the line of sight; positive: bore too steep
  double open_height_mm = 0;  ///< what is open in the bow plane: d cos δ − t |sin δ|, never below 0
  double open_width_mm = 0;   ///< across it
  double ratio = 0;           ///< height over width, 1 for a round view
};

/// `bore_angle_rad` is the bore's axis against the string, `leg_angle_rad` θ, `line_down_rad` β: the line of sight
/// makes θ + β with the string.
BoreSeen bore_seen(double bore_mm, double body_length_mm, double bore_angle_rad, double leg_angle_rad,
                   double line_down_rad);

/// Bore that just circles a housing: D = D_h · e / (e + L), e eye to peep, L peep to housing. All mm.
double framing_bore_mm(double housing_diameter_mm, double eye_to_peep_mm, double peep_to_housing_mm);

/// The bore nearest to `wanted_mm` in a list that is not empty.
Length nearest_bore(const std::vector<Length>& bores, double wanted_mm);

/// Aim thrown off on the target by an eye, peep or pin that sits `offset` off: ε · R / L, in the unit of `offset`.
/// R (pin to target) and L (peep to pin) in one unit.
double aim_error(double offset, double pin_to_target, double peep_to_pin);

}  // namespace peepwright
