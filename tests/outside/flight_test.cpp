// SPDX-License-Identifier: GPL-3.0-or-later
// Flight and sight line against published values and closed forms. Marks: [P] published; [P2] published, as
// reported by another text; [F] follows from a published formula, computed twice by independent methods.
#include <gtest/gtest.h>

#include <array>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <numbers>

#include "engine/flight/sight_line.hpp"
#include "engine/flight/trajectory.hpp"
#include "engine/quantity/quantity.hpp"
#include "engine/spec/key.hpp"

namespace peepwright {
namespace {

constexpr double g = unit::standard_gravity;

double deg(double rad) { return rad * 180 / std::numbers::pi; }
double rad(double degrees) { return degrees * std::numbers::pi / 180; }

/// Case A [F]: 22.68 g (350 gr, the rating arrow of ASTM F1544-11), 5.5 mm, C_D 2.6, 85 m/s, sea level.
Shot case_a() { return {85, drag_per_metre(1.225, 2.6, 0.0055, 0.02268), 0}; }

TEST(Atmosphere, IsTheStandardOne) {
  // ISO 2533 / ICAO Doc 7488 [P]: sea level 1.225, 1000 m 1.1116 kg/m³.
  EXPECT_NEAR(isa_density_kg_m3(0), 1.225, 5e-5);
  EXPECT_NEAR(isa_density_kg_m3(1000), 1.1116, 5e-5);
}

TEST(Drag, CoefficientOfCaseA) { EXPECT_NEAR(case_a().drag_per_metre, 1.668213575843e-3, 1e-14); }

TEST(Drag, FromTwoSpeedsIsTheFreeFlightPapersFormula) {
  // D̂ = −(2/s) ln(u2/u1), C_D = 4 m D̂ / (ρ π d²): Miyazaki et al., Sports Engineering 16 (2013) 43–54 [P2].
  const double u1 = 60, u2 = 56.5, s = 45, m = 0.018, d = 0.0052, rho = 1.2;
  const double published = 4 * m * (-(2 / s) * std::log(u2 / u1)) / (rho * std::numbers::pi * d * d);
  EXPECT_NEAR(drag_coefficient_from_speeds(u1, u2, s, rho, d, m), published, 1e-12 * published);
}

TEST(Drag, WhatIsAcceptedHoldsWhatIsPublished) {
  // About 1.5 laminar and 2.6 turbulent, Miyazaki et al. 2013 [P2]; 1.56 and 2.05 for short and large vanes at
  // Re 1.2e4, Proceedings 2020, 49(1), 56 [P]. Nothing is published at compound speeds or for 9.3 mm shafts.
  const KeyInfo& row = info_of(Key::arrow_drag_coefficient);
  for (const double published : {1.5, 2.6, 1.56, 2.05}) {
    EXPECT_GE(published, row.least);
    EXPECT_LE(published, row.most);
    EXPECT_NEAR(published, row.fallback, 2.5 * row.assumed_uncertainty);
  }
}

TEST(Flight, CaseALevelTarget) {
  const struct {
    double m, launch_deg, time_s, speed;
  } table[] = {{18, 0.71421803, 0.21499298, 82.485770},
               {30, 1.20680695, 0.36200307, 80.851677},
               {50, 2.05879887, 0.61386641, 78.202177},
               {70, 2.95213377, 0.87472563, 75.644422},
               {90, 3.89016991, 1.14515062, 73.177927}};
  for (const auto& row : table) {
    const auto launch = launch_angle_to(case_a(), row.m, 0);
    ASSERT_TRUE(launch);
    EXPECT_NEAR(deg(*launch), row.launch_deg, 1e-8) << row.m;
    const auto hit = fly(case_a(), *launch, row.m);
    ASSERT_TRUE(hit);
    EXPECT_NEAR(hit->time_s, row.time_s, 1e-8) << row.m;
    EXPECT_NEAR(std::hypot(hit->vx_m_s, hit->vz_m_s), row.speed, 1e-6) << row.m;
  }
}

TEST(Flight, LessDragAtFiftyMetres) {
  const Shot shot{85, drag_per_metre(1.225, 1.5, 0.0055, 0.02268), 0};
  const auto launch = launch_angle_to(shot, 50, 0);
  ASSERT_TRUE(launch);
  EXPECT_NEAR(deg(*launch), 2.00978738, 1e-8);
  EXPECT_NEAR(fly(shot, *launch, 50)->time_s, 0.60299245, 1e-8);
}

TEST(Flight, LaunchedLevelDropsAsTabulated) {
  EXPECT_NEAR(fly(case_a(), 0, 50)->offset_m, -1.795094387, 1e-9);  // [F]
}

TEST(Flight, HoldsTheInvariantOfQuadraticDrag) {
  // 1/u² + (k/g)(p√(1+p²) + asinh p) is constant, p the tangent of the flight angle, u the horizontal speed [F].
  const auto invariant = [](double k, double u, double w) {
    const double p = w / u;
    return 1 / (u * u) + k / g * (p * std::sqrt(1 + p * p) + std::asinh(p));
  };
  const Shot shot = case_a();
  const double launch = *launch_angle_to(shot, 50, 0);
  const double start = invariant(shot.drag_per_metre, 85 * std::cos(launch), 85 * std::sin(launch));
  EXPECT_NEAR(start, 1.508201601847e-4, 1e-14);
  for (const double distance : {10.0, 50.0, 90.0}) {
    const auto at = fly(shot, launch, distance);
    EXPECT_NEAR(invariant(shot.drag_per_metre, at->vx_m_s, at->vz_m_s), start, 1e-15) << distance;
  }
}

/// The same equations in time, by a Dormand–Prince pair of a library's own, up to the distance.
FlightPoint by_another_integrator(const Shot& shot, double launch_rad, double distance_m) {
  using State = std::array<double, 4>;  // x, z, and their speeds
  const auto slope = [&](const State& y, State& dy, double) {
    const double drag = shot.drag_per_metre * std::hypot(y[2], y[3]);
    dy = {y[2], y[3], -g * std::sin(shot.slope_rad) - drag * y[2], -g * std::cos(shot.slope_rad) - drag * y[3]};
  };
  namespace odeint = boost::numeric::odeint;
  State y{0, 0, shot.speed_m_s * std::cos(launch_rad), shot.speed_m_s * std::sin(launch_rad)};
  double time = 0;
  for (int i = 0; i < 200 && std::abs(distance_m - y[0]) > 1e-12 * distance_m; ++i) {
    const double step = (distance_m - y[0]) / y[2];  // Newton on the time of arrival
    odeint::integrate_adaptive(odeint::make_controlled(1e-13, 1e-13, odeint::runge_kutta_dopri5<State>()), slope, y,
                               time, time + step, step / 64);
    time += step;
  }
  return {y[1], time, y[2], y[3]};
}

TEST(Flight, AgreesWithAnotherIntegrator) {
  for (const double drag : {0.0, 0.0008, 0.0016682, 0.01})
    for (const double slope_deg : {-50.0, -12.0, 0.0, 35.0})
      for (const double launch_deg : {-5.0, 0.5, 4.0, 25.0, 44.0})
        for (const double distance : {0.5, 20.0, 70.0}) {
          const Shot shot{70, drag, rad(slope_deg)};
          const auto hit = fly(shot, rad(launch_deg), distance);
          ASSERT_TRUE(hit);
          const FlightPoint other = by_another_integrator(shot, rad(launch_deg), distance);
          SCOPED_TRACE(testing::Message()
                       << drag << ' ' << slope_deg << " deg, " << launch_deg << " deg, " << distance << " m");
          EXPECT_NEAR(hit->offset_m, other.offset_m, 1e-9);
          EXPECT_NEAR(hit->time_s, other.time_s, 1e-10);
          EXPECT_NEAR(hit->vx_m_s, other.vx_m_s, 1e-9);
          EXPECT_NEAR(hit->vz_m_s, other.vz_m_s, 1e-9);
        }
}

TEST(Flight, TakesAnyNumberOfSteps) {
  // A path so long, or so steep, that one series does not reach its end.
  for (const double launch_deg : {1.0, 58.0}) {
    const Shot shot{60, 0.002, 0};
    const double far = launch_deg > 50 ? 180 : 250;
    const auto hit = fly(shot, rad(launch_deg), far);
    ASSERT_TRUE(hit);
    EXPECT_NEAR(hit->offset_m, by_another_integrator(shot, rad(launch_deg), far).offset_m, 1e-8);
  }
  EXPECT_FALSE(fly({60, 0.05, 0}, rad(50), 200));  // it has come down upright long before
}

TEST(Flight, WithoutDragIsTheSchoolbookParabola) {
  // 57.1 m/s, 70 m, g 9.81: 1.23 s, drop 7.37 m, 6.1°, greatest range about 330 m [P].
  const Shot shot{57.1, 0, 0};
  const auto launch = launch_angle_to(shot, 70, 0);
  ASSERT_TRUE(launch);
  EXPECT_NEAR(deg(*launch), 6.1, 0.05);
  EXPECT_NEAR(fly(shot, *launch, 70)->time_s, 1.23, 0.005);
  EXPECT_NEAR(fly(shot, 0, 70)->offset_m, -7.37, 0.01);
  EXPECT_TRUE(launch_angle_to(shot, 325, 0));
  EXPECT_FALSE(launch_angle_to(shot, 340, 0));
}

TEST(Flight, FlatFireFormulaAgreesOnAFlatPath) {
  // McCoy, Modern Exterior Ballistics (1999), eqs 5.45–5.47, constant C_D [P2]: exact as the path gets flat.
  const Shot shot = case_a();
  const double x = 50, v0 = 85, r = std::exp(shot.drag_per_metre * x);
  const double time = x / v0 * (r - 1) / std::log(r);
  const double drop = 0.5 * g * time * time * (0.5 + 1 / (r - 1) - std::log(r) / ((r - 1) * (r - 1)));
  const auto hit = fly(shot, 0, x);
  EXPECT_NEAR(hit->vx_m_s, v0 / r, 1e-3 * v0 / r);
  EXPECT_NEAR(hit->time_s, time, 1e-3 * time);
  EXPECT_NEAR(-hit->offset_m, drop, 2e-3 * drop);
}

TEST(Flight, SlantShotsUpAndDownDiffer) {
  // Slant 50 m, launch above the line of sight [F].
  const struct { double slope_deg, launch_deg; } table[] = {{30, 1.81685751}, {0, 2.05879887}, {-30, 1.75075499}};
  for (const auto& row : table) {
    Shot shot = case_a();
    shot.slope_rad = rad(row.slope_deg);
    const auto launch = launch_angle_to_line(shot, 50, 0, 0);
    ASSERT_TRUE(launch);
    EXPECT_NEAR(deg(*launch), row.launch_deg, 1e-8) << row.slope_deg;
  }
}

TEST(SightMarks, RiseAndThenFall) {
  // Case A, peep at (93, 90) mm, pin plane x = 950 mm, flight from the nocking point at target height [F].
  // There the level is that of start and target; here the line of sight is, so the two are matched by tilting
  // the line until the target lies level with the start.
  const double peep_x = 0.093, peep_z = 0.090, pin_x = 0.950;
  const auto pin_mm = [&](double distance) {
    const double launch = *launch_angle_to(case_a(), distance, 0);
    const double target_x = distance * std::cos(launch), target_z = -distance * std::sin(launch);
    return 1000 * (peep_z + (target_z - peep_z) * (pin_x - peep_x) / (target_x - peep_x));
  };
  const struct {
    double m, mm;
  } table[] = {{5, 71.301787},  {10, 76.277568}, {18, 74.953471}, {30, 69.310828},
               {50, 57.588393}, {70, 44.640762}, {90, 30.803026}, {11.461, 76.407651}};
  const SightGeometry geometry{93, 90, 0, 950};
  for (const auto& row : table) {
    EXPECT_NEAR(pin_mm(row.m), row.mm, 1e-6) << row.m;
    // The engine's own line: tilt it until the target on it is level with the start.
    double launch = rad(2);
    for (int i = 0; i < 30; ++i) {
      const double line_above_start = (peep_z + peep_x * std::tan(launch)) * std::cos(launch);
      Shot shot = case_a();
      shot.slope_rad = -std::asin(line_above_start / row.m);
      launch = *launch_above_line(shot, geometry, std::sqrt(row.m * row.m - line_above_start * line_above_start));
    }
    EXPECT_NEAR(pin_height_mm(geometry, launch), row.mm, 1e-6) << row.m;
  }
}

TEST(SightMarks, LineAndArrowMeetAtTheTarget) {
  // Re-fly every mark and measure the miss square to the line of sight.
  const SightGeometry geometry{102, 86, 704.85, 854.85};
  for (const double slope : {-30.0, 0.0, 25.0})
    for (const double distance : {3.0, 10.0, 50.0, 90.0}) {
      Shot shot = case_a();
      shot.slope_rad = rad(slope);
      const auto launch = launch_above_line(shot, geometry, distance);
      ASSERT_TRUE(launch);
      const double line_above_start =
          (geometry.peep_z_mm - (geometry.start_x_mm - geometry.peep_x_mm) * std::tan(*launch)) * std::cos(*launch);
      EXPECT_NEAR(fly(shot, *launch, distance)->offset_m * 1000, line_above_start, 1e-6);
    }
}

// The longest distance is where the mark's own clearance is just what is wanted, and less beyond.
TEST(Reach, IsWhereTheClearanceJustIsMet) {
  int within = 0;
  for (const double peep_z : {60.0, 86.0, 110.0})
    for (const double below : {18.0, 25.0, 40.0})
      for (const double slope_deg : {-30.0, 0.0, 40.0})
        for (const double speed : {40.0, 70.0, 95.0}) {
          const SightGeometry geometry{102, peep_z, 704.85, 854.85};
          const SightBody body{below, 11.75};
          const Shot shot{speed, case_a().drag_per_metre, rad(slope_deg)};
          const Reach reach = longest_distance(shot, geometry, body, 3);
          SCOPED_TRACE(testing::Message()
                       << peep_z << ' ' << below << ' ' << slope_deg << ' ' << speed << ": " << reach.longest_m);
          if (reach.beyond_limit) {
            EXPECT_GE(sight_mark(shot, geometry, body, farthest_looked_at_m).clearance_mm, 3);
            continue;
          }
          const auto spare = [&](double distance) {
            const auto launch = launch_above_line(shot, geometry, distance);
            return launch ? pin_height_mm(geometry, *launch) - below - 11.75 - 3 : -1e3;
          };
          if (reach.longest_m > 0) {
            ++within;
            EXPECT_NEAR(spare(reach.longest_m), 0, 1e-6);
          }
          for (double d = std::max(3.5, reach.longest_m * 1.001); d < 250; d *= 1.03) EXPECT_LT(spare(d), 0) << d;
        }
  EXPECT_GT(within, 30);
}

// Steeply uphill the arrow's own reach ends before the sight comes down to the vanes.
TEST(Reach, EndsWhereTheArrowsOwnDoes) {
  const SightGeometry geometry{102, 86, 704.85, 854.85};
  const SightBody body{3, 11.75};
  const Shot shot{30, case_a().drag_per_metre, rad(80)};
  const Reach reach = longest_distance(shot, geometry, body, 3);
  ASSERT_GT(reach.longest_m, 10);
  EXPECT_FALSE(reach.beyond_limit);
  EXPECT_GE(sight_mark(shot, geometry, body, reach.longest_m * 0.9999).clearance_mm, 3);
  EXPECT_FALSE(launch_above_line(shot, geometry, reach.longest_m * 1.0001));
}

TEST(Reach, OutOfReachIsSaidNotInvented) {
  const SightGeometry geometry{102, 86, 704.85, 854.85};
  const Shot slow{30, case_a().drag_per_metre, 0};
  EXPECT_FALSE(launch_above_line(slow, geometry, 150));
  EXPECT_ANY_THROW(sight_mark(slow, geometry, {22, 11.75}, 150));
  EXPECT_EQ(longest_distance(slow, geometry, {200, 11.75}, 3).longest_m, 0);
}

}  // namespace
}  // namespace peepwright
