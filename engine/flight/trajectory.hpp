// SPDX-License-Identifier: GPL-3.0-or-later
// Flight of an arrow as a point mass with quadratic drag, in the plane of the line of sight.
#pragma once

#include <optional>

namespace peepwright {

/// Density of the ISA standard atmosphere, kg/m³, at `altitude_m` up to 11 000 m (ISO 2533 / ICAO Doc 7488).
double isa_density_kg_m3(double altitude_m);

/// k = ρ C_D A / 2m per metre, with A = πd²/4 of the shaft (the free-flight papers' reference area).
double drag_per_metre(double density_kg_m3, double drag_coefficient, double shaft_diameter_m, double mass_kg);

/// C_D from the speeds at both ends of `distance_m` of flat flight: u2 = u1·e^(−ks)
/// (Miyazaki et al., Sports Engineering 16 (2013) 43–54).
double drag_coefficient_from_speeds(double speed_m_s, double slowed_speed_m_s, double distance_m, double density_kg_m3,
                                    double shaft_diameter_m, double mass_kg);

/// What an arrow does after it has left; the frame's x axis lies along the line of sight.
struct Shot {
  double speed_m_s = 0;
  double drag_per_metre = 0;
  double slope_rad = 0;  ///< line of sight above the horizontal
};

struct FlightPoint {
  double offset_m = 0;  ///< from the line through the start along x, up positive
  double time_s = 0;
  double vx_m_s = 0, vz_m_s = 0;
};

/// Flies `distance_m` along x after a start at `launch_rad` above x. Nothing if the arrow never gets there.
/// Taylor series with distance as the variable, to the last digits: within 1e-11 of 50 m.
std::optional<FlightPoint> fly(const Shot& shot, double launch_rad, double distance_m);

/// Launch angle above x, of the flatter of the two paths, that is `height_m` above the start at `distance_m`.
/// Nothing if it is out of reach. For programs that embed the engine, and the form in which published trajectories are
/// checked; sight marks need the one below.
std::optional<double> launch_angle_to(const Shot& shot, double distance_m, double height_m);

/// The same for a line of sight that passes the start at a height which depends on the launch angle β, because
/// line and arrow are tilted against one another: height = cos β · (above_m − ahead_m · tan β).
std::optional<double> launch_angle_to_line(const Shot& shot, double distance_m, double above_m, double ahead_m);

}  // namespace peepwright
