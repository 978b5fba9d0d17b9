// SPDX-License-Identifier: GPL-3.0-or-later
// How far the full-draw geometry is left open by catalogue numbers: every plausible bow behind them is sized and
// solved, and the spread of what comes out is the uncertainty.
#pragma once

#include <cmath>
#include <string_view>
#include <vector>

#include "engine/bow/full_draw.hpp"

namespace peepwright {

/// What the catalogue does not say, each with the range that is tried. The design's own value lies inside. No source:
/// proportions of round-track cams and limb geometries that make a working bow, chosen wide. Limbs stand 12 deg off
/// the horizontal, nearly parallel to each other, to 65 deg: common practice, no source.
struct FamilyRange {
  std::string_view name;
  double low = 0;
  double high = 0;
  double (*get)(const BowDesign&);
  void (*set)(BowDesign&, double);
};

/// Limb length and angle, preload, both eccentricity angles, and the two ratios that one scale does not move:
/// string track eccentricity to its radius, cable to string track radius.
const std::vector<FamilyRange>& family_ranges();

/// Mean, standard deviation and extremes over the families that could be sized.
struct FamilySpread {
  double mean = 0;
  double deviation = 0;
  double low = 0;
  double high = 0;

  /// Root mean square of what the families are off `value`, which need not be their mean.
  [[nodiscard]] double deviation_from(double value) const { return std::hypot(deviation, mean - value); }
};

struct LegSpread {
  int tried = 0;
  int solved = 0;
  FamilySpread upper_leg_angle_rad, closing_mm, take_off_radius_mm;
};

/// Runs `families` bows over all ranges at once, evenly scattered by Halton's sequence (no random numbers: the same
/// bow gives the same spread). `known` are the numbers the user has given: ranges named in `fixed` keep its
/// values, as those in `ranges` that have no width do. Throws Error(input) where the design itself cannot be sized, or
/// not half of the families can.
LegSpread leg_spread(const CatalogueBow& bow, const BowDesign& known = {}, const StringData& strings = {},
                     int families = 48, const std::vector<std::string_view>& fixed = {},
                     const std::vector<FamilyRange>& ranges = family_ranges());

}  // namespace peepwright
