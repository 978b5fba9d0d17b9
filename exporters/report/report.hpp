// SPDX-License-Identifier: GPL-3.0-or-later
// A fit as text for people and as JSON for machines.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
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

/// A thing a person should know, as said to those who measure in millimetres and to those who measure in inches.
struct Note {
  std::string metric, inches;

  Note(std::string both) : metric(both), inches(std::move(both)) {}
  /// `say` is asked once for each: PaperUnits to a sentence.
  template <class Say>
  requires std::is_invocable_r_v<std::string, Say, PaperUnits>
  explicit Note(const Say& say) : metric(say(PaperUnits::millimetres)), inches(say(PaperUnits::inches)) {}
  [[nodiscard]] const std::string& in(PaperUnits units) const { return units == PaperUnits::inches ? inches : metric; }
};

/// Everything a report says of one archer and one bow.
struct FitReport {
  Fit fit;
  Budget budget;
  SightUncertainty sight;  ///< of `fit`
  std::vector<Assumption> assumed;
  std::vector<Advice> next;
  DrawEstimate draw;            ///< the bow's behaviour, where its catalogue numbers are known
  std::optional<Fit> tied;      ///< the peep as it is tied now, where one is
  SightUncertainty tied_sight;  ///< of `tied`
  /// How far to move the peep that is tied, up positive, and the expanded uncertainty (k = 2) of that.
  double tied_move_mm = 0, tied_move_uncertainty_mm = 0;
  std::optional<HeadShift> shift_from_reference;
  bool angle_disputed = false;  ///< a source of the string's angle contradicts the one in use; a note says which
  std::vector<Note> notes;      ///< sources that disagree, young archers …
};

/// Solves everything that a report needs, the draw cycle included. `reference` is another archer-and-bow to give the
/// head shift against. Clearances are to `scanned` where there is one, else to the parametric head.
FitReport make_report(const Spec& spec, const std::optional<Spec>& reference,
                      const std::shared_ptr<const solid::HeadSurface>& scanned = nullptr);

/// What the report says of one of its two peeps alone: that one's fit, and notes on it. `report.tied` must be there.
FitReport report_on_tied(const FitReport& report);
FitReport report_on_better(const FitReport& report);

/// The notes for people; `fit.json` holds the metric ones.
std::vector<std::string> notes_in(const FitReport& report, PaperUnits units);

/// The text with every key's path in it as the trade terms that it is made of, "arrow length": for pages that are
/// handed over to who never saw an input file.
std::string without_keys(std::string_view text);

/// The terminal's report. ASCII but for ±, ° and labels; no line longer than 100 columns, labels aside.
std::string report_text(const FitReport& report, PaperUnits units);
/// One or two sentences on the peep as it is tied now: leave it, move it, or measure first. `report.tied` must be
/// there.
std::string tied_advice(const FitReport& report, PaperUnits units);
/// How to use the sight marks, and which of their inputs nobody measured; one sentence.
std::string marks_advice(const FitReport& report, PaperUnits units);
/// "72 m, give or take 7 m": whole metres or yards of a longest distance, cut off, as beyond it the vanes come near;
/// "over 250 m", or "none".
std::string reach_text(const Reach& reach, const SightUncertainty& sight, PaperUnits units);
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
