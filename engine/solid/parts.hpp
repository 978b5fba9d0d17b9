// SPDX-License-Identifier: GPL-3.0-or-later
// Simple solids that the parts are made of. Lengths in mm, places in whatever frame the arguments are in.
#pragma once

#include <optional>
#include <vector>

#include "engine/solid/body.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// A round rod with flat ends. Throws Error(input) when its length or radius is not positive.
Shape rod_solid(const Rod& rod);

/// A round rod, flat at `from`, whose other end is cut along the plane through `to` square to `end_normal`. The cut
/// must not be steeper than about 75 degrees.
Shape mitred_rod_solid(const Rod& rod, const Point3& end_normal);

/// A round rod with a round hole along its axis. 0 < bore radius < rod radius.
Shape tube_solid(const Rod& rod, double bore_radius_mm);

/// A cone frustum from radius `from_radius_mm` to `to_radius_mm` (may be 0).
Shape cone_solid(const Point3& from, const Point3& to, double from_radius_mm, double to_radius_mm);

/// A round hole square through a plate or along a rod.
struct Hole {
  Point3 centre;
  double radius_mm = 0;
};

/// A round rod with holes along it, anywhere inside its outline and clear of each other.
Shape drilled_rod_solid(const Rod& rod, const std::vector<Hole>& holes);

/// A flat plate: a closed outline of at least three corners in one plane, thickened evenly to both sides. Holes inside
/// the outline and clear of each other.
Shape plate_solid(const std::vector<Point3>& outline, double thickness_mm, const std::vector<Hole>& holes = {});

/// A round bar from the first corner to the last, flat at its ends, with every other corner rounded by
/// `bend_radius_mm` of the axis. Corners lie in one plane.
Shape bent_rod_solid(const std::vector<Point3>& corners, double radius_mm, double bend_radius_mm);

/// Boolean sum of solids that overlap; must come out as one solid. `what` names the part for messages.
Shape joined(const std::vector<Shape>& pieces, const char* what);

/// `from` without `tools`; must come out as one solid.
Shape cut(const Shape& from, const std::vector<Shape>& tools, const char* what);

/// The mirror image in y.
Shape mirrored_solid(const Shape& shape);

/// Index of the first face that is a cylinder of this radius; nothing if there is none.
std::optional<std::size_t> cylinder_face(const Shape& shape, double radius_mm);

}  // namespace peepwright::solid
