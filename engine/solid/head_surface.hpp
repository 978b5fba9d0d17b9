// SPDX-License-Identifier: GPL-3.0-or-later
// Skin that is known otherwise than by the parametric head: a scan. The assembly asks it for the same distances.
#pragma once

#include "engine/solid/head_distance.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// Parts of the face that clearances are measured to.
enum class FacePatch { whole, nose, chin, right_mouth_corner };

/// The parametric skin's own outline of a patch.
SkinRegion region_of(FacePatch patch);

class HeadSurface {
 public:
  HeadSurface() = default;
  HeadSurface(const HeadSurface&) = delete;
  HeadSurface& operator=(const HeadSurface&) = delete;
  virtual ~HeadSurface() = default;

  /// As HeadDistance::to: rod in frame F, signed, negative is how deep the rod's deepest point lies. `at` stays empty.
  [[nodiscard]] virtual Contact to(const Rod& rod, FacePatch patch) const = 0;
  /// Closed, outward, in frame F.
  [[nodiscard]] virtual const TriangleMesh& mesh() const = 0;
};

}  // namespace peepwright::solid
