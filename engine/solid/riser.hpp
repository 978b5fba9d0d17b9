// SPDX-License-Identifier: GPL-3.0-or-later
// The riser in the bow plane, from the places of the axles. It only dresses the picture; sizes are common practice, no
// source. Inside this room and its tests only.
#pragma once

#include <vector>

#include "engine/solid/assembly.hpp"

namespace peepwright::solid {

/// Where a limb meets the riser and which way it runs to its axle; `side` is square to it in the bow plane.
struct LimbLine {
  Point3 pocket, along, side;
};
LimbLine limb_line(const AssemblyInput& input, bool upper);

/// Height above the arrow of the riser's narrow part below the upper limb, in mm.
double riser_neck_mm(const AssemblyInput& input);

/// Corners of the riser's side view, in mm, in the plane y = 0: a polygon that does not cross itself for any input that
/// check_assembly lets pass.
std::vector<Point3> riser_outline(const AssemblyInput& input);

}  // namespace peepwright::solid
