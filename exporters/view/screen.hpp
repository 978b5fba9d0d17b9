// SPDX-License-Identifier: GPL-3.0-or-later
// What a body hides from a viewer far away, by its triangles. Inside this room only.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/solid/shape.hpp"
#include "exporters/view/hidden_lines.hpp"

namespace peepwright {

/// A closed mesh between the viewer and the rest.
class Screen {
 public:
  /// `view` is copied. Empty meshes hide nothing.
  Screen(const solid::TriangleMesh& mesh, const ViewDirection& view);

  /// Whether the mesh lies before `p`, nearer to the viewer by more than `beyond_mm`, at `p` moved by `aside` on the
  /// page.
  [[nodiscard]] bool hides(const Point3& p, Point aside, double beyond_mm) const;

 private:
  /// A triangle on the page: depth = at + along x · x + along y · y.
  struct Facet {
    Point corner[3];
    double at = 0, along_x = 0, along_y = 0;
  };
  ViewDirection view_;
  double x0_ = 0, y0_ = 0;
  std::size_t columns_ = 0, rows_ = 0;
  std::vector<Facet> facets_;
  std::vector<std::uint32_t> begin_, of_cell_;  ///< facets of cell c: of_cell_[begin_[c]] to of_cell_[begin_[c + 1]]
};

}  // namespace peepwright
