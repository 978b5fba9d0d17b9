// SPDX-License-Identifier: GPL-3.0-or-later
// How softly the string stands against the face at full draw, and what that does on the target.
#pragma once

#include "engine/bow/full_draw.hpp"

namespace peepwright {

/// Sideways give of the string at full draw, square to the bow plane, in millimetres per newton. A leg under tension
/// T and of length a resists a sideways move of its end with T / a; both legs hold the nocking point, and with a
/// hand that stays where it is the loop does too (pull / loop length). Twisting of limbs and cams adds to it
/// and is not counted.
struct SidewaysGive {
  double tail_by_nock_mm_n = 0;  ///< arrow's tail, pressed at the nocking point
  double tail_by_peep_mm_n = 0;  ///< arrow's tail, pressed at the peep (and the peep, pressed at the nocking point)
  double peep_by_peep_mm_n = 0;  ///< peep, pressed at the peep
};

/// The hand at the end of the loop: it may give way fully with the string, or stay where it is.
enum class ReleaseHand { follows, stays };

/// `along_mm`: peep from the nocking point along the upper leg, within the free leg; `loop_mm`: nocking point to
/// the release, used when the hand stays. Throws Error(input) for a peep off the leg or a loop not above zero.
SidewaysGive sideways_give(const FullDraw& bow, double along_mm, ReleaseHand hand = ReleaseHand::follows,
                           double loop_mm = 20);

/// Where the arrow lands to the side when its tail stands off by `tail_mm` and it leaves the way it points: the tail's
/// angle about the rest, `tail_to_rest_mm` ahead of it, over `distance_mm`. An upper bound: the string
/// takes some of it back on the way to the rest.
double tail_shift_on_target_mm(double tail_mm, double tail_to_rest_mm, double distance_mm);

/// Where the aim lands when the peep stands off by `peep_mm`: opposite, as peep-to-target is to peep-to-pin.
double peep_shift_on_target_mm(double peep_mm, double peep_to_pin_mm, double pin_to_target_mm);

}  // namespace peepwright
