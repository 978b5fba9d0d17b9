// SPDX-License-Identifier: GPL-3.0-or-later
// Plane geometry for drawings: points, boxes and paths in millimetres. y points down, as on a page.
#pragma once

#include <array>
#include <vector>

namespace peepwright {

/// A place on a page, mm.
struct Point {
  double x = 0, y = 0;
  friend Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
  friend Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
  friend Point operator*(double k, Point p) { return {k * p.x, k * p.y}; }
};

/// An upright rectangle on a page, mm; (x0, y0) is its upper left corner.
struct Box {
  double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
  [[nodiscard]] double width() const { return x1 - x0; }
  [[nodiscard]] double height() const { return y1 - y0; }
  [[nodiscard]] bool overlaps(const Box& other, double by_more_than = 0) const;
  [[nodiscard]] bool contains(const Box& other, double slack = 0) const;
  [[nodiscard]] Box grown(double by) const { return {x0 - by, y0 - by, x1 + by, y1 + by}; }
};

/// Lines, cubic Béziers and circular arcs, in the order they were added.
class Path {
 public:
  enum class Step { move, line, curve, arc, close };
  struct Piece {
    Step step;
    std::array<Point, 3> p{};             ///< move, line: p[0]; curve: two handles and the end; arc: p[0] is the centre
    double radius = 0, from = 0, to = 0;  ///< arc only: mm, rad; clockwise on the page when to > from
  };

  Path& move_to(Point p);
  Path& line_to(Point p);
  Path& curve_to(Point handle1, Point handle2, Point end);
  /// Arc about `centre` from angle `from` to `to` (rad, x towards y, so clockwise on the page); joined by a line to
  /// what was before.
  Path& arc(Point centre, double radius_mm, double from, double to);
  Path& close();
  Path& append(const Path& other);

  [[nodiscard]] bool empty() const { return pieces_.empty(); }
  [[nodiscard]] const std::vector<Piece>& pieces() const { return pieces_; }
  /// A box that holds the path; handles of curves and whole circles of arcs are counted in.
  [[nodiscard]] Box bounds() const;

  static Path line(Point a, Point b);
  static Path polyline(const std::vector<Point>& points, bool closed = false);
  static Path rectangle(const Box& box);
  /// `radius_mm` is cut down to half the shorter side.
  static Path rounded_rectangle(const Box& box, double radius_mm);
  static Path circle(Point centre, double radius_mm);

 private:
  std::vector<Piece> pieces_;
};

}  // namespace peepwright
