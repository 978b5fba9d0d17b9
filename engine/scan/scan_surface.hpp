// SPDX-License-Identifier: GPL-3.0-or-later
// Distances from rods to a scanned head, by trees over its triangles.
#pragma once

#include <memory>

#include "engine/face/landmark.hpp"
#include "engine/solid/head_surface.hpp"

namespace peepwright::scan {

/// A patch of the face is the triangles inside a box about its landmarks, so it needs no parameters of a skin: nose,
/// root to base and a little past its wings; chin, lips to a finger's breadth behind the under-chin, mouth corner to
/// mouth corner; mouth corner, 12 mm to each side.
class ScanSurface final : public solid::HeadSurface {
 public:
  /// `mesh` closed, outward, in frame F, without crossings; `face` has the scan's landmarks.
  /// Throws Error(input) when a patch holds no triangle.
  ScanSurface(const Face& face, solid::TriangleMesh mesh);
  ~ScanSurface() override;

  /// Right to 0.01 mm on the mesh itself; milliseconds a question.
  [[nodiscard]] solid::Contact to(const solid::Rod& rod, solid::FacePatch patch) const override;
  [[nodiscard]] const solid::TriangleMesh& mesh() const override { return mesh_; }

  /// Signed distance of a point to the whole skin, negative inside.
  [[nodiscard]] double to(const Point3& point) const;

 private:
  struct Trees;
  Face face_;
  solid::TriangleMesh mesh_;
  std::unique_ptr<Trees> trees_;
};

}  // namespace peepwright::scan
