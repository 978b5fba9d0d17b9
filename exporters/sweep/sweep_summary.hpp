// SPDX-License-Identifier: GPL-3.0-or-later
// What a finished table of a sweep says altogether. Made from the table alone, so that it is the same whether the sweep
// ran through, was broken off and resumed, or was merged from parts; memory does not grow with the table.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "engine/quantity/format.hpp"
#include "exporters/sweep/sweep_manifest.hpp"

namespace peepwright {

/// Least, mean and most of a number, and where the ends were met.
struct Extent {
  std::uint64_t count = 0;
  double least = 0, most = 0, sum = 0;
  std::uint64_t least_at = 0, most_at = 0;  ///< variants; the first ones
  void add(double value, std::uint64_t variant);
  [[nodiscard]] double mean() const { return sum / static_cast<double>(count); }
};

/// Rows that share a value of a varied key, or a piece of its range.
struct SweepGroup {
  double key_sum = 0;
  std::uint64_t tried = 0, clear = 0;  ///< tried: with those that cannot be
  Extent mark, uncertainty, longest;
  [[nodiscard]] double key_value() const { return key_sum / static_cast<double>(tried); }
  [[nodiscard]] double share_clear() const { return static_cast<double>(clear) / static_cast<double>(tried); }
};

struct SweepSummary {
  SweepManifest manifest;
  std::uint64_t rows = 0, solved = 0, clear = 0;
  Extent mark, height, longest, forward, up;
  struct OfClearance {
    Extent gap;
    std::uint64_t not_met = 0;
  };
  std::vector<OfClearance> clearances;            ///< as `clearance_names`
  std::size_t worst_count = 0;                    ///< most clearances not met by one variant …
  std::uint64_t worst_at = 0;                     ///< … the first that has so many
  std::map<std::string, std::uint64_t> problems;  ///< in words, at most `most_problems` of them
  static constexpr std::size_t most_problems = 5;
  std::vector<std::map<std::int64_t, SweepGroup>> by_axis;             ///< for each varied key
  std::map<std::pair<std::int64_t, std::int64_t>, SweepGroup> by_two;  ///< over the first two varied keys
  std::map<std::int64_t, Extent> longest_by_height;                    ///< whole millimetres of peep height
};

/// Reads `csv`. Throws Error(input) when it is not the table that `manifest` describes.
SweepSummary summarise(const std::string& csv, const SweepManifest& manifest);

std::string summary_text(const SweepSummary& summary, PaperUnits units);
std::string summary_json(const SweepSummary& summary);

}  // namespace peepwright
