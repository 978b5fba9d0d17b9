// SPDX-License-Identifier: GPL-3.0-or-later
// A fit as text for people and as JSON for machines.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/bow/draw_estimate.hpp"
#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"
#include "engine/fit/verify.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright::solid {
class HeadSurface;
}

namespace peepwright {

/// Everything a report says of one archer and one bow.
struct FitReport {
  Fit fit;
  Budget budget;
  std::vector<PinUncertainty> pins;  ///< of `fit.marks`, one each
  std::vector<Assumption> assumed;
  std::vector<Advice> next;
  DrawEstimate draw;        ///< the bow's behaviour, where its catalogue numbers are known
  std::optional<Fit> tied;  ///< the peep as it is tied now, where one is
  /// How far to move the peep that is tied, up positive, and the expanded uncertainty (k = 2) of that.
  double tied_move_mm = 0, tied_move_uncertainty_mm = 0;
  std::optional<HeadShift> shift_from_reference;
  std::vector<std::string> notes;  ///< things a person should know: sources that disagree, young archers …
};

/// Solves everything that a report needs, the draw cycle included. `reference` is another archer-and-bow to give the
/// head shift against. Clearances are to `scanned` where there is one, else to the parametric head.
FitReport make_report(const Spec& spec, const std::optional<Spec>& reference,
                      const std::shared_ptr<const solid::HeadSurface>& scanned = nullptr);

/// The terminal's report. ASCII but for ±, ° and labels; no line longer than 100 columns, labels aside.
std::string report_text(const FitReport& report, PaperUnits units);
/// One or two sentences on the peep as it is tied now: leave it, move it, or measure first. `report.tied` must be
/// there.
std::string tied_advice(const FitReport& report, PaperUnits units);
/// How to use the sight marks, and which of their inputs nobody measured; one sentence.
std::string marks_advice(const FitReport& report);
std::string verification_text(const Verification& verification, PaperUnits units);

/// fit.json, schema peepwright-fit-1 (`fit_schema`). Lengths in mm, angles in degrees, ends with a newline.
std::string report_json(const FitReport& report);
std::string verification_json(const Verification& verification);

/// The JSON Schema that `report_json` keeps to.
std::string_view fit_schema();

/// The cautions that stand on every sheet, one sentence or two each.
std::vector<std::string> cautions();

/// "0.1.0"
std::string_view version();

}  // namespace peepwright
