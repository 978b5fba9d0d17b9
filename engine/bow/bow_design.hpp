// SPDX-License-Identifier: GPL-3.0-or-later
// What is known of a bow: the catalogue's numbers, and the parts of a twin-cam design.
#pragma once

#include "engine/bow/cam.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {

/// Numbers a shop can read off a catalogue page. Lengths by ASTM F1880: brace height is string to grip pivot,
/// square to the string; the draw length counts to the grip pivot, so the trade's 1 3/4 in are already off.
struct CatalogueBow {
  double axle_to_axle_mm = 0;
  double brace_height_mm = 0;
  double draw_length_to_pivot_mm = 0;
  double peak_weight_n = 0;
  double let_off = 0;                ///< (peak - holding) / peak
  double nock_above_centre_mm = 0;   ///< nocking point above the string's midpoint, at rest
  double pivot_above_centre_mm = 0;  ///< grip pivot above the line halfway between the axles
};

/// Limbs and cams of a symmetric twin-cam bow. The defaults are the design's starting family; sizing scales
/// all cam lengths by one factor and chooses the cable track's eccentricity. The limb stands in the middle between
/// those of bows with nearly parallel limbs and steep ones (families.hpp), so that the leg angle is the families' mean.
struct BowDesign {
  double limb_length_mm = 330;
  double limb_radius_factor = 0.85;  ///< characteristic radius factor of the pseudo-rigid body
  double limb_angle_rad = 38 * unit::degree_rad;
  double limb_preload_rad = 30 * unit::degree_rad;
  RoundTrack string_track{42, 16, -40 * unit::degree_rad};
  RoundTrack cable_track{20, 17, -30 * unit::degree_rad};
  double bend_off_nock_mm = 0;  ///< the string stands straight across the nock and bends this far above and below it
};

}  // namespace peepwright
