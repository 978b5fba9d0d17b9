// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/body.hpp"

#include <algorithm>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

/// Away from the axis; on it any direction square to it will do.
Point3 outward(const RodAxis& rod, const Cylindrical& c) {
  if (c.away > 1e-12) return (1 / c.away) * c.off;
  const Point3 any = std::abs(rod.direction.x) < 0.7 ? Point3{1, 0, 0} : Point3{0, 1, 0};
  return unit(cross(rod.direction, any));
}

void add_outer(SignedDistance& s, double weight, const Point3& v) {
  s.bend_xyz[0] = s.bend_xyz[0] + (weight * v.x) * v;
  s.bend_xyz[1] = s.bend_xyz[1] + (weight * v.y) * v;
  s.bend_xyz[2] = s.bend_xyz[2] + (weight * v.z) * v;
}

}  // namespace

RodAxis::RodAxis(const Rod& rod)
    : middle(0.5 * (rod.from + rod.to)),
      direction(unit(rod.to - rod.from)),
      half_mm(norm(rod.to - rod.from) / 2),
      radius_mm(rod.radius_mm) {}

SignedDistance signed_distance_with_slopes(const RodAxis& rod, const Point3& p) {
  const Cylindrical c(rod, p);
  const double end = std::abs(c.along) - rod.half_mm, side = c.away - rod.radius_mm;
  const Point3 out = outward(rod, c), endward = (c.along < 0 ? -1.0 : 1.0) * rod.direction,
               around = cross(rod.direction, out);
  const double away = std::max(c.away, 1e-9);
  SignedDistance s;
  if (end > 0 && side > 0) {  // nearest to the rim
    s.value = std::sqrt(end * end + side * side);
    s.slope = (end / s.value) * endward + (side / s.value) * out;
    add_outer(s, 1 / s.value, (side / s.value) * endward - (end / s.value) * out);
    add_outer(s, side / s.value / away, around);
  } else if (side >= end) {
    s.value = side;
    s.slope = out;
    add_outer(s, 1 / away, around);
  } else {
    s.value = end;
    s.slope = endward;
  }
  return s;
}

Point3 nearest_surface_point(const Rod& rod, const Point3& p) {
  const SignedDistance s = signed_distance_with_slopes(RodAxis(rod), p);
  return p - s.value * s.slope;
}

}  // namespace peepwright::solid
