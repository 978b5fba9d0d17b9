// SPDX-License-Identifier: GPL-3.0-or-later
// How deep a rod lies in a head. Inside this room only.
#pragma once

#include <optional>

#include "engine/solid/skin_search.hpp"

namespace peepwright::solid {

/// The deepest point of a rod and the skin nearest to it. Below 0: none of the rod lies in the head, least so there.
struct RodDepth {
  double depth_mm = 0;
  Point3 on_rod, on_skin;
  SkinParameter at;
};

/// For a rod whose axis runs through the head, or that ends in it. Looked for from `near`, a place of the skin at `at`,
/// both ways; two deepest places less than 2 mm apart along the rod count as one. A section's deepest point is taken
/// opposite to the skin nearest to the axis: exact where the rod only just overlaps, within 0.15 mm to 6 mm of depth.
/// Nothing when the skin nearest to the deepest places never belongs to the region.
std::optional<RodDepth> rod_depth(const SkinSearch& search, const Rod& rod, const SkinRegion& region,
                                  const Point3& near, SkinParameter at);

}  // namespace peepwright::solid
