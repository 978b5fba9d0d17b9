// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/screen.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace peepwright {
namespace {

constexpr double cell_mm = 2;

double turn(const Point& a, const Point& b, const Point& c) {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

}  // namespace

Screen::Screen(const solid::TriangleMesh& mesh, const ViewDirection& view) : view_(view) {
  std::vector<Point> on_page;
  std::vector<double> depth;
  double x1 = -std::numeric_limits<double>::infinity(), y1 = x1;
  x0_ = y0_ = -x1;
  for (const Point3& v : mesh.vertices) {
    const Point p = on_page.emplace_back(view.picture(v));
    depth.push_back(view.depth(v));
    x0_ = std::min(x0_, p.x), y0_ = std::min(y0_, p.y), x1 = std::max(x1, p.x), y1 = std::max(y1, p.y);
  }
  for (const auto& t : mesh.triangles) {
    Facet f{{on_page[t[0]], on_page[t[1]], on_page[t[2]]}, 0, 0, 0};
    const double area = turn(f.corner[0], f.corner[1], f.corner[2]);
    if (!(std::abs(area) > 1e-9)) continue;  // seen edge on: its neighbours hide what it hides
    const double db = depth[t[1]] - depth[t[0]], dc = depth[t[2]] - depth[t[0]];
    const double bx = f.corner[1].x - f.corner[0].x, by = f.corner[1].y - f.corner[0].y;
    const double cx = f.corner[2].x - f.corner[0].x, cy = f.corner[2].y - f.corner[0].y;
    f.along_x = (db * cy - dc * by) / area;
    f.along_y = (dc * bx - db * cx) / area;
    f.at = depth[t[0]] - f.along_x * f.corner[0].x - f.along_y * f.corner[0].y;
    if (area < 0) std::swap(f.corner[1], f.corner[2]);
    facets_.push_back(f);
  }
  if (facets_.empty()) return;
  columns_ = std::size_t((x1 - x0_) / cell_mm) + 1, rows_ = std::size_t((y1 - y0_) / cell_mm) + 1;

  // Each facet into every cell that its box touches.
  const auto each_cell = [&](const Facet& f, auto&& use) {
    const auto [left, right] = std::minmax({f.corner[0].x, f.corner[1].x, f.corner[2].x});
    const auto [top, bottom] = std::minmax({f.corner[0].y, f.corner[1].y, f.corner[2].y});
    for (auto j = std::size_t((top - y0_) / cell_mm); j <= std::size_t((bottom - y0_) / cell_mm); ++j)
      for (auto i = std::size_t((left - x0_) / cell_mm); i <= std::size_t((right - x0_) / cell_mm); ++i)
        use(j * columns_ + i);
  };
  begin_.assign(columns_ * rows_ + 1, 0);
  for (const Facet& f : facets_) each_cell(f, [&](std::size_t cell) { ++begin_[cell + 1]; });
  std::partial_sum(begin_.begin(), begin_.end(), begin_.begin());
  of_cell_.resize(begin_.back());
  std::vector<std::uint32_t> next(begin_.begin(), begin_.end() - 1);
  for (std::size_t k = 0; k < facets_.size(); ++k)
    each_cell(facets_[k], [&](std::size_t cell) { of_cell_[next[cell]++] = std::uint32_t(k); });
}

bool Screen::hides(const Point3& p, Point aside, double beyond_mm) const {
  const Point at = view_.picture(p) + aside;
  const double column = (at.x - x0_) / cell_mm, row = (at.y - y0_) / cell_mm;
  if (!(column >= 0 && row >= 0 && column < double(columns_) && row < double(rows_))) return false;
  const std::size_t cell = std::size_t(row) * columns_ + std::size_t(column);
  const double beyond = view_.depth(p) + beyond_mm;
  for (std::uint32_t k = begin_[cell]; k < begin_[cell + 1]; ++k) {
    const Facet& f = facets_[of_cell_[k]];
    if (f.at + f.along_x * at.x + f.along_y * at.y <= beyond) continue;
    if (turn(f.corner[0], f.corner[1], at) >= 0 && turn(f.corner[1], f.corner[2], at) >= 0 &&
        turn(f.corner[2], f.corner[0], at) >= 0)
      return true;
  }
  return false;
}

}  // namespace peepwright
