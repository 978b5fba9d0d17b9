// SPDX-License-Identifier: GPL-3.0-or-later
// A finished table once more, column by column, for tools that read data.
#pragma once

#include <string>

#include "exporters/sweep/sweep_manifest.hpp"

namespace peepwright {

/// Writes STEM.nc beside `csv`, STEM.csv, from what stands there; whole or not at all. One variable a column over the
/// dimension `variant`, in the CSV's units: numbers are doubles, absent ones NaN; verdicts, "clears" and "not_met" are
/// bytes whose meanings are attributes (CF conventions 1.8, section 3.5), -1 where a variant cannot be; "problem" is
/// the index of its text in "problem_text", -1 where there is none. The same table gives the same bytes. Memory does
/// not grow with it. Returns the file's name. Throws Error(input) for a damaged table, Error(write).
std::string write_sweep_netcdf(const std::string& csv, const SweepManifest& manifest);

/// More different problems than this share one text, which points to the CSV.
inline constexpr std::size_t most_problem_texts = 1000;

}  // namespace peepwright
