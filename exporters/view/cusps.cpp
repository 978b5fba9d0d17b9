// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/cusps.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "exporters/drawing/segment.hpp"

namespace peepwright {
namespace {

constexpr double dot_mm = 0.05, step_mm = 0.2;
constexpr double back = -0.5;  // cosine of the turn: more than 120 degrees within two steps is no bend of a smooth line

/// One part of a path: where it starts, and lines or curves from there (the kernel's edges have nothing else).
struct Part {
  Point start;
  std::vector<Path::Piece> pieces;
};

std::vector<Part> parts_of(const Path& path) {
  std::vector<Part> parts;
  for (const Path::Piece& piece : path.pieces()) {
    if (piece.step == Path::Step::move) parts.push_back({piece.p[0], {}});
    else if (!parts.empty()) parts.back().pieces.push_back(piece);
  }
  return parts;
}

Point end_of(const Path::Piece& piece) { return piece.step == Path::Step::curve ? piece.p[2] : piece.p[0]; }

Point end_of(const Part& part) { return part.pieces.empty() ? part.start : end_of(part.pieces.back()); }

Part reversed(const Part& part) {
  Part out{end_of(part), {}};
  for (std::size_t i = part.pieces.size(); i-- > 0;) {
    const Point to = i == 0 ? part.start : end_of(part.pieces[i - 1]);
    Path::Piece piece = part.pieces[i];
    if (piece.step == Path::Step::curve) piece.p = {piece.p[1], piece.p[0], to};
    else piece.p[0] = to;
    out.pieces.push_back(piece);
  }
  return out;
}

/// Parts that meet end to end as one; the kernel gives them in no order.
std::vector<Part> joined(std::vector<Part> parts) {
  constexpr double same_mm = 1e-3;
  const auto meet = [](Point p, Point q) { return std::hypot(p.x - q.x, p.y - q.y) < same_mm; };
  std::vector<Part> out;
  while (!parts.empty()) {
    Part grown = std::move(parts.front());
    parts.erase(parts.begin());
    for (int way = 0; way < 2; ++way, grown = reversed(grown))
      for (std::size_t i = 0; i < parts.size();) {
        const Point end = end_of(grown);
        const bool from_start = meet(end, parts[i].start);
        if (!from_start && !meet(end, end_of(parts[i]))) {
          ++i;
          continue;
        }
        const Part next = from_start ? parts[i] : reversed(parts[i]);
        grown.pieces.insert(grown.pieces.end(), next.pieces.begin(), next.pieces.end());
        parts.erase(parts.begin() + std::ptrdiff_t(i));
        i = 0;
      }
    out.push_back(std::move(grown));
  }
  return out;
}

Path path_of(Point start, const Path::Piece* first, const Path::Piece* last) {
  Path out;
  out.move_to(start);
  for (; first != last; ++first)
    if (first->step == Path::Step::curve) out.curve_to(first->p[0], first->p[1], first->p[2]);
    else out.line_to(first->p[0]);
  return out;
}

/// A place on a part: the piece it is in, and how far from the part's start, mm.
struct Place {
  Point at;
  std::size_t piece = 0;
  double along = 0;
};

/// Places at least step_mm apart: the kernel rounds a cusp off and puts noise there, which has no direction.
std::vector<Place> places_of(const Part& part) {
  std::vector<Place> places{{part.start, 0, 0}};
  Point from = part.start, last = part.start;
  double along = 0;
  for (std::size_t i = 0; i < part.pieces.size(); ++i) {
    for (const Segment& s : segments_of(path_of(from, &part.pieces[i], &part.pieces[i] + 1))) {
      along += std::hypot(s.b.x - last.x, s.b.y - last.y);
      last = s.b;
      if (std::hypot(s.b.x - places.back().at.x, s.b.y - places.back().at.y) >= step_mm)
        places.push_back({s.b, i, along});
    }
    from = end_of(part.pieces[i]);
  }
  places.push_back({last, part.pieces.size(), along});
  return places;
}

/// Cosine of the turn from one step to another; they are given by the places they end at.
double turn(const std::vector<Place>& places, std::size_t from, std::size_t to) {
  const Point in = places[from].at - places[from - 1].at, out = places[to].at - places[to - 1].at;
  const double lengths = std::hypot(in.x, in.y) * std::hypot(out.x, out.y);
  return lengths > 0 ? (in.x * out.x + in.y * out.y) / lengths : 1;
}

/// Where the line turns back after the step to places[i]: there, or one step on where the kernel rounded the cusp off.
std::optional<std::size_t> turns_back(const std::vector<Place>& places, std::size_t i) {
  if (turn(places, i, i + 1) < back) return i;
  if (i + 2 < places.size() && turn(places, i, i + 2) < back) return turn(places, i, i + 1) > 0 ? i + 1 : i;
  return std::nullopt;
}

/// The part without a hook at its end.
Part without_end_hook(const Part& part) {
  const std::vector<Place> places = places_of(part);
  const double length = places.back().along;
  for (std::size_t i = 1; i + 1 < places.size(); ++i) {
    const auto cusp = turns_back(places, i);
    if (!cusp) continue;
    const double before = places[*cusp].along, after = length - before;
    if (after >= before || after >= past_cusp_mm) continue;
    Part kept{part.start, {part.pieces.begin(), part.pieces.begin() + std::ptrdiff_t(places[*cusp].piece)}};
    // The last piece as far as the cusp.
    for (std::size_t k = 1; k <= *cusp; ++k)
      if (places[k].piece == places[*cusp].piece) kept.pieces.push_back({Path::Step::line, {places[k].at}});
    return kept;
  }
  return part;
}

}  // namespace

Path without_hooks(const Path& outline) {
  Path kept;
  for (const Part& part : joined(parts_of(outline))) {
    const Part whole = reversed(without_end_hook(reversed(without_end_hook(part))));
    if (places_of(whole).back().along < dot_mm) continue;
    kept.append(path_of(whole.start, whole.pieces.data(), whole.pieces.data() + whole.pieces.size()));
  }
  return kept;
}

}  // namespace peepwright
