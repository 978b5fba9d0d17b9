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

}  // namespace peepwright::view
