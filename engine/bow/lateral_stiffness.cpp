// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/lateral_stiffness.hpp"

#include <fmt/format.h>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

SidewaysGive sideways_give(const FullDraw& bow, double along_mm, ReleaseHand hand, double loop_mm) {
  const HalfState& upper = bow.full_draw.upper;
  const HalfState& lower = bow.full_draw.lower;
  if (!(along_mm >= 0 && along_mm < upper.leg_free_mm))
    throw Error(ErrorCode::input, fmt::format("a peep {} up the string is not on its free leg of {}",
                                              both_text(along_mm), both_text(upper.leg_free_mm)));
  if (hand == ReleaseHand::stays && !(loop_mm > 0))
    throw Error(ErrorCode::input, fmt::format("a loop of {}: its length must be above zero", both_text(loop_mm)));
  double stiffness = upper.string_n / upper.leg_free_mm + lower.string_n / lower.leg_free_mm;
  if (hand == ReleaseHand::stays) stiffness += bow.full_draw.force_n / loop_mm;
  const double share = 1 - along_mm / upper.leg_free_mm;  // of a force at the peep that reaches the nocking point
  SidewaysGive g;
  g.tail_by_nock_mm_n = 1 / stiffness;
  g.tail_by_peep_mm_n = share / stiffness;
  // The leg's own give between nocking point and cam (a taut string pressed at one point), and what its end gives.
  g.peep_by_peep_mm_n = along_mm * share / upper.string_n + share * share / stiffness;
  return g;
}

double tail_shift_on_target_mm(double tail_mm, double tail_to_rest_mm, double distance_mm) {
  if (!(tail_to_rest_mm > 0))
    throw Error(ErrorCode::input,
                fmt::format("the arrow's tail {} behind the rest: it must be above zero", both_text(tail_to_rest_mm)));
  return -tail_mm * distance_mm / tail_to_rest_mm;
}

double peep_shift_on_target_mm(double peep_mm, double peep_to_pin_mm, double pin_to_target_mm) {
  if (!(peep_to_pin_mm > 0))
    throw Error(ErrorCode::input, fmt::format("peep to pin is {}: it must be above zero", both_text(peep_to_pin_mm)));
  return -peep_mm * pin_to_target_mm / peep_to_pin_mm;
}

}  // namespace peepwright
