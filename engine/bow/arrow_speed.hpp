// SPDX-License-Identifier: GPL-3.0-or-later
// Arrow speed from stored energy by the virtual mass: the bow takes along as much energy as a mass of a few grams
// flying with the arrow would, nearly the same for every arrow (P. E. Klopsteg, "Physics of bows and arrows",
// American Journal of Physics 11 (1943) 175-192, from memory; restated in later published accounts).
#pragma once

namespace peepwright {

/// Virtual mass of a twin-cam bow with its standard uncertainty. From memory, no source: a rating arrow of 22.7 g
/// takes 75 to 87 % of the stored energy, that is 3.4 to 7.6 g.
inline constexpr double virtual_mass_kg = 5.5e-3;
inline constexpr double virtual_mass_uncertainty_kg = 1.2e-3;

/// What a bow holds at full draw, and how well that is known.
struct StoredEnergy {
  double joules = 0;
  double relative_uncertainty = 0;  ///< standard
};

/// Cams that are not round keep their peak longer than the model's and store more: by this factor a bow of 60 lbf and
/// 29 1/2 in shoots 400 gr at about 82 m/s, as usual ones do. Common practice, no source.
inline constexpr double stored_by_usual_cams = 1.23;

/// What a bow of which the catalogue alone is known stores, where one of round cams would store `round_cams_j`. Cams
/// differ by a sixth, from memory, no source; `peak_relative_uncertainty` is that of the peak weight, which comes on
/// top as the energy follows it.
StoredEnergy stored_by_catalogue(double round_cams_j, double peak_relative_uncertainty);

/// What a bow stores whose own cams or draw-force table gave `joules`. What friction takes of it is 5 %, from memory,
/// no source; a further relative uncertainty comes on top.
StoredEnergy stored_as_measured(double joules, double further_relative_uncertainty = 0);

/// E = (m + m_v) v² / 2. Speed in m/s from joules and kilograms.
/// Throws Error(input) unless the energy is not negative, the arrow above zero and the virtual mass not negative.
double arrow_speed_m_s(double stored_j, double arrow_kg, double virtual_kg = virtual_mass_kg);

struct SpeedByEnergy {
  double m_s = 0;
  double deviation_m_s = 0;  ///< standard uncertainty
};

/// The same, with what energy, arrow's mass and virtual mass leave open. The arrow's mass counts here although it
/// counts again in the drag: these are two effects of it, and they work against each other.
SpeedByEnergy speed_by_energy(const StoredEnergy& stored, double arrow_kg, double arrow_uncertainty_kg);

/// The virtual mass of a bow whose arrow of `arrow_kg` was measured at `speed_m_s`. Throws Error(input) where the
/// arrow would carry more energy than the bow stored.
double virtual_mass_from_speed_kg(double stored_j, double arrow_kg, double speed_m_s);

}  // namespace peepwright
