// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/segment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace peepwright {

std::vector<Segment> segments_of(const Path& path, int pieces) {
  std::vector<Segment> out;
  Point at, start;
  const auto to = [&](Point p) { out.push_back({at, p}), at = p; };
  for (const Path::Piece& piece : path.pieces()) switch (piece.step) {
      case Path::Step::move: at = start = piece.p[0]; break;
      case Path::Step::line: to(piece.p[0]); break;
      case Path::Step::curve: {
        const Point p0 = at;
        for (int i = 1; i <= pieces; ++i) {
          const double t = double(i) / pieces, r = 1 - t;
          to((r * r * r) * p0 + (3 * r * r * t) * piece.p[0] + (3 * r * t * t) * piece.p[1] + (t * t * t) * piece.p[2]);
        }
        break;
      }
      case Path::Step::arc: {
        const int steps = pieces * std::max(1, int(std::abs(piece.to - piece.from) / (std::numbers::pi / 4)));
        for (int i = 0; i <= steps; ++i) {
          const double angle = piece.from + (piece.to - piece.from) * i / steps;
          const Point p = piece.p[0] + piece.radius * Point{std::cos(angle), std::sin(angle)};
          if (i == 0 && out.empty()) at = start = p;
          else to(p);
        }
        break;
      }
      case Path::Step::close: to(start); break;
    }
  return out;
}

std::optional<std::pair<double, double>> part_within(const Segment& s, const Box& box) {
  double from = 0, until = 1;
  const Point d = s.b - s.a;
  const auto clip = [&](double step, double room) {
    if (step == 0) return room >= 0;
    const double t = room / step;
    if (step < 0) from = std::max(from, t);
    else until = std::min(until, t);
    return from <= until;
  };
  if (clip(-d.x, s.a.x - box.x0) && clip(d.x, box.x1 - s.a.x) && clip(-d.y, s.a.y - box.y0) &&
      clip(d.y, box.y1 - s.a.y))
    return std::pair{from, until};
  return std::nullopt;
}

bool meets(const Segment& s, const Box& box) {
  // Most are far apart.
  if (std::max(s.a.x, s.b.x) < box.x0 || std::min(s.a.x, s.b.x) > box.x1 || std::max(s.a.y, s.b.y) < box.y0 ||
      std::min(s.a.y, s.b.y) > box.y1)
    return false;
  return part_within(s, box).has_value();
}

bool cross(const Segment& a, const Segment& b) {
  if (std::max(a.a.x, a.b.x) < std::min(b.a.x, b.b.x) || std::max(b.a.x, b.b.x) < std::min(a.a.x, a.b.x) ||
      std::max(a.a.y, a.b.y) < std::min(b.a.y, b.b.y) || std::max(b.a.y, b.b.y) < std::min(a.a.y, a.b.y))
    return false;
  const auto turn = [](Point o, Point p, Point q) { return (p.x - o.x) * (q.y - o.y) - (p.y - o.y) * (q.x - o.x); };
  const double a0 = turn(b.a, b.b, a.a), a1 = turn(b.a, b.b, a.b), b0 = turn(a.a, a.b, b.a), b1 = turn(a.a, a.b, b.b);
  return a0 * a1 < 0 && b0 * b1 < 0;
}

double distance(const Segment& s, Point p) {
  const Point along = s.b - s.a, to = p - s.a;
  const double square = along.x * along.x + along.y * along.y;
  const double t = square > 0 ? std::clamp((to.x * along.x + to.y * along.y) / square, 0.0, 1.0) : 0;
  return std::hypot(to.x - t * along.x, to.y - t * along.y);
}

double distance(Point p, const Box& box) {
  return std::hypot(p.x - std::clamp(p.x, box.x0, box.x1), p.y - std::clamp(p.y, box.y0, box.y1));
}

double distance(const Segment& s, const Box& box) {
  if (meets(s, box)) return 0;
  double least = std::min(distance(s.a, box), distance(s.b, box));
  for (const Point corner : {Point{box.x0, box.y0}, {box.x1, box.y0}, {box.x0, box.y1}, {box.x1, box.y1}})
    least = std::min(least, distance(s, corner));
  return least;
}

}  // namespace peepwright
