// SPDX-License-Identifier: GPL-3.0-or-later
// What a command's files say, the head's scan taken in.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "exporters/report/report.hpp"

namespace peepwright::cli {

struct Case {
  Spec spec;
  std::shared_ptr<const solid::HeadSurface> scanned;  ///< nothing without a scan
  std::vector<std::string> notes;                     ///< what was mended on the scan
};

/// Reads and merges `files` and takes in the scan they name. Throws Error(input).
Case read_case(const std::vector<std::string>& files);

/// The whole report, clearances to the scan's own skin where there is one.
FitReport report_of(const Case& job, const std::optional<Spec>& reference);

}  // namespace peepwright::cli
