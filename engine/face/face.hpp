// SPDX-License-Identifier: GPL-3.0-or-later
// A face from what was measured, else a build and a percentile, else the adult mean.
#pragma once

#include "engine/face/landmark.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

/// Landmarks for `spec`'s archer, right or left alike (the left side is stored).
///
/// Midline landmarks follow face length and head length by the survey's regression; what is left of a face
/// length then is shared out in proportion to the depth below the eye, so that root of nose to under-chin is
/// exactly what was given. Measured landmarks replace theirs, and the ones between them move along.
/// How far mouth and chin stand ahead no key holds: the spreads `mouth_ahead` (upper lip, line between the lips, mouth
/// corner) and `hollow_ahead` (lower lip, hollow, chin, under-chin) move them, and leave the face's length.
/// Throws Error(input), naming two landmarks, when the measures together are no face.
Face make_face(const Spec& spec);

/// Gives the spreads of the face statistics their standard uncertainties: the survey's where nothing was
/// measured, what the regression leaves where the size of the face is known, 0 where the landmark was measured.
void set_face_spreads(Spec& spec);

}  // namespace peepwright
