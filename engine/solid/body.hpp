// SPDX-License-Identifier: GPL-3.0-or-later
// Simple convex bodies and the signed distance of a point to them.
#pragma once

#include "engine/face/landmark.hpp"
#include "engine/solid/head_shape.hpp"

namespace peepwright::solid {

/// A round rod with flat ends: a shaft, a nock, a leg of string. Longer than nothing.
struct Rod {
  Point3 from, to;
  double radius_mm = 0;
};

/// A rod made ready for many questions.
struct RodAxis {
  explicit RodAxis(const Rod& rod);
  Point3 middle, direction;
  double half_mm, radius_mm;
};

/// A signed distance at a point, positive outside, with its first two derivatives. `bend` is symmetric.
struct SignedDistance {
  double value = 0;
  Point3 slope;
  Point3 bend_xyz[3];
};

/// 1-Lipschitz, exact outside; inside it is minus the depth below the nearest face.
double signed_distance(const Rod& rod, const Point3& p);
double signed_distance(const RodAxis& rod, const Point3& p);
double signed_distance(const Ball& ball, const Point3& p);
SignedDistance signed_distance_with_slopes(const RodAxis& rod, const Point3& p);
SignedDistance signed_distance_with_slopes(const Ball& ball, const Point3& p);

/// Nearest point of the body's surface to `p` where `p` is outside; where inside, of the nearest face.
Point3 nearest_surface_point(const Rod& rod, const Point3& p);
Point3 nearest_surface_point(const Ball& ball, const Point3& p);

}  // namespace peepwright::solid
