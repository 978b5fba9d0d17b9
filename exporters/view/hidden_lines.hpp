// SPDX-License-Identifier: GPL-3.0-or-later
// What an eye at infinity sees of solids: outlines and sharp edges without the hidden ones.
#pragma once

#include <string>
#include <vector>

#include "engine/solid/shape.hpp"
#include "exporters/drawing/path.hpp"

namespace peepwright {

/// A parallel projection: unit vectors toward the viewer and to the right of the picture, square to each other.
struct ViewDirection {
  Point3 toward_viewer{0, -1, 0}, right{1, 0, 0};

  /// A place in the picture, mm; y points down, as on a page.
  [[nodiscard]] Point picture(const Point3& p) const;
  /// How near the viewer a place is, mm; greater is nearer.
  [[nodiscard]] double depth(const Point3& p) const;
};

/// The side of the bow on which the archer's face is seen: target to the right for a right-handed archer, to the left
/// for a left-handed one, as they stand.
ViewDirection side_of(bool right_handed);

/// Visible lines in picture millimetres: straight pieces and cubics within `line_deviation_mm` of the kernel's lines,
/// which are exact but for the outlines of spline surfaces: those are within 0.1 mm.
struct DrawnLines {
  Path outline;  ///< where a surface turns away from the viewer
  Path sharp;    ///< edges where faces meet at an angle
};
inline constexpr double line_deviation_mm = 0.02;

/// The lines of each group of solids, all groups hiding one another; one entry a group. The kernel finds what solids
/// hide exactly. What is hidden by a group that holds a large spline surface (a head) is found from the triangles of
/// the group's solids instead, to 0.1 mm, in a hundredth of the time; of other groups' lines it hides nothing that is
/// pressed in by less than 4 mm, as skin gives. The same solids give the same lines; calls from several threads wait
/// for each other. Throws Error(internal) when the kernel fails.
std::vector<DrawnLines> hidden_lines(const std::vector<std::vector<solid::Shape>>& groups, const ViewDirection& view);

}  // namespace peepwright
