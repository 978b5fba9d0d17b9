// SPDX-License-Identifier: GPL-3.0-or-later
// Simple convex bodies and the signed distance of a point to them.
#pragma once

#include "engine/face/landmark.hpp"
#include "engine/solid/head_shape.hpp"
#include "engine/solid/vec.hpp"

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

/// `p` seen from the rod's middle: along the axis and away from it.
struct Cylindrical {
  Point3 off;
  double along = 0, away = 0;

  Cylindrical(const RodAxis& rod, const Point3& p) {
    const Point3 d = p - rod.middle;
    along = dot(d, rod.direction);
    off = d - along * rod.direction;
    away = norm(off);
  }
};

/// A signed distance at a point, positive outside, with its first two derivatives. `bend` is symmetric.
struct SignedDistance {
  double value = 0;
  Point3 slope;
  Point3 bend_xyz[3];
};

/// 1-Lipschitz, exact outside; inside it is minus the depth below the nearest face.
inline double signed_distance(const RodAxis& rod, const Point3& p) {
  const Cylindrical c(rod, p);
  const double end = std::abs(c.along) - rod.half_mm, side = c.away - rod.radius_mm;
  if (end > 0 && side > 0) return std::sqrt(end * end + side * side);  // millimetres: far from over- and underflow
  return std::max(end, side);
}
inline double signed_distance(const Rod& rod, const Point3& p) { return signed_distance(RodAxis(rod), p); }
inline double signed_distance(const Ball& ball, const Point3& p) { return norm(p - ball.centre) - ball.radius_mm; }
SignedDistance signed_distance_with_slopes(const RodAxis& rod, const Point3& p);

/// Nearest point of the body's surface to `p` where `p` is outside; where inside, of the nearest face.
Point3 nearest_surface_point(const Rod& rod, const Point3& p);

}  // namespace peepwright::solid
