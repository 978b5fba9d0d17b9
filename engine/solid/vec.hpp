// SPDX-License-Identifier: GPL-3.0-or-later
// Arithmetic on points, for rooms that have to do with solids.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>

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

/// A box that grows.
struct Box3 {
  static constexpr double inf = std::numeric_limits<double>::infinity();
  Point3 low{inf, inf, inf}, high{-inf, -inf, -inf};

  void add(const Point3& p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y), std::min(low.z, p.z)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y), std::max(high.z, p.z)};
  }
  [[nodiscard]] bool holds(const Point3& p) const {
    return p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y && p.z >= low.z && p.z <= high.z;
  }
  /// From a point to the box; 0 inside.
  [[nodiscard]] double distance(const Point3& p) const {
    return norm({std::max({low.x - p.x, p.x - high.x, 0.0}), std::max({low.y - p.y, p.y - high.y, 0.0}),
                 std::max({low.z - p.z, p.z - high.z, 0.0})});
  }
  /// Length of the diagonal.
  [[nodiscard]] double size() const { return norm(high - low); }
};

}  // namespace peepwright::solid
