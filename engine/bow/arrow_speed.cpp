// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/arrow_speed.hpp"

#include <fmt/format.h>

#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright {

double arrow_speed_m_s(double stored_j, double arrow_kg, double virtual_kg) {
  if (!(stored_j >= 0 && arrow_kg > 0 && virtual_kg >= 0))
    throw Error(
        ErrorCode::input,
        fmt::format("arrow speed from {:.2f} J, an arrow of {:.4f} kg and a virtual mass of {:.4f} kg: the energy "
                    "and the virtual mass must not be negative, the arrow must be above zero",
                    stored_j, arrow_kg, virtual_kg));
  return std::sqrt(2 * stored_j / (arrow_kg + virtual_kg));
}

StoredEnergy stored_by_catalogue(double round_cams_j, double peak_relative_uncertainty) {
  constexpr double by_cams = 0.17;
  return {stored_by_usual_cams * round_cams_j, std::hypot(by_cams, peak_relative_uncertainty)};
}

StoredEnergy stored_as_measured(double joules, double further_relative_uncertainty) {
  constexpr double by_friction = 0.05;
  return {joules, std::hypot(by_friction, further_relative_uncertainty)};
}

SpeedByEnergy speed_by_energy(const StoredEnergy& stored, double arrow_kg, double arrow_uncertainty_kg) {
  const double speed = arrow_speed_m_s(stored.joules, arrow_kg), moved = arrow_kg + virtual_mass_kg;
  // The speed goes with the root of each.
  return {speed, speed / 2 *
                     std::hypot(stored.relative_uncertainty, virtual_mass_uncertainty_kg / moved,
                                arrow_uncertainty_kg / moved)};
}

double virtual_mass_from_speed_kg(double stored_j, double arrow_kg, double speed_m_s) {
  const double whole = speed_m_s > 0 ? 2 * stored_j / (speed_m_s * speed_m_s) : 0;
  if (!(arrow_kg > 0 && whole >= arrow_kg))
    throw Error(ErrorCode::input,
                fmt::format("an arrow of {:.4f} kg at {:.1f} m/s carries more than the {:.1f} J this bow stores: check "
                            "arrow mass, arrow speed and peak weight",
                            arrow_kg, speed_m_s, stored_j));
  return whole - arrow_kg;
}

}  // namespace peepwright
