// SPDX-License-Identifier: GPL-3.0-or-later
// From picture to page: scales, and the figure with its bow in a set of pens.
#pragma once

#include <string>
#include <string_view>

#include "engine/quantity/format.hpp"
#include "exporters/view/draft.hpp"
#include "exporters/view/scene.hpp"

namespace peepwright::view {

/// Picture to page: reduced by a standard scale, and moved so that `window` (picture mm) stands in the middle of
/// `area`.
struct Placement {
  double reduction = 1;
  Point origin;

  Placement(const Box& window, const Box& area);
  [[nodiscard]] Point operator()(Point p) const { return origin + (1 / reduction) * p; }
  [[nodiscard]] Path operator()(const Path& path) const { return placed(path, 1 / reduction, origin); }
};

/// Makes the box hold the point.
void take(Box& box, Point p);

/// A dimension's figure: "83.8", or "3 5/16 in". The title block names the unit.
std::string length_text(double mm, PaperUnits units);

/// Names of pens; an empty one leaves its lines out.
struct FigurePens {
  std::string_view outline, edge, face, strong, hair, neck;
};
inline constexpr FigurePens fine_lines{"outline", "edge", "face", "face_strong", "hair", "light"};
inline constexpr FigurePens small_lines{"narrow_outline", "narrow_edge", "light", "light", "light", "light"};
inline constexpr FigurePens other_lines{"other", "other_edge", "", "", "", "light"};

/// Head, face, bow, string and arrow.
void draw_person(Draft& draft, const SideScene& scene, const Placement& at, const FigurePens& pens);

}  // namespace peepwright::view
