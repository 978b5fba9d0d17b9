// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/head_measures.hpp"

#include <algorithm>

#include "engine/solid/head_shape.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

struct Flat {
  double x, y;
};

double turn(const Flat& o, const Flat& a, const Flat& b) {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

/// Length of the convex outline of points in a plane (Andrew's monotone chain): a tape bridges hollows.
double tape_length(std::vector<Flat> points) {
  std::sort(points.begin(), points.end(),
            [](const Flat& a, const Flat& b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<Flat> hull;
  for (int half = 0; half < 2; ++half) {
    const std::size_t start = hull.size();
    for (const Flat& p : points) {
      while (hull.size() >= start + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0) hull.pop_back();
      hull.push_back(p);
    }
    hull.pop_back();
    std::reverse(points.begin(), points.end());
  }
  double length = 0;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Flat &a = hull[i], &b = hull[(i + 1) % hull.size()];
    length += std::hypot(a.x - b.x, a.y - b.y);
  }
  return length;
}

/// The skin sampled in `down` rings of `across` points, from crown to neck.
struct Grid {
  std::size_t across, down;
  std::vector<Point3> points;
};

/// Where the plane through `origin`, square to `normal`, cuts the skin: along `ahead`, and sideways.
std::vector<Flat> cut_by(const Grid& grid, const Point3& origin, const Point3& ahead, const Point3& normal) {
  std::vector<Flat> cut;
  for (std::size_t i = 0; i < grid.across; ++i)
    for (std::size_t j = 0; j + 1 < grid.down; ++j) {
      const Point3 &a = grid.points[j * grid.across + i], &b = grid.points[(j + 1) * grid.across + i];
      const double above = dot(a - origin, normal), below = dot(b - origin, normal);
      if ((above >= 0) == (below >= 0)) continue;
      const Point3 p = a + (above / (above - below)) * (b - a) - origin;
      cut.push_back({dot(p, ahead), p.y});
    }
  return cut;
}

}  // namespace

HeadMeasuresOf measures_of(const Skin& skin) {
  const Grid grid{360, 480, skin.sample(360, 480)};
  const auto place = [&](Landmark l) { return skin.point(landmark_parameter(l)); };
  const Point3 glabella = place(Landmark::glabella), sellion = place(Landmark::sellion);
  HeadMeasuresOf m;

  Point3 back = glabella;
  // The ears end below this height, the neck and the jaw far below it.
  const double above_ears = 1.25 * glabella.z;
  for (const Point3& p : grid.points) {
    if (p.z < sellion.z) continue;
    if (p.x < back.x) back = p;
    if (p.z > above_ears) m.breadth_mm = std::max(m.breadth_mm, 2 * p.y);
  }
  back.y = 0;
  m.length_mm = norm(glabella - back);

  const Point3 along = unit(back - glabella), up = unit(cross(along, Point3{0, 1, 0}));
  m.circumference_mm = tape_length(cut_by(grid, glabella, along, up));

  const Point3 tragion = place(Landmark::tragion), between{tragion.x, 0, tragion.z};
  const auto arc = [&](Landmark over) {
    const Point3 ahead = unit(place(over) - between), down = unit(cross(ahead, Point3{0, 1, 0}));
    std::vector<Flat> front = cut_by(grid, between, ahead, down);
    std::erase_if(front, [](const Flat& p) { return p.x <= 0; });
    // The tape runs over the skin in front and back straight through the head, from ear to ear.
    front.push_back({0, tragion.y}), front.push_back({0, -tragion.y});
    return tape_length(std::move(front)) - 2 * tragion.y;
  };
  m.bitragion_chin_arc_mm = arc(Landmark::pogonion);
  m.bitragion_subnasale_arc_mm = arc(Landmark::subnasale);

  m.bizygomatic_mm = 2 * place(Landmark::zygion).y;
  m.bigonial_mm = 2 * place(Landmark::gonion).y;
  m.menton_sellion_mm = norm(sellion - place(Landmark::menton));
  return m;
}

}  // namespace peepwright::solid
