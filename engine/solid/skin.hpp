// SPDX-License-Identifier: GPL-3.0-or-later
// The skin as a bicubic B-spline surface, in plain numbers. The solid is made of exactly these poles, so a distance
// found here is a distance to the solid.
#pragma once

#include <cstddef>
#include <vector>

#include "engine/solid/head_template.hpp"

namespace peepwright::solid {

/// A point of the skin with its derivatives by u and t, mm.
struct SkinPoint {
  Point3 place, du, dt, duu, dut, dtt;
};

/// Periodic in u, clamped in t, uniform parameters.
/// Properties: (1) passes within 2e-6 mm of the grid it is made from; (2) poles are multiples of 1e-6 mm, so they
/// survive a text file unchanged; (3) mirror-symmetric to the last bit when the grid is.
class Skin {
 public:
  static constexpr std::size_t default_across = 96, default_down = 96;

  /// Interpolates `grid`: `across` points in each of `down` rings, point (i, j) at u = i / across,
  /// t = j / (down − 1), ring j starting at j · across. At least 4 by 6.
  Skin(const std::vector<Point3>& grid, std::size_t across, std::size_t down);

  [[nodiscard]] std::size_t across() const { return across_; }
  [[nodiscard]] std::size_t down() const { return down_; }

  /// Control point i of ring j. At u = k / across() the rings i = k − 1, k, k + 1 weigh 1/6, 4/6, 1/6.
  [[nodiscard]] const Point3& pole(std::size_t i, std::size_t j) const { return poles_[j * across_ + i]; }

  /// Distinct knots in t; the first and the last count four times.
  [[nodiscard]] const std::vector<double>& knots_t() const { return knots_t_; }

  /// `u` is periodic; `t` is clamped to [0, 1].
  [[nodiscard]] SkinPoint at(SkinParameter at) const;
  [[nodiscard]] Point3 point(SkinParameter at) const;

  /// Outward unit normal.
  [[nodiscard]] static Point3 normal(const SkinPoint& point);

  /// Surface points at (i / across, j / (down − 1)); row j starts at j · across. Fast.
  [[nodiscard]] std::vector<Point3> sample(std::size_t across, std::size_t down) const;

 private:
  std::size_t across_, down_;
  std::vector<double> knots_t_;
  std::vector<Point3> poles_;
};

}  // namespace peepwright::solid
