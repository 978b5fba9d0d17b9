// SPDX-License-Identifier: GPL-3.0-or-later
// A force-draw table measured on a real bow (ASTM F1832: force against draw, brace to full draw, steps of at most one
// inch), and the limbs and cams that explain it.
#pragma once

#include <string_view>
#include <vector>

#include "engine/bow/full_draw.hpp"

namespace peepwright {

struct FitOptions {
  double force_deviation_n = 2.0;            ///< standard uncertainty of one reading, friction of the bow included
  std::vector<std::string_view> fixed = {};  ///< ranges of families.hpp that keep the design's value: it was measured
};

/// A fitted bow. What the table does not tell is held near the design by the ranges of families.hpp, so the
/// uncertainty of the leg angle lies between that of the families and that of a perfect table.
struct ForceDrawFit {
  BowDesign design;
  double limb_stiffness_n_mm = 0;
  DrawState full_draw;  ///< at `draw_length_to_pivot_mm` of the bow, symmetric and without stretch
  double holding_n = 0;
  double root_mean_square_n = 0;         ///< of measured less fitted force
  double leg_angle_uncertainty_rad = 0;  ///< one standard deviation, from the covariance (JᵀJ)⁻¹ of the fit
};

/// Levenberg-Marquardt on the readings and on the ranges of the unknowns, each residual divided by its standard
/// uncertainty. `bow.peak_weight_n` and `bow.let_off` are a first guess only: the table decides.
/// Throws Error(input) for fewer than 6 readings, readings not in rising draw, outside brace to draw length (by
/// more than an inch) or negative, and where no bow of this kind comes near them.
ForceDrawFit fit_force_draw(const CatalogueBow& bow, const std::vector<ForceDrawPoint>& table,
                            const BowDesign& design = {}, const FitOptions& options = {});

}  // namespace peepwright
