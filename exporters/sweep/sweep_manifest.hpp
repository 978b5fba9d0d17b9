// SPDX-License-Identifier: GPL-3.0-or-later
// What stands beside a sweep's table: which sweep it is, which rows of it, and whether they are all there.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/sweep/run.hpp"

namespace peepwright {

struct SweepManifest {
  struct Axis {
    std::string key, column, unit;
    double from = 0, to = 0, step = 0;  ///< in that unit
    std::uint64_t values = 0;
    bool operator==(const Axis&) const = default;
  };
  std::string version, fingerprint, bow_label;
  std::uint64_t variants = 0;  ///< of the whole sweep
  std::uint64_t part = 1, parts = 1;
  Slice rows;              ///< of this part
  std::vector<Axis> axes;  ///< varied keys, in the order they were named
  std::string population;  ///< NAME:N:seed; empty without one
  std::uint64_t latin_points = 0;
  bool complete = false;
};

/// Manifest of one part of a plan.
SweepManifest manifest_of(const SweepPlan& plan, const std::string& fingerprint, std::uint64_t part,
                          std::uint64_t parts);

/// Schema peepwright-sweep-1; ends with a newline.
std::string manifest_json(const SweepManifest& manifest);
/// Throws Error(input), naming the file, when it is none.
SweepManifest read_manifest(const std::string& path);

/// "sweep", or "sweep-2-of-8" for one part; names of files without their endings.
std::string sweep_stem(std::uint64_t part, std::uint64_t parts);

}  // namespace peepwright
