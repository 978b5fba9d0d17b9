// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/riser.hpp"

#include <algorithm>
#include <cmath>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {

LimbLine limb_line(const AssemblyInput& in, bool upper) {
  const LimbEnd& end = upper ? in.upper : in.lower;
  const double sign = upper ? 1 : -1;
  LimbLine line;
  line.pocket = {in.pivot_x_mm + 70, 0, sign * 0.52 * end.axle_aside_mm};
  line.along = unit(Point3{end.axle_ahead_mm, 0, sign * end.axle_aside_mm} - line.pocket);
  line.side = {-line.along.z, 0, line.along.x};
  return line;
}

double riser_neck_mm(const AssemblyInput& in) { return 0.45 * limb_line(in, true).pocket.z; }

namespace {

/// Half of a riser's end, from its middle to the corner on the archer's side. Ends are square to the limb; where the
/// limb lies so flat that its end would turn its corners over, only as far as the riser's own direction `along` allows.
Point3 end_half(const LimbLine& limb, const Point3& along) {
  constexpr double half = 14, least_cosine = 0.15;
  const bool upper = along.z > 0;
  const Point3 ahead = upper ? Point3{along.z, 0, -along.x} : Point3{-along.z, 0, along.x};
  // The limb's direction in the axes of the riser's: along it, and square to that, away from the archer.
  double cosine = dot(limb.along, along), sine = dot(limb.along, ahead);
  if (cosine < least_cosine) {
    cosine = least_cosine;
    sine = std::copysign(std::sqrt(1 - cosine * cosine), sine);
  }
  return half * (sine * along - cosine * ahead);
}

}  // namespace

std::vector<Point3> riser_outline(const AssemblyInput& in) {
  const double px = in.pivot_x_mm;
  const LimbLine top = limb_line(in, true), bottom = limb_line(in, false);
  // Side view. Heights that a short bow has no room for shrink with it, so that the outline never crosses itself. The
  // pivot lies below the arrow (common practice, no source).
  const double up = riser_neck_mm(in), down = bottom.pocket.z;
  const double shelf = std::min(30.0, 0.6 * up), grip = std::max(-45.0, 0.28 * down),
               palm = std::max(-90.0, 0.56 * down), heel = std::max(-105.0, 0.66 * down),
               lower = std::max(heel, 0.6 * down);
  const Point3 top_half = end_half(top, unit(top.pocket - Point3{px + 33, 0, up})),
               bottom_half = end_half(bottom, unit(bottom.pocket - Point3{px + 29, 0, 0.5 * (heel + lower)}));
  return {top.pocket + top_half,
          {px + 20, 0, up},
          {px + 6, 0, shelf},
          {px + 14, 0, -8},
          {px, 0, grip},
          {px + 16, 0, palm},
          {px + 14, 0, heel},
          bottom.pocket + bottom_half,
          bottom.pocket - bottom_half,
          {px + 44, 0, lower},
          {px + 44, 0, -8},
          {px + 36, 0, shelf},
          {px + 46, 0, up},
          top.pocket - top_half};
}

}  // namespace peepwright::solid
