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

namespace {

constexpr double nearest_m = 3;  // no mark is asked for nearer than this

/// The longest distance from the one launch at which the clearance is just met: there the path comes down through the
/// line of sight a second time. Nothing where that launch is a lob's, or does not come down within what is looked at.
std::optional<Reach> reach_of_launch(const Shot& shot, const SightGeometry& geometry, double launch_rad) {
  const double above_m = geometry.peep_z_mm / 1000, ahead_m = (geometry.start_x_mm - geometry.peep_x_mm) / 1000;
  const double line_m = std::cos(launch_rad) * (above_m - ahead_m * std::tan(launch_rad));
  const auto far = fly(shot, launch_rad, farthest_looked_at_m);
  if (far && far->offset_m >= line_m) return Reach{farthest_looked_at_m, true};
  // The path bends down all the way, so that Newton's steps from beyond the crossing never leave that side.
  double x = farthest_looked_at_m;
  auto there = far;
  for (; !there && x > nearest_m; there = fly(shot, launch_rad, x)) x *= 0.75;
  constexpr int most = 30;
  for (int i = 0; i < most && there; ++i) {
    const double falls = -there->vz_m_s / there->vx_m_s;
    if (!(falls > 0)) return std::nullopt;
    const double step = (there->offset_m - line_m) / falls;
    x += step;
    if (!(x > nearest_m && x <= farthest_looked_at_m)) return std::nullopt;
    if (std::abs(step) < 1e-9) {
      const auto flatter = launch_above_line(shot, geometry, x);
      constexpr double same_rad = 1e-9;
      if (!flatter || std::abs(*flatter - launch_rad) > same_rad) return std::nullopt;
      return Reach{x, false};
    }
    there = fly(shot, launch_rad, x);
  }
  return std::nullopt;
}

}  // namespace

Reach longest_distance(const Shot& shot, const SightGeometry& geometry, const SightBody& body, double wanted_mm) {
  const double least_pin_mm = body.below_pin_mm + body.envelope_radius_mm + wanted_mm;
  // The pin's height hangs on the launch alone, so the launch at the end of the reach is known before the distance.
  const double tangent = (geometry.peep_z_mm - least_pin_mm) / (geometry.pin_x_mm - geometry.peep_x_mm);
  if (const auto reach = reach_of_launch(shot, geometry, std::atan(tangent))) return *reach;

  const auto spare = [&](double distance_m) {
    const auto launch = launch_above_line(shot, geometry, distance_m);
    if (!launch) return -1e3;  // out of the arrow's reach is out of the sight's
    return pin_height_mm(geometry, *launch) - least_pin_mm;
  };
  // Down from the far end: past the top of the curve the marks only fall, so the first distance that clears
  // brackets the answer with the one before it.
  double far = farthest_looked_at_m, spare_far = spare(far);
  if (spare_far >= 0) return {far, true};
  constexpr double ratio = 0.75;
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
