// SPDX-License-Identifier: GPL-3.0-or-later
// Triangles of round bodies, laid out by hand: the kernel's own mesher takes a hundred times as long.
#pragma once

#include <vector>

#include "engine/solid/body.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// Corners of a circle's polygon: no farther than `deflection_mm` from it, and never so few that a round body loses a
/// 500th of its volume. Even.
std::size_t corners_around(double radius_mm, double deflection_mm = 0.05);

/// `count` points of the ellipse centre + cos·a + sin·b.
std::vector<Point3> ring(const Point3& centre, const Point3& a, const Point3& b, std::size_t count);

/// Two unit vectors square to `axis` and to each other; first × second points along it.
std::pair<Point3, Point3> square_to(const Point3& axis);

/// Skin over rings of equally many points, each ring turning right-handed about the direction to the next one, closed
/// at both ends by fans about `start` and `end`. Empty `rings` make an empty mesh.
TriangleMesh capped(const std::vector<std::vector<Point3>>& rings, const Point3& start, const Point3& end);

/// Skin over rings that come round to the first: outside there, inside back.
TriangleMesh around(const std::vector<std::vector<Point3>>& rings);

TriangleMesh rod_mesh(const Rod& rod);
TriangleMesh ball_mesh(const Ball& ball);

}  // namespace peepwright::solid
