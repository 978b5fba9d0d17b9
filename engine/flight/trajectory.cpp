// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/flight/trajectory.hpp"

#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

namespace odeint = boost::numeric::odeint;
using State = std::array<double, 4>;  // offset, time, vx, vz

/// Below this the arrow has as good as stopped along x, and x is no variable to integrate over any more.
constexpr double slowest_m_s = 2;
constexpr double steepest_rad = 60 * unit::degree_rad;
constexpr double tolerance = 1e-12;

}  // namespace

double isa_density_kg_m3(double altitude_m) {
  constexpr double t0 = 288.15, p0 = 101325, lapse = 0.0065, gas = 287.05287, g = unit::standard_gravity;
  const double temperature = t0 - lapse * altitude_m;
  return p0 * std::pow(temperature / t0, g / (gas * lapse)) / (gas * temperature);
}

double drag_per_metre(double density_kg_m3, double drag_coefficient, double shaft_diameter_m, double mass_kg) {
  const double area = std::numbers::pi * shaft_diameter_m * shaft_diameter_m / 4;
  return density_kg_m3 * drag_coefficient * area / (2 * mass_kg);
}

double drag_coefficient_from_speeds(double speed_m_s, double slowed_speed_m_s, double distance_m,
                                    double density_kg_m3, double shaft_diameter_m, double mass_kg) {
  return std::log(speed_m_s / slowed_speed_m_s) / distance_m /
         drag_per_metre(density_kg_m3, 1.0, shaft_diameter_m, mass_kg);
}

std::optional<FlightPoint> fly(const Shot& shot, double launch_rad, double distance_m) {
  const double along = -unit::standard_gravity * std::sin(shot.slope_rad);
  const double down = -unit::standard_gravity * std::cos(shot.slope_rad);
  bool stopped = false;
  const auto slope = [&](const State& y, State& dy, double) {
    const double vx = y[2], vz = y[3];
    if (!(vx > slowest_m_s)) {
      stopped = true;
      dy = {};
      return;
    }
    const double drag = shot.drag_per_metre * std::sqrt(vx * vx + vz * vz);  // no speed here is near over- or underflow
    dy = {vz / vx, 1 / vx, (along - drag * vx) / vx, (down - drag * vz) / vx};
  };
  State y{0, 0, shot.speed_m_s * std::cos(launch_rad), shot.speed_m_s * std::sin(launch_rad)};
  auto stepper = odeint::make_controlled(tolerance, tolerance, odeint::runge_kutta_fehlberg78<State>());
  double x = 0, step = std::min(distance_m, 20.0);
  constexpr int most_steps = 10000;
  for (int i = 0; x < distance_m; ++i) {
    if (i == most_steps) return std::nullopt;
    step = std::min(step, distance_m - x);
    if (step < 1e-12 * distance_m) break;
    const State before_y = y;
    const double before_x = x, tried = step;
    stopped = false;
    stepper.try_step(slope, y, x, step);
    if (!stopped) continue;
    // One of the stages stood where the arrow has stopped. That may be a step too long; a short one tells.
    y = before_y, x = before_x, step = tried / 4;
    constexpr double shortest_m = 1e-3;
    if (step < shortest_m) return std::nullopt;
  }
  return FlightPoint{y[0], y[1], y[2], y[3]};
}

std::optional<double> launch_angle_to_line(const Shot& shot, double distance_m, double above_m, double ahead_m) {
  const auto miss = [&](double launch) {
    const auto hit = fly(shot, launch, distance_m);
    const double height = std::cos(launch) * (above_m - ahead_m * std::tan(launch));
    // Not reached: as far below as can be, so that a bracket still closes on the angle that does reach.
    return hit ? hit->offset_m - height : -1e6;
  };
  // Start from the path without drag, and widen until the sign changes.
  const double drop = unit::standard_gravity * std::cos(shot.slope_rad) * distance_m * distance_m /
                      (2 * shot.speed_m_s * shot.speed_m_s);
  const double guess = std::atan2(above_m + drop * (1 + shot.drag_per_metre * distance_m), distance_m);
  // The miss is all but linear in the launch: secants close in by themselves nearly always, in half the flights that a
  // bracket takes. Where they do not, the bracket decides.
  constexpr double settled_rad = 1e-14;
  constexpr int secants = 8;
  double before = guess, miss_before = miss(before);
  double now = guess - miss_before / distance_m;
  for (int i = 0; i < secants && std::abs(now) < steepest_rad; ++i) {
    const double miss_now = miss(now);
    const double steepness = (miss_now - miss_before) / (now - before);
    if (!(steepness > 0.3 * distance_m)) break;  // near the farthest reach: a lob's root is no farther than the flat one's
    const double next = now - miss_now / steepness;
    if (std::abs(next - now) <= settled_rad && std::abs(miss_now) < 1e-9 * distance_m) return next;
    before = now, miss_before = miss_now;
    now = next;
  }

  double reach = 0.02 * std::abs(guess) + 1e-4;
  double low = guess - reach, high = guess + reach;
  double miss_low = miss(low), miss_high = miss(high);
  while (miss_low > 0) {
    if (low < -steepest_rad) return std::nullopt;
    high = low, miss_high = miss_low;
    low -= reach *= 2;
    miss_low = miss(low);
  }
  while (miss_high < 0) {
    if (high > steepest_rad) return std::nullopt;
    low = high, miss_low = miss_high;
    high += reach *= 2;
    miss_high = miss(high);
  }
  std::uintmax_t iterations = 60;
  const auto close_enough = [](double a, double b) { return std::abs(b - a) <= 1e-14; };
  const auto [a, b] =
      boost::math::tools::toms748_solve(miss, low, high, miss_low, miss_high, close_enough, iterations);
  const double launch = (a + b) / 2;
  if (std::abs(miss(launch)) > 1e-6 * distance_m) return std::nullopt;  // the jump to "not reached", not a root
  return launch;
}

std::optional<double> launch_angle_to(const Shot& shot, double distance_m, double height_m) {
  // A fixed height is not a line tilted with the launch, so it is solved on its own rotated path: shift the
  // start by the height and let the line pass through it untilted.
  const double direct = std::atan2(height_m, distance_m);
  const double slant = std::hypot(height_m, distance_m);
  Shot along = shot;
  along.slope_rad += direct;
  const auto launch = launch_angle_to_line(along, slant, 0, 0);
  if (!launch) return std::nullopt;
  return *launch + direct;
}

}  // namespace peepwright
