// SPDX-License-Identifier: GPL-3.0-or-later
// The light lines of a face as places on the skin. Private to the room.
#pragma once

#include <vector>

#include "engine/solid/head_template.hpp"

namespace peepwright::view {

enum class FacePen { strong, light, hair };

/// A line of the left half of the face, or across the midline; densely spaced places on the skin.
struct FaceLine {
  FacePen pen = FacePen::light;
  bool paired = true;  ///< drawn on the other side as well
  std::vector<solid::SkinParameter> places;
};

/// All of them, the same for every head.
const std::vector<FaceLine>& face_drawing();

/// The opening between the lids at `aside` mm outward of the eyeball's middle: heights of the lids' edges, mm; empty
/// (upper < lower) beyond the corners.
struct LidOpening {
  double upper = -1, lower = 1;
};
LidOpening lid_opening(double aside);

}  // namespace peepwright::view
