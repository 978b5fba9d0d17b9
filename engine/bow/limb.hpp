// SPDX-License-Identifier: GPL-3.0-or-later
// A limb as a pseudo-rigid-body cantilever: the axle moves on a circle about a pivot fixed to the riser, against
// a torsion spring (L. L. Howell, Compliant Mechanisms, 2001; characteristic radius factor 0.85, from memory).
#pragma once

#include <Eigen/Core>
#include <cmath>

namespace peepwright {

/// One limb in the frame of cam.hpp. At rest the axle stands at `angle_rad` above the horizontal, up and back
/// towards the archer from the limb's pivot; bending by q > 0 takes it down and back.
struct Limb {
  double radius_mm = 0;  ///< characteristic radius: factor times limb length
  double angle_rad = 0;
  double preload_rad = 0;  ///< the spring's wind-up at rest: energy K (q + preload)² / 2
  Eigen::Vector2d pivot{0, 0};

  /// Pivot to axle at bend q. The second derivative by q is its negative.
  [[nodiscard]] Eigen::Vector2d arm(double bend_rad) const {
    const double a = angle_rad - bend_rad;
    return {-radius_mm * std::cos(a), radius_mm * std::sin(a)};
  }
  [[nodiscard]] Eigen::Vector2d axle(double bend_rad) const { return pivot + arm(bend_rad); }
};

/// Derivative of `Limb::arm` by the bend.
inline Eigen::Vector2d arm_rate(const Eigen::Vector2d& arm) { return {-arm.y(), arm.x()}; }

}  // namespace peepwright
