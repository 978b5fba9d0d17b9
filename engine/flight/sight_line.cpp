// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/flight/sight_line.hpp"

#include <fmt/format.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright {

std::optional<double> launch_above_line(const Shot& shot, const SightGeometry& geometry, double distance_m) {
  // In the frame of the line of sight: the line passes the start at H − (x_start − x_peep) tan β above the arrow
  // axis, which is cos β of that square to the line.
  return launch_angle_to_line(shot, distance_m, geometry.peep_z_mm / 1000,
                              (geometry.start_x_mm - geometry.peep_x_mm) / 1000);
}

double pin_height_mm(const SightGeometry& geometry, double launch_rad) {
  return geometry.peep_z_mm - (geometry.pin_x_mm - geometry.peep_x_mm) * std::tan(launch_rad);
}

SightMark sight_mark(const Shot& shot, const SightGeometry& geometry, const SightBody& body, double distance_m) {
  const auto launch = launch_above_line(shot, geometry, distance_m);
  if (!launch)
    throw Error(ErrorCode::input,
                fmt::format("an arrow of {:.1f} m/s with this drag does not reach {:.6g} m; check arrow.speed, "
                            "arrow.mass and distances",
                            shot.speed_m_s, distance_m));
  SightMark mark{distance_m, *launch, pin_height_mm(geometry, *launch), 0};
  mark.clearance_mm = mark.pin_height_mm - body.below_pin_mm - body.envelope_radius_mm;
  return mark;
}

Reach longest_distance(const Shot& shot, const SightGeometry& geometry, const SightBody& body, double wanted_mm) {
  const auto spare = [&](double distance_m) {
    const auto launch = launch_above_line(shot, geometry, distance_m);
    if (!launch) return -1e3;  // out of the arrow's reach is out of the sight's
    return pin_height_mm(geometry, *launch) - body.below_pin_mm - body.envelope_radius_mm - wanted_mm;
  };
  // Down from the far end: past the top of the curve the marks only fall, so the first distance that clears
  // brackets the answer with the one before it.
  double far = farthest_looked_at_m, spare_far = spare(far);
  if (spare_far >= 0) return {far, true};
  constexpr double nearest_m = 3, ratio = 0.75;
  for (double near = far * ratio; near > nearest_m; near *= ratio) {
    const double spare_near = spare(near);
    if (spare_near >= 0) {
      std::uintmax_t iterations = 60;
      const auto close_enough = [](double a, double b) { return std::abs(b - a) <= 1e-9; };
      const auto [a, b] =
          boost::math::tools::toms748_solve(spare, near, far, spare_near, spare_far, close_enough, iterations);
      return {(a + b) / 2, false};
    }
    far = near, spare_far = spare_near;
  }
  return {};
}

}  // namespace peepwright
