// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/picture.hpp"

#include <algorithm>
#include <array>

namespace peepwright::view {
namespace {

/// Reduction scales of ISO 5455, its in-between ones too (from memory), as so many to one.
constexpr std::array scales{1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 10.0, 15.0, 20.0, 25.0, 50.0};

/// The lower edge of the neck is where the solid ends, not the archer: it is drawn as a break instead.
void draw_neck_break(Draft& draft, const SideScene& scene, const Placement& at, std::string_view pen) {
  const double y = scene.head_box.y1;
  double left = 1e9, right = -1e9;
  for (const Segment& s : segments_of(scene.head.outline, 2))
    for (const Point p : {s.a, s.b})
      if (p.y > y - 8) left = std::min(left, p.x), right = std::max(right, p.x);
  if (left >= right) return;
  const double w = right - left, h = 5;
  const Point a{left, y - 1}, b{right, y - 1};
  draft.line(at(Path()
                    .move_to(a)
                    .curve_to(a + Point{0.2 * w, -h}, a + Point{0.3 * w, -h}, a + Point{0.5 * w, 0})
                    .curve_to(a + Point{0.7 * w, h}, a + Point{0.8 * w, h}, b)),
             pen);
}

}  // namespace

Placement::Placement(const Box& window, const Box& area) {
  for (const double s : scales) {
    reduction = s;
    if (window.width() / s <= area.width() && window.height() / s <= area.height()) break;
  }
  const Point middle{(window.x0 + window.x1) / 2, (window.y0 + window.y1) / 2};
  origin = Point{(area.x0 + area.x1) / 2, (area.y0 + area.y1) / 2} - (1 / reduction) * middle;
}

void take(Box& box, Point p) {
  box = {std::min(box.x0, p.x), std::min(box.y0, p.y), std::max(box.x1, p.x), std::max(box.y1, p.y)};
}

std::string length_text(double mm, PaperUnits units) {
  return units == PaperUnits::inches ? inches_text(Length::mm(mm)) : number_text(mm, 1);
}

void draw_person(Draft& draft, const SideScene& scene, const Placement& at, const FigurePens& pens) {
  const auto draw = [&](const Path& path, std::string_view pen) {
    if (!pen.empty()) draft.line(at(path), pen);
  };
  draw(scene.face.light, pens.face);
  draw(scene.face.strong, pens.strong);
  draw(scene.face.hair, pens.hair);
  if (!pens.strong.empty()) draft.fill(at(scene.face.pupils), Colour::grey(0.1));
  draw(scene.head.outline, pens.outline);
  draw(scene.head.sharp, pens.outline);
  draw(scene.bow.outline, pens.edge);
  draw(scene.bow.sharp, pens.edge);
  draw_neck_break(draft, scene, at, pens.neck);
}

}  // namespace peepwright::view
