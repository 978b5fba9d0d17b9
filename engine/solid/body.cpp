// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/body.hpp"

#include <algorithm>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

/// `p` seen from the rod's middle: along the axis and away from it.
struct Cylindrical {
  Point3 axis, outward;
  double along = 0, away = 0, half = 0;
};

Cylindrical seen_from(const Rod& rod, const Point3& p) {
  Cylindrical c;
  const Point3 span = rod.to - rod.from;
  const double length = norm(span);
  c.axis = (1 / length) * span;
  c.half = length / 2;
  const Point3 d = p - 0.5 * (rod.from + rod.to);
  c.along = dot(d, c.axis);
  const Point3 off = d - c.along * c.axis;
  c.away = norm(off);
  if (c.away > 1e-12) {
    c.outward = (1 / c.away) * off;
  } else {  // on the axis any direction square to it will do
    const Point3 any = std::abs(c.axis.x) < 0.7 ? Point3{1, 0, 0} : Point3{0, 1, 0};
    c.outward = unit(cross(c.axis, any));
  }
  return c;
}

void add_outer(SignedDistance& s, double weight, const Point3& v) {
  s.bend_xyz[0] = s.bend_xyz[0] + (weight * v.x) * v;
  s.bend_xyz[1] = s.bend_xyz[1] + (weight * v.y) * v;
  s.bend_xyz[2] = s.bend_xyz[2] + (weight * v.z) * v;
}

}  // namespace

double signed_distance(const Rod& rod, const Point3& p) {
  const Cylindrical c = seen_from(rod, p);
  const double end = std::abs(c.along) - c.half, side = c.away - rod.radius_mm;
  if (end > 0 && side > 0) return std::hypot(end, side);
  return std::max(end, side);
}

double signed_distance(const Ball& ball, const Point3& p) { return norm(p - ball.centre) - ball.radius_mm; }

SignedDistance signed_distance_with_slopes(const Rod& rod, const Point3& p) {
  const Cylindrical c = seen_from(rod, p);
  const double end = std::abs(c.along) - c.half, side = c.away - rod.radius_mm;
  const Point3 endward = (c.along < 0 ? -1.0 : 1.0) * c.axis, around = cross(c.axis, c.outward);
  const double away = std::max(c.away, 1e-9);
  SignedDistance s;
  if (end > 0 && side > 0) {  // nearest to the rim
    s.value = std::hypot(end, side);
    s.slope = (end / s.value) * endward + (side / s.value) * c.outward;
    add_outer(s, 1 / s.value, (side / s.value) * endward - (end / s.value) * c.outward);
    add_outer(s, side / s.value / away, around);
  } else if (side >= end) {
    s.value = side;
    s.slope = c.outward;
    add_outer(s, 1 / away, around);
  } else {
    s.value = end;
    s.slope = endward;
  }
  return s;
}

SignedDistance signed_distance_with_slopes(const Ball& ball, const Point3& p) {
  const Point3 d = p - ball.centre;
  const double r = std::max(norm(d), 1e-9);
  SignedDistance s;
  s.value = r - ball.radius_mm;
  s.slope = (1 / r) * d;
  for (const Point3& axis : {Point3{1, 0, 0}, Point3{0, 1, 0}, Point3{0, 0, 1}}) add_outer(s, 1 / r, axis);
  add_outer(s, -1 / r, s.slope);
  return s;
}

Point3 nearest_surface_point(const Rod& rod, const Point3& p) {
  const SignedDistance s = signed_distance_with_slopes(rod, p);
  return p - s.value * s.slope;
}

Point3 nearest_surface_point(const Ball& ball, const Point3& p) {
  const SignedDistance s = signed_distance_with_slopes(ball, p);
  return p - s.value * s.slope;
}

}  // namespace peepwright::solid
