// SPDX-License-Identifier: GPL-3.0-or-later
// What the input files say, with the head's scan taken in. Every command that needs a face starts here.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/fit/fit.hpp"
#include "engine/solid/assembly.hpp"
#include "engine/spec/spec.hpp"
#include "exporters/report/report.hpp"

namespace peepwright::cli {

struct Case {
  Spec spec;
  std::shared_ptr<const solid::HeadSurface> scanned;  ///< none: the parametric head
  std::vector<std::string> notes;  ///< two bows in one, a scan repaired, letters that no drawing shows
};

/// `date` is printed with the labels, `units` tells what distances are round in. Throws Error(input) as read_spec and
/// take_scan do.
Case read_case(const std::vector<std::string>& files, const std::string& date = {},
               PaperUnits units = PaperUnits::millimetres);

/// The fit that a head's shift is given against. Throws Error(input) where it is of the other hand than `spec`.
Spec read_reference(const std::vector<std::string>& files, const Spec& spec);

/// In words, which letters of the labels and of `date` no drawing can show; nothing when all can be.
std::vector<std::string> label_notes(const Spec& spec, const std::string& date = {});

/// The fit alone, with clearances between solids; neither budget nor the bow's spread, which a fit's own numbers do not
/// hang on.
Fit fit_of(const Case& job, Peep peep = Peep::to_place);

FitReport report_of(const Case& job, const std::optional<Spec>& reference);

/// Every part at full draw, the scan's triangles with the head's.
std::vector<solid::Part> parts_of(const Fit& fit, const Case& job);

}  // namespace peepwright::cli
