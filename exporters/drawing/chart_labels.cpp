// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/chart_labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "exporters/drawing/segment.hpp"

namespace peepwright::drawing {
namespace {

constexpr double far_off = std::numeric_limits<double>::infinity();
constexpr std::size_t no_shape = std::numeric_limits<std::size_t>::max();

/// Height of an edge with rising x; NaN beside it.
double edge_at(const std::vector<Point>& edge, double x) {
  for (std::size_t i = 1; i < edge.size(); ++i)
    if (x >= edge[i - 1].x && x <= edge[i].x) {
      const double width = edge[i].x - edge[i - 1].x;
      return width > 0 ? edge[i - 1].y + (edge[i].y - edge[i - 1].y) * (x - edge[i - 1].x) / width : edge[i].y;
    }
  return std::numeric_limits<double>::quiet_NaN();
}

Box box_at(Point corner, const TextSize& size) {
  return {corner.x, corner.y, corner.x + size.width, corner.y + size.height};
}

}  // namespace

bool LabelRoom::free(const Box& box) const {
  if (!inside_.contains(box) || touches_band(box, true)) return false;
  return std::ranges::none_of(taken_, [&](const Box& other) { return other.grown(gap_ / 2).overlaps(box); });
}

double LabelRoom::distance(const Box& box, std::size_t shape) const {
  double least = far_off;
  for (const auto& run : shapes_[shape].runs) {
    if (run.size() == 1) least = std::min(least, peepwright::distance(run[0], box));
    for (std::size_t i = 1; i < run.size(); ++i)
      least = std::min(least, peepwright::distance(Segment{run[i - 1], run[i]}, box));
  }
  return least - shapes_[shape].clear_mm;
}

double LabelRoom::nearest_but(const Box& box, std::size_t shape) const {
  double least = far_off;
  for (std::size_t i = 0; i < shapes_.size(); ++i)
    if (i != shape) least = std::min(least, distance(box, i));
  return least;
}

bool LabelRoom::touches_band(const Box& box, bool hatched) const {
  constexpr int columns = 8;
  for (const PlotBand& band : bands_)
    for (int i = 0; i <= columns && band.hatched == hatched; ++i) {
      const double x = box.x0 + box.width() * i / columns;
      if (edge_at(band.upper, x) < box.y1 + gap_ / 2 && edge_at(band.lower, x) > box.y0 - gap_ / 2) return true;
    }
  return false;
}

std::optional<Box> LabelRoom::beside(std::size_t of, const TextSize& size) const {
  constexpr int places = 40;
  std::optional<Box> best;
  double best_score = far_off;
  const auto try_at = [&](Point p, double share) {
    for (const double dx : {-1.0, -0.5, 0.0})
      for (const double dy : {-1.0, -0.5, 0.0}) {
        if (dx == -0.5 && dy == -0.5) continue;
        for (const double off : {0.8, 1.6, 3.2}) {
          const double clear = off * gap_ + shapes_[of].clear_mm;
          const Box box = box_at(
              {p.x + dx * size.width + (2 * dx + 1) * clear, p.y + dy * size.height + (2 * dy + 1) * clear}, size);
          if (!free(box)) continue;
          const double own = distance(box, of);
          if (!(own > 0.4 * gap_ && own < 5 * gap_)) continue;
          const double other = nearest_but(box, of);
          if (!(other > gap_ / 2 && other > 1.5 * own)) continue;
          // Near its own line, far from others, rather to the right, where lines have parted, and rather on white.
          const double score = own - 0.3 * std::min(other, 8 * gap_) + 2 * gap_ * std::abs(share - 0.75) +
                               (touches_band(box, false) ? 3 * gap_ : 0);
          if (score < best_score) best_score = score, best = box;
        }
      }
  };
  for (const auto& run : shapes_[of].runs) {
    double length = 0;
    for (std::size_t i = 1; i < run.size(); ++i) length += std::hypot(run[i].x - run[i - 1].x, run[i].y - run[i - 1].y);
    if (length == 0 && !run.empty()) try_at(run[0], 0.75);
    double walked = 0;
    int next = 0;
    for (std::size_t i = 1; i < run.size() && length > 0; ++i) {
      const double piece = std::hypot(run[i].x - run[i - 1].x, run[i].y - run[i - 1].y);
      for (; next <= places && next * length / places <= walked + piece + 1e-9; ++next) {
        const double t = piece > 0 ? std::min(1.0, (next * length / places - walked) / piece) : 0;
        try_at(run[i - 1] + t * (run[i] - run[i - 1]), static_cast<double>(next) / places);
      }
      walked += piece;
    }
  }
  return best;
}

std::optional<LabelPlace> LabelRoom::around(Point at, const TextSize& size) const {
  constexpr int directions = 16;
  std::optional<LabelPlace> best;
  double best_score = far_off;
  for (const double reach : {1.5, 3.0, 5.0, 8.0, 12.0})
    for (int k = 0; k < directions; ++k) {
      const double a = 2 * std::numbers::pi * k / directions;
      const Point toward{std::cos(a), -std::sin(a)};
      const Point anchor = at + reach * gap_ * toward;
      // A point near the plot's side has its words slid in.
      const double slid = std::clamp(anchor.x - (1 - toward.x) / 2 * size.width, inside_.x0,
                                     std::max(inside_.x0, inside_.x1 - size.width));
      const Box box = box_at({slid, anchor.y - (1 - toward.y) / 2 * size.height}, size);
      if (!free(box) || !(nearest_but(box, no_shape) > gap_ / 2)) continue;
      const Point end{std::clamp(at.x, box.x0, box.x1), std::clamp(at.y, box.y0, box.y1)};
      const Point start = at + (gap_ / std::max(gap_, std::hypot(end.x - at.x, end.y - at.y))) * (end - at);
      const bool leads = reach > 1.5;
      if (leads && std::ranges::any_of(taken_, [&](const Box& other) { return meets({start, end}, other); })) continue;
      // Above rather than below, and on no band if that can be had.
      const double score = reach + 0.4 * toward.y + (touches_band(box, false) ? 1.5 : 0) - 0.2 * std::abs(toward.y);
      if (score < best_score) {
        best_score = score;
        best = LabelPlace{box, leads ? std::optional(end) : std::nullopt};
      }
    }
  return best;
}

std::optional<Box> LabelRoom::within(std::size_t of, const TextSize& size) const {
  constexpr int grid = 24;
  const PlotBand& band = bands_[of];
  std::optional<Box> best;
  double best_room = gap_;
  if (band.upper.size() < 2) return best;
  const double left = band.upper.front().x, right = band.upper.back().x;
  for (int i = 0; i <= grid; ++i)
    for (int k = 0; k <= grid; ++k) {
      const Point centre{left + (right - left) * i / grid, inside_.y0 + inside_.height() * k / grid};
      const Box box = box_at({centre.x - size.width / 2, centre.y - size.height / 2}, size);
      if (!free(box) || box.x0 < left || box.x1 > right) continue;
      double room = nearest_but(box, no_shape);
      for (int c = 0; c <= 8; ++c) {
        const double x = box.x0 + box.width() * c / 8;
        room = std::min({room, box.y0 - edge_at(band.upper, x), edge_at(band.lower, x) - box.y1});
      }
      if (room > best_room) best_room = room, best = box;
    }
  return best;
}

}  // namespace peepwright::drawing
