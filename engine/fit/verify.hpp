// SPDX-License-Identifier: GPL-3.0-or-later
// After tying: from what was really measured, how far to move the peep, which way, or leave it.
#pragma once

#include <optional>
#include <string_view>

#include "engine/fit/fit.hpp"

namespace peepwright {

/// How messages tell a reading: after the input that a program takes it by, as "--mark", and in the unit that was typed
/// there. Empty: by what it is, in mm.
struct ReadingWords {
  std::string_view input, unit;
};

/// What was measured with the peep tied. At least one must be there; without a mark, the spec's `peep.tied.mark`
/// counts, and without that the peep is taken to be tied where the fit said.
struct TiedReading {
  std::optional<Length> mark;              ///< top of the nock to the peep's centre, undrawn
  std::optional<Length> height_full_draw;  ///< peep's centre above the arrow's axis, at full draw
  std::optional<Length> eye_to_arrow;      ///< aiming pupil above the arrow's axis, at full draw, head upright
  Length mark_uncertainty = Length::mm(0.5), height_uncertainty = Length::mm(1),
         eye_uncertainty = Length::mm(1.5);  ///< standard uncertainties
  bool comfortable =
      false;  ///< the archer stands upright and relaxed behind this peep: the height is what the face wants
  ReadingWords mark_words, height_words, eye_words;
};

enum class MoveVerdict {
  leave,            ///< the best estimate is within the tolerance: leave it
  move,             ///< move it
  not_sure_enough,  ///< the move is larger than the tolerance but smaller than its own expanded uncertainty
};

/// What to do about a peep that is `move_mm` off, ± `uncertainty_mm` (expanded, k = 2).
MoveVerdict verdict_on_move(double move_mm, double uncertainty_mm);

struct Verification {
  TiedReading reading;             ///< what was measured; the mark of the files where none was given anew
  double tied_mark_mm = 0;         ///< where it is tied, as all readings together have it
  double better_mark_mm = 0;       ///< where it should be
  double move_mm = 0;              ///< up positive
  double move_uncertainty_mm = 0;  ///< expanded, k = 2
  double tolerance_mm = 0;
  MoveVerdict verdict = MoveVerdict::leave;
  bool face_decides = false;  ///< more of the uncertainty comes from the face than from the string's angle
  double leg_angle_before_rad = 0, leg_angle_rad = 0, leg_angle_sd_rad = 0;
  double wanted_height_before_mm = 0, wanted_height_mm = 0, wanted_height_sd_mm = 0;  ///< H that the face wants
};

/// A peep that is off by less than this is not moved: a peep cannot be tied closer; common practice, no source.
inline constexpr Length tying_tolerance = Length::mm(1.5);

/// Weighs what the spec said (leg angle, height the face wants) and what was measured by their uncertainties.
/// A mark and a height say what the string's angle is; they say nothing about the face, since a head follows a peep
/// that is tied. What the face wants is told by the eye's height with the head upright, or by an archer who is
/// comfortable behind the peep.
/// Throws Error(input) for readings that no bow can give, and for readings that contradict what is known by more than
/// chance allows (1 in 1000), naming both.
Verification verify_tied(const Spec& spec, const TiedReading& reading);

}  // namespace peepwright
