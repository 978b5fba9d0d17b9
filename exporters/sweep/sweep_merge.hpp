// SPDX-License-Identifier: GPL-3.0-or-later
// The parts of a sweep joined to the table that one run would have written.
#pragma once

#include <string>
#include <vector>

#include "exporters/sweep/sweep_manifest.hpp"

namespace peepwright {

struct MergedSweep {
  std::string csv;  ///< path
  SweepManifest manifest;
};

/// Joins finished parts, named by their .csv in any order, each with its .json beside it, into `folder`/sweep.csv with
/// its sweep.json: the same bytes as a run without parts. Throws Error(input), with nothing written, when a part is
/// missing, given twice, of another sweep, or not whole; Error(write) when the folder cannot be written to.
MergedSweep merge_sweeps(const std::vector<std::string>& csvs, const std::string& folder);

}  // namespace peepwright
