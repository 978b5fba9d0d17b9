// SPDX-License-Identifier: GPL-3.0-or-later
// Arithmetic on points. Inside this room only.
#pragma once

#include <cmath>

#include "engine/face/landmark.hpp"

namespace peepwright::solid {

constexpr Point3 operator+(const Point3& a, const Point3& b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
constexpr Point3 operator-(const Point3& a, const Point3& b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
constexpr Point3 operator*(double s, const Point3& a) { return {s * a.x, s * a.y, s * a.z}; }
constexpr double dot(const Point3& a, const Point3& b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
constexpr Point3 cross(const Point3& a, const Point3& b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double norm(const Point3& a) { return std::sqrt(dot(a, a)); }
/// Unit vector; (0, 0, 0) stays as it is.
inline Point3 unit(const Point3& a) {
  const double length = norm(a);
  return length > 0 ? (1 / length) * a : a;
}

}  // namespace peepwright::solid
