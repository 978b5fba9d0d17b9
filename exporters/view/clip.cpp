// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/clip.hpp"

#include <algorithm>
#include <cmath>

#include "exporters/drawing/segment.hpp"

namespace peepwright {
namespace {

class Clipper {
 public:
  explicit Clipper(const Box& box) : box_(box) {}

  void to(Point a, Point b) {
    const auto part = part_within({a, b}, box_);
    if (!part || part->first >= part->second) return;  // beside it, or at a corner of it
    const Point d = b - a;
    start(a + part->first * d);
    out_.line_to(at_ = a + part->second * d);
  }

  void curve(Point p0, Point p1, Point p2, Point p3, int depth) {
    const Box all{std::min({p0.x, p1.x, p2.x, p3.x}), std::min({p0.y, p1.y, p2.y, p3.y}),
                  std::max({p0.x, p1.x, p2.x, p3.x}), std::max({p0.y, p1.y, p2.y, p3.y})};
    if (!all.overlaps(box_) && !box_.contains(all)) return;
    if (box_.contains(all)) {
      start(p0);
      out_.curve_to(p1, p2, at_ = p3);
      return;
    }
    constexpr int deepest = 24;
    constexpr double fine_mm = 0.01;
    if (depth == deepest || std::max(all.width(), all.height()) < fine_mm) return;
    const Point a = 0.5 * (p0 + p1), m = 0.5 * (p1 + p2), b = 0.5 * (p2 + p3), am = 0.5 * (a + m), mb = 0.5 * (m + b),
                c = 0.5 * (am + mb);
    curve(p0, a, am, c, depth + 1);
    curve(c, mb, b, p3, depth + 1);
  }

  void arc(const Path::Piece& piece) {
    const auto point = [&](double angle) {
      return piece.p[0] + piece.radius * Point{std::cos(angle), std::sin(angle)};
    };
    if (drawing_) start(point(piece.from));
    out_.arc(piece.p[0], piece.radius, piece.from, piece.to);
    at_ = point(piece.to);
    drawing_ = true;
  }

  Path take() { return std::move(out_); }

 private:
  void start(Point p) {
    constexpr double same_mm = 1e-9;
    if (!drawing_ || std::hypot(p.x - at_.x, p.y - at_.y) > same_mm) out_.move_to(p);
    drawing_ = true;
  }

  Box box_;
  Path out_;
  Point at_;
  bool drawing_ = false;
};

}  // namespace

Path placed(const Path& path, double scale, Point origin) {
  Path out;
  const auto put = [&](Point p) { return origin + scale * p; };
  for (const Path::Piece& piece : path.pieces()) switch (piece.step) {
      case Path::Step::move: out.move_to(put(piece.p[0])); break;
      case Path::Step::line: out.line_to(put(piece.p[0])); break;
      case Path::Step::curve: out.curve_to(put(piece.p[0]), put(piece.p[1]), put(piece.p[2])); break;
      case Path::Step::arc: out.arc(put(piece.p[0]), scale * piece.radius, piece.from, piece.to); break;
      case Path::Step::close: out.close(); break;
    }
  return out;
}

Path clipped(const Path& path, const Box& box) {
  Clipper clipper(box);
  Point at, first;
  for (const Path::Piece& piece : path.pieces()) switch (piece.step) {
      case Path::Step::move: at = first = piece.p[0]; break;
      case Path::Step::line: clipper.to(at, piece.p[0]), at = piece.p[0]; break;
      case Path::Step::curve: clipper.curve(at, piece.p[0], piece.p[1], piece.p[2], 0), at = piece.p[2]; break;
      case Path::Step::arc: clipper.arc(piece); break;
      case Path::Step::close: clipper.to(at, first), at = first; break;
    }
  return clipper.take();
}

Path outside(const Path& path, const std::vector<Point>& convex) {
  Point centre;
  for (const Point& p : convex) centre = centre + (1 / double(convex.size())) * p;
  // Shares of a segment between which it is inside: Cyrus and Beck's clipping.
  const auto inside = [&](Point a, Point b) {
    double from = 0, until = 1;
    for (std::size_t i = 0; i < convex.size(); ++i) {
      const Point edge = convex[(i + 1) % convex.size()] - convex[i];
      const auto side = [&](Point p) { return edge.x * (p.y - convex[i].y) - edge.y * (p.x - convex[i].x); };
      const double way = side(centre) < 0 ? -1 : 1, at_a = way * side(a), at_b = way * side(b);
      if (at_a < 0 && at_b < 0) return std::pair{1.0, 0.0};
      if (at_a < 0) from = std::max(from, at_a / (at_a - at_b));
      if (at_b < 0) until = std::min(until, at_a / (at_a - at_b));
    }
    return std::pair{from, until};
  };
  Path out;
  Point at;
  bool drawing = false;
  const auto piece = [&](Point a, Point b) {
    if (!drawing) out.move_to(a);
    out.line_to(b);
    drawing = true;
  };
  for (const Path::Piece& p : path.pieces()) {
    if (p.step == Path::Step::line) {
      const auto [from, until] = inside(at, p.p[0]);
      if (from >= until) {
        piece(at, p.p[0]);
      } else {
        if (from > 0) piece(at, at + from * (p.p[0] - at));
        drawing = false;
        if (until < 1) piece(at + until * (p.p[0] - at), p.p[0]);
      }
      at = p.p[0];
    } else if (p.step == Path::Step::curve) {
      if (!drawing) out.move_to(at);
      out.curve_to(p.p[0], p.p[1], at = p.p[2]);
      drawing = true;
    } else if (p.step == Path::Step::move) {
      at = p.p[0];
      drawing = false;
    }
  }
  return out;
}

}  // namespace peepwright
