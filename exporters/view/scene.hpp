// SPDX-License-Identifier: GPL-3.0-or-later
// The side view of a fit as lines in millimetres, ready to be drawn at any scale: made once, shown on several sheets.
#pragma once

#include <string>
#include <vector>

#include "engine/clearance/on_solids.hpp"
#include "exporters/view/clip.hpp"
#include "exporters/view/face_lines.hpp"

namespace peepwright {

/// The line of sight for one distance: from the eye through the peep and the pin set for it.
struct SightRay {
  double distance_m = 0;
  Point eye, pin;
};

/// Everything in picture millimetres: origin at the nocking point, y down, target to the right for a right-handed
/// archer and to the left for a left-handed one.
struct SideScene {
  bool right_handed = true;
  DrawnLines head, bow;  ///< the bow with string, arrow and sight
  FaceLines face;
  std::vector<SightRay> rays;  ///< near, fit, far; fewer where they coincide
  Point pupil, peep, bend, nose, mouth_corner, pivot, upper_axle, lower_axle, arrow_end, pin;
  Point head_up;                      ///< unit vector: the head's own upright
  Point chin_on_shaft, chin_on_skin;  ///< where shaft and chin come nearest
  double upper_leg_rad = 0, lower_leg_rad = 0;
  Box head_box, bow_box;
};

/// `parts` are the fit's assembly. Throws Error(internal) when the kernel fails.
SideScene side_scene(const Fit& fit, const std::vector<solid::Part>& parts);
/// The same with parts of its own.
SideScene side_scene(const Fit& fit);

}  // namespace peepwright
