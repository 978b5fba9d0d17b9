// SPDX-License-Identifier: GPL-3.0-or-later
// How string and cables stretch. High-modulus polyethylene: tensile modulus 52 to 132 GPa by grade (54 to 137 N/tex;
// 65 to 100 GPa for the weaving and rope-making grades), and fibre made in 1760 dtex among others: published data
// sheet of the fibre, 2010. A bowstring strand of 1760 dtex is common practice, no source. Twist and waxing take some
// of the modulus, by how much has no source: the default is the low end of the rope-making grades, with a
// standard uncertainty of a quarter.
#pragma once

namespace peepwright {

/// What string and cables are laid of.
struct Strands {
  int count = 24;
  double linear_density_tex = 176;  ///< g/km of one strand
  double modulus_n_per_tex = 67;    ///< of the strand in the string
  /// Force per unit strain of the whole string (N). Zero strands or modulus mean a string that does not stretch.
  [[nodiscard]] double stiffness_n() const { return count * linear_density_tex * modulus_n_per_tex; }
};

/// Relative standard uncertainty of `Strands::modulus_n_per_tex` when nobody measured it.
inline constexpr double modulus_uncertainty = 0.25;

/// String and cables of one bow.
struct StringData {
  Strands string;
  Strands cable;
};

/// A string and cables that do not stretch.
inline StringData inextensible() { return {{0, 0, 0}, {0, 0, 0}}; }

/// By how much the distance `along_mm`, laid off on the string at rest, is longer there than at full draw (mm): the
/// string carries more at rest. A mark is set at rest, so the distance wanted at full draw is lengthened by this.
inline double mark_change_mm(double along_mm, double tension_at_rest_n, double tension_at_full_draw_n,
                             const Strands& string) {
  const double stiffness = string.stiffness_n();
  return stiffness > 0 ? along_mm * (tension_at_rest_n - tension_at_full_draw_n) / stiffness : 0;
}

}  // namespace peepwright
