// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/path.hpp"

#include <algorithm>
#include <numbers>

namespace peepwright {

bool Box::overlaps(const Box& other, double by_more_than) const {
  return std::min(x1, other.x1) - std::max(x0, other.x0) > by_more_than &&
         std::min(y1, other.y1) - std::max(y0, other.y0) > by_more_than;
}

bool Box::contains(const Box& other, double slack) const {
  return other.x0 >= x0 - slack && other.y0 >= y0 - slack && other.x1 <= x1 + slack && other.y1 <= y1 + slack;
}

Path& Path::move_to(Point p) {
  pieces_.push_back({Step::move, {p}});
  return *this;
}

Path& Path::line_to(Point p) {
  pieces_.push_back({Step::line, {p}});
  return *this;
}

Path& Path::curve_to(Point handle1, Point handle2, Point end) {
  pieces_.push_back({Step::curve, {handle1, handle2, end}});
  return *this;
}

Path& Path::arc(Point centre, double radius_mm, double from, double to) {
  pieces_.push_back({Step::arc, {centre}, radius_mm, from, to});
  return *this;
}

Path& Path::close() {
  pieces_.push_back({Step::close});
  return *this;
}

Path& Path::append(const Path& other) {
  pieces_.insert(pieces_.end(), other.pieces_.begin(), other.pieces_.end());
  return *this;
}

Box Path::bounds() const {
  bool first = true;
  Box box;
  const auto take = [&](double x, double y, double reach) {
    if (first) box = {x - reach, y - reach, x + reach, y + reach};
    first = false;
    box = {std::min(box.x0, x - reach), std::min(box.y0, y - reach), std::max(box.x1, x + reach),
           std::max(box.y1, y + reach)};
  };
  for (const Piece& piece : pieces_) {
    if (piece.step == Step::close) continue;
    const std::size_t used = piece.step == Step::curve ? 3 : 1;
    for (std::size_t i = 0; i < used; ++i) take(piece.p[i].x, piece.p[i].y, piece.radius);
  }
  return box;
}

Path Path::line(Point a, Point b) { return Path().move_to(a).line_to(b); }

Path Path::polyline(const std::vector<Point>& points, bool closed) {
  Path path;
  for (const Point& p : points) path.empty() ? path.move_to(p) : path.line_to(p);
  if (closed && !points.empty()) path.close();
  return path;
}

Path Path::rectangle(const Box& b) { return polyline({{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}}, true); }

Path Path::rounded_rectangle(const Box& b, double radius_mm) {
  const double r = std::clamp(radius_mm, 0.0, std::min(b.width(), b.height()) / 2);
  if (!(r > 0)) return rectangle(b);
  constexpr double quarter = std::numbers::pi / 2;
  return Path()
      .move_to({b.x0 + r, b.y0})
      .line_to({b.x1 - r, b.y0})
      .arc({b.x1 - r, b.y0 + r}, r, -quarter, 0)
      .line_to({b.x1, b.y1 - r})
      .arc({b.x1 - r, b.y1 - r}, r, 0, quarter)
      .line_to({b.x0 + r, b.y1})
      .arc({b.x0 + r, b.y1 - r}, r, quarter, 2 * quarter)
      .line_to({b.x0, b.y0 + r})
      .arc({b.x0 + r, b.y0 + r}, r, 2 * quarter, 3 * quarter)
      .close();
}

Path Path::circle(Point centre, double radius_mm) {
  return Path().move_to({centre.x + radius_mm, centre.y}).arc(centre, radius_mm, 0, 2 * std::numbers::pi).close();
}

}  // namespace peepwright
