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

/// E = (m + m_v) v² / 2. Speed in m/s from joules and kilograms.
/// Throws Error(input) unless the energy is not negative, the arrow above zero and the virtual mass not negative.
double arrow_speed_m_s(double stored_j, double arrow_kg, double virtual_kg = virtual_mass_kg);

/// The virtual mass of a bow whose arrow of `arrow_kg` was measured at `speed_m_s`. Throws Error(input) where the
/// arrow would carry more energy than the bow stored.
double virtual_mass_from_speed_kg(double stored_j, double arrow_kg, double speed_m_s);

}  // namespace peepwright
