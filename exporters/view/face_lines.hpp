// SPDX-License-Identifier: GPL-3.0-or-later
// The light lines that make a face of an outline: eye, brow, nose wing, lips, jaw, ear, hairline. They are drawn once
// on the mannequin that every head is bent from, and lie on each person's own skin where the bend takes them.
#pragma once

#include "engine/solid/assembly.hpp"
#include "exporters/view/hidden_lines.hpp"

namespace peepwright {

/// Visible lines in picture millimetres.
struct FaceLines {
  Path strong;  ///< upper lids, the line between the lips
  Path light;   ///< everything else
  Path hair;    ///< short strokes of the brows
  Path pupils;  ///< closed areas, to be filled
};

/// `head` places the head frame in the bow frame as the archer stands; `gaze` is a unit vector in the bow frame. Lines
/// are left out where the head itself or one of `in_front` (rods in the bow frame) hides them.
FaceLines face_lines(const solid::HeadModel& head, const solid::Pose& placed, const Point3& gaze,
                     const std::vector<solid::Rod>& in_front, const ViewDirection& view);

}  // namespace peepwright
