// SPDX-License-Identifier: GPL-3.0-or-later
// How sure the mark is: propagation of every input's standard uncertainty through the whole solve
// (JCGM 100:2008, clause 5; inputs taken as independent).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "engine/fit/fit.hpp"

namespace peepwright {

struct BudgetLine {
  std::string input;                ///< key path, or "posture"
  std::string help;                 ///< in words
  std::string unit;                 ///< unit people use: mm, deg, g, m/s …
  double sensitivity = 0;           ///< mm of result per unit
  double standard_uncertainty = 0;  ///< in that unit
  double contribution_mm = 0;       ///< |sensitivity| · standard uncertainty, ½|f(x+u) − f(x−u)|
  bool assumed = false;             ///< nobody measured it (the posture's tolerances among that)
};

struct Budget {
  std::vector<BudgetLine> lines;  ///< largest contribution first; none below 1e-6 mm
  double combined_mm = 0;         ///< root of the sum of squares
  /// Expanded uncertainty with coverage factor k = 2, about 95 %.
  [[nodiscard]] double expanded_mm() const { return 2 * combined_mm; }
};

/// A result of the core solve, mm.
using Result = std::function<double(const CoreFit&)>;

/// Budget of `result` for the peep to be placed. `posture_sd_mm` is what the posture's own tolerances leave open.
/// Each input is moved by ± its standard uncertainty (GUM 5.1.3, note 2), hidden spreads of the face included.
Budget make_budget(const Spec& spec, const Result& result, double posture_sd_mm);

/// Budget of the mark at rest.
Budget mark_budget(const Spec& spec, const CoreFit& fit);

/// How sure a sight mark is; expanded (k = 2), mm.
struct PinUncertainty {
  double pin_mm = 0;         ///< of the pin's height above the arrow
  double from_first_mm = 0;  ///< of its distance from the first mark's, which is what counts once that one is shot in
  double clearance_mm = 0;   ///< of what the passing vanes clear the sight by
};
/// How sure the sight's marks are, and what follows of them; expanded (k = 2).
struct SightUncertainty {
  std::vector<PinUncertainty> pins;   ///< of `fit.marks`, one each
  double lowest_clearance_mm = 0;     ///< of `fit.lowest.clearance_mm`
  std::optional<double> longest_m{};  ///< of `fit.reach`; none where the sight never clears, or wherever was looked at
  /// Of the longest distance at which the vanes do not strike the sight, where they strike it at some distance.
  std::optional<double> strikes_past_m{};
};
/// Of `fit`, the peep to be placed or the one that is tied: the same inputs moved as for the mark's budget, flight and
/// sight included.
SightUncertainty sight_uncertainty(const Spec& spec, const Fit& fit);

/// The face statistics' spreads set, unless the user gave them: what every budget starts from.
Spec with_spreads(const Spec& spec);

/// An input that rests on an assumption, and what it costs.
struct Assumption {
  std::string key;
  double value = 0;  ///< in `unit`
  std::string unit;
  std::string reason;
  double moves_mark_mm = 0;  ///< for one standard uncertainty
};
std::vector<Assumption> assumptions(const Spec& spec, const Budget& budget);

/// What measuring one more thing would do to the mark's expanded uncertainty.
struct Advice {
  std::string key;
  std::string help;
  double expanded_mm = 0;  ///< what it would come down to
};
/// Best first; only what helps by a twentieth or more. The gain is computed by giving the fit's own value to
/// the key with the uncertainty of a measured one, and making the budget again.
std::vector<Advice> what_to_measure_next(const Spec& spec, const CoreFit& fit, double expanded_mm);

}  // namespace peepwright
