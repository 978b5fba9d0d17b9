// SPDX-License-Identifier: GPL-3.0-or-later
// From the scan that a spec names to a head that the fit, the clearances and the exports use.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/solid/head_surface.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright::scan {

/// What callipers would read on a closed head in frame F, mm.
struct HeadSize {
  double length = 0;   ///< between the brows to the back
  double breadth = 0;  ///< widest above the ears
};
HeadSize size_of(const solid::TriangleMesh& head, const Face& face);

struct HeadScan {
  std::shared_ptr<const solid::HeadSurface> surface;
  solid::Pose placement;  ///< scan's axes to frame F (of a right-handed archer, as everything inside)
  HeadSize size;
  std::vector<std::string> notes;  ///< what was repaired, in sentences
};

/// Reads, places and cleans the scan that `spec` names, and gives its measures to `spec` as if callipers had read them;
/// what a person gave there stays. For a left-handed archer the scan is mirrored, as the engine solves right-handed
/// only. Nothing, and an untouched spec, when it names none. Throws Error(input), with file, reason and numbers, when
/// the scan cannot be read or repaired, its landmarks are no face or do not lie on it, or it is not of a head's size
/// (length 140 to 250 mm, breadth 110 to 200 mm).
std::optional<HeadScan> take_scan(Spec& spec);

}  // namespace peepwright::scan
