// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/flight/trajectory.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "engine/flight/taylor.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

/// Below this the arrow has as good as stopped along x, and x is no variable to integrate over any more.
constexpr double slowest_m_s = 2;
constexpr double steepest_rad = 60 * unit::degree_rad;

flight::Pull pull_on(const Shot& shot) {
  return {-unit::standard_gravity * std::sin(shot.slope_rad), -unit::standard_gravity * std::cos(shot.slope_rad),
          shot.drag_per_metre};
}

/// Launch and the slope of the miss by the launch for a flat path, McCoy, Modern Exterior Ballistics (1999), 5.5:
/// horizontal speed dies as exp(−k x), whatever the drop.
struct FlatPath {
  double launch_rad = 0, steepness_m = 0;
};

FlatPath flat_path(const Shot& shot, double distance_m, double above_m, double ahead_m) {
  const double z = 2 * shot.drag_per_metre * distance_m, v = shot.speed_m_s;
  const double share = z < 1e-4 ? 0.5 + z / 6 : (std::expm1(z) - z) / (z * z);
  const double drop = unit::standard_gravity * std::cos(shot.slope_rad) * distance_m * distance_m / (v * v) * share;
  const auto sane = [](double tangent) { return std::clamp(tangent, -1.0, 1.0); };  // drops beyond reckoning included
  double tangent = sane((above_m + drop) / distance_m);
  // The launch slows the arrow along x and tilts the line's foot; both are small.
  for (int i = 0; i < 2; ++i) {
    const double cosine = 1 / std::sqrt(1 + tangent * tangent);
    tangent = sane((cosine * (above_m - ahead_m * tangent) + drop * (1 + tangent * tangent)) / distance_m);
  }
  return {std::atan(tangent), (1 + tangent * tangent) * (distance_m - 2 * tangent * drop) + ahead_m};
}

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

double drag_coefficient_from_speeds(double speed_m_s, double slowed_speed_m_s, double distance_m, double density_kg_m3,
                                    double shaft_diameter_m, double mass_kg) {
  return std::log(speed_m_s / slowed_speed_m_s) / distance_m /
         drag_per_metre(density_kg_m3, 1.0, shaft_diameter_m, mass_kg);
}

std::optional<FlightPoint> fly(const Shot& shot, double launch_rad, double distance_m) {
  const flight::Pull pull = pull_on(shot);
  const double speed = shot.speed_m_s * std::cos(launch_rad);
  if (!(speed > slowest_m_s)) return std::nullopt;
  flight::State state{0, 0, std::tan(launch_rad), 1 / speed};
  constexpr double shortest_m = 1e-3;
  for (double x = 0; x < distance_m;) {
    const double left = distance_m - x;
    const flight::Expansion path(state, pull, left);
    const double step = std::min(left, path.reached());
    if (step < std::min(left, shortest_m)) return std::nullopt;
    state = path.at(step);
    // Where the path turns upright its series hold for ever shorter steps, and speed along x ends.
    if (!(state.slowness > 0 && state.slowness * slowest_m_s < 1)) return std::nullopt;
    x = step < left ? x + step : distance_m;
  }
  return FlightPoint{state.offset, state.time, 1 / state.slowness, state.tangent / state.slowness};
}

std::optional<double> launch_angle_to_line(const Shot& shot, double distance_m, double above_m, double ahead_m) {
  const auto miss = [&](double launch) {
    const auto hit = fly(shot, launch, distance_m);
    const double height = std::cos(launch) * (above_m - ahead_m * std::tan(launch));
    // Not reached: as far below as can be, so that a bracket still closes on the angle that does reach.
    return hit ? hit->offset_m - height : -1e6;
  };
  // The miss is all but linear in the launch: from a flat path's launch and slope, secants close in by themselves
  // nearly always, in a quarter of the flights that a bracket takes. Where they do not, the bracket decides.
  constexpr double settled_rad = 1e-14;
  constexpr int secants = 8;
  const FlatPath flat = flat_path(shot, distance_m, above_m, ahead_m);
  const double guess = flat.launch_rad;
  double now = guess, miss_now = miss(now), steepness = flat.steepness_m;
  for (int i = 0; i < secants && std::abs(now) < steepest_rad; ++i) {
    if (!(steepness > 0.3 * distance_m))
      break;  // near the farthest reach: a lob's root is no farther than the flat one's
    const double next = now - miss_now / steepness;
    if (std::abs(next - now) <= settled_rad) return next;
    const double miss_next = miss(next);
    const double found = (miss_next - miss_now) / (next - now);
    const double step = miss_next / found;
    // The step errs by about the share by which its slope is wrong, which the change of slope bounds.
    const double doubt = std::abs(found / steepness - 1);
    if (found > 0.3 * distance_m && std::abs(step) < 1e-9 && std::abs(step) * doubt <= settled_rad) return next - step;
    now = next, miss_now = miss_next, steepness = found;
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
  const auto [a, b] = boost::math::tools::toms748_solve(miss, low, high, miss_low, miss_high, close_enough, iterations);
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
