// SPDX-License-Identifier: GPL-3.0-or-later
// Clearances: how much room there is, how much is wanted, and a verdict.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/face/landmark.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

enum class Verdict {
  clear,     ///< no contact, and no less room than wanted
  tight,     ///< no contact, but less room than wanted
  touching,  ///< no room: in contact, or one inside the other
};
std::string_view text_of(Verdict verdict);

struct Clearance {
  std::string name;        ///< "arrow-chin"
  double distance_mm = 0;  ///< negative: one is inside the other by this much
  double wanted_least_mm = 0;
  std::optional<double> wanted_most_mm;  ///< set where contact is wanted
  Verdict verdict = Verdict::clear;
  bool met = true;             ///< what is wanted is kept
  std::string nearest;         ///< landmark or part that comes nearest
  std::vector<Point3> points;  ///< the two nearest points, frame W; empty where none is meant
  std::string note;            ///< what the number leaves out, if anything
  /// How sure it is (k = 2), where that was asked for; told of a chin whose depth nobody measured.
  std::optional<double> expanded_mm;
};

/// Room of at least `wanted_mm` is asked for.
Clearance room(std::string name, double distance_mm, double wanted_mm);
/// From `wanted.least` (pressed in, negative) to `wanted.most` (just short of contact) is asked for. Whether it touches
/// is one thing, whether that is as wanted (`met`) another.
Clearance contact(std::string name, double distance_mm, const GapRange& wanted);

}  // namespace peepwright
