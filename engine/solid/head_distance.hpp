// SPDX-License-Identifier: GPL-3.0-or-later
// How far rods are from a head's skin, and how deep they go into it. Right to 1e-6 mm on the same surface that the
// solid is made of; microseconds a question.
#pragma once

#include <memory>
#include <optional>

#include "engine/solid/body.hpp"
#include "engine/solid/skin.hpp"
#include "engine/solid/skin_region.hpp"

namespace peepwright::solid {

/// The patch of the nose, root to base.
SkinRegion nose_region();
/// The patch of lower lip, hollow and chin, from mouth corner to mouth corner. Cheeks and jaw do not belong to it:
/// where a string touches nose and mouth corner, an arrow beside it lies close to the cheek.
SkinRegion chin_region();
/// The patch around one mouth corner.
SkinRegion mouth_corner_region(bool left);

struct Contact {
  double distance_mm = 0;   ///< negative: how deep the rod's deepest point lies under the skin
  Point3 on_skin, on_body;  ///< the two nearest points (of the deepest place, where they overlap)
  SkinParameter at;         ///< of `on_skin`
  Landmark nearest{};       ///< the skin landmark nearest to `on_skin`
  bool left = false;        ///< which side that landmark is on; meaningless on the midline
};

class HeadDistance {
 public:
  explicit HeadDistance(Skin skin);
  ~HeadDistance();

  [[nodiscard]] const Skin& skin() const;

  /// Rod against skin, both in frame F. Apart: the exact distance between the solids (the cut of the neck does not
  /// count). Overlapping: minus the depth of the deepest place, continuous with the distance at touch. With a
  /// region, only skin inside it counts.
  [[nodiscard]] Contact to(const Rod& rod, const SkinRegion& region = {}) const;

  /// The same where it is less than `limit_mm`, else nothing: soon said of a rod that is farther off.
  [[nodiscard]] std::optional<Contact> to_nearer(const Rod& rod, const SkinRegion& region, double limit_mm) const;

  /// Signed distance of a point to the skin, negative inside the head.
  [[nodiscard]] Contact to(const Point3& point) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace peepwright::solid
