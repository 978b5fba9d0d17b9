// SPDX-License-Identifier: GPL-3.0-or-later
// The string at full draw: the angle of each leg to the arrow, from the best thing the user has.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/spec/spec.hpp"

namespace peepwright {

/// Where the leg angles came from, best first.
enum class LegSource { string_angle, tied_peep, axle_positions, force_draw, draw_cycle, assumed_travel };

/// What follows "string angle:" in a sentence for people: "read at full draw".
std::string_view text_of(LegSource source);
/// "string_angle" …, for files.
std::string_view name_of(LegSource source);

/// One straight string leg from where the string bends to the cam, in the bow plane.
struct Leg {
  double angle_rad = 0;                       ///< between leg and arrow
  double free_length_mm = 0;                  ///< from the bend to where the string leaves the cam
  double tangent_x_mm = 0, tangent_z_mm = 0;  ///< where it leaves the cam; z away from the arrow
};

/// Leg of a string that leaves, at `take_off_radius_mm`, a cam whose axle is `ahead_mm` in front of the place
/// where the string bends and `aside_mm` to the side of it: D = hypot, θ = atan2(aside, ahead) + asin(r / D), √(D² −
/// r²). Throws Error(input) when that place lies inside the cam (D ≤ r).
Leg leg_from_axle(double ahead_mm, double aside_mm, double take_off_radius_mm);

/// How far above and below the nocking point the string bends at full draw: at the knots of the release loop, between
/// which it stands straight across the nock. Half of bow.string.knots_apart.
double bend_off_nock_mm(const Spec& spec);

/// Place `along_mm` up the string from the nocking point, which is past the bend, as (x, z) in the bow plane.
struct OnLeg {
  double x_mm = 0, z_mm = 0;
};
OnLeg on_upper_leg(double along_mm, double leg_rad, double bend_mm);
/// The other way round: how far up the string a place `height_mm` above the arrow is.
double along_of_height_mm(double height_mm, double leg_rad, double bend_mm);

/// Nocking point to the centre of a tied peep along the string at full draw, from its mark at rest.
double tied_along_mm(const Spec& spec);

struct StringLegs {
  LegSource source = LegSource::assumed_travel;
  double upper_rad = 0, lower_rad = 0;
  double axle_ahead_mm = 0;                     ///< axle centres ahead of the nocking point
  double upper_axle_mm = 0, lower_axle_mm = 0;  ///< axle centres off the arrow axis
  double take_off_radius_mm = 0;
  double bend_mm = 0;            ///< bend_off_nock_mm
  bool has_axles = false;        ///< false: the angle alone is known
  std::vector<Key> assumptions;  ///< assumed inputs this rests on
};

/// The legs at full draw. The best source present wins: string angle, tied peep, axle positions, then what the
/// draw cycle or the key table puts in their place.
/// Throws Error(input) when the numbers make no bow.
StringLegs string_legs(const Spec& spec);

/// Every source that the spec's numbers allow, best first, for a check of one against the other.
std::vector<StringLegs> all_string_legs(const Spec& spec);

}  // namespace peepwright
