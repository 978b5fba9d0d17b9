// SPDX-License-Identifier: GPL-3.0-or-later
// Where on a plot there is room for a label. Private to the room.
#pragma once

#include <optional>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright::drawing {

/// What a label must keep clear of, and may belong to. All in page millimetres.
struct PlotShape {
  std::vector<std::vector<Point>> runs;  ///< lines, or single points
  double clear_mm = 0;                   ///< half a line's width, or a mark's radius
};

/// The upper and the lower edge of a band, point for point, with rising x.
struct PlotBand {
  std::vector<Point> upper, lower;
  bool hatched = false;  ///< no label stands on it; on a grey one it may
};

/// A place for a label and, where it stands off, the end of the line that leads to it.
struct LabelPlace {
  Box box;
  std::optional<Point> leader_from;
};

class LabelRoom {
 public:
  /// Labels stay inside `inside` and keep `gap_mm` from what is there.
  LabelRoom(const Box& inside, double gap_mm) : inside_(inside), gap_(gap_mm) {}

  std::size_t add(PlotShape shape) { return shapes_.push_back(std::move(shape)), shapes_.size() - 1; }
  std::size_t add(PlotBand band) { return bands_.push_back(std::move(band)), bands_.size() - 1; }
  void take(const Box& box) { taken_.push_back(box); }

  /// Beside shape `of`, nearer to it than to any other. Nothing where there is no such room.
  [[nodiscard]] std::optional<Box> beside(std::size_t of, const TextSize& size) const;
  /// Near a point, on no line; with a leader where it stands off.
  [[nodiscard]] std::optional<LabelPlace> around(Point at, const TextSize& size) const;
  /// Within band `of`.
  [[nodiscard]] std::optional<Box> within(std::size_t of, const TextSize& size) const;

 private:
  [[nodiscard]] bool free(const Box& box) const;
  [[nodiscard]] bool touches_band(const Box& box, bool hatched) const;
  [[nodiscard]] double distance(const Box& box, std::size_t shape) const;
  [[nodiscard]] double nearest_but(const Box& box, std::size_t shape) const;

  Box inside_;
  double gap_;
  std::vector<PlotShape> shapes_;
  std::vector<PlotBand> bands_;
  std::vector<Box> taken_;
};

}  // namespace peepwright::drawing
