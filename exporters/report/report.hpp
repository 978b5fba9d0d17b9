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
  std::vector<Assumption> assumed;
  std::vector<Advice> next;
  DrawEstimate draw;        ///< the bow's behaviour, where its catalogue numbers are known
  std::optional<Fit> tied;  ///< the peep as it is tied now, where one is
  std::optional<HeadShift> shift_from_reference;
  std::vector<std::string> notes;  ///< things a person should know: sources that disagree, young archers …
};

/// Solves everything that a report needs, the draw cycle included. `reference` is another archer-and-bow to give the
/// head shift against. Clearances are to `scanned` where there is one, else to the parametric head.
FitReport make_report(const Spec& spec, const std::optional<Spec>& reference,
                      const std::shared_ptr<const solid::HeadSurface>& scanned = nullptr);

/// The terminal's report. ASCII but for ±, ° and labels; no line longer than 100 columns, labels aside.
std::string report_text(const FitReport& report, PaperUnits units);
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
