// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/ring_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

/// Triangles between ring `from` and ring `to`, whose points begin at these indices.
void add_band(TriangleMesh& mesh, std::size_t from, std::size_t to, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t k = (i + 1) % count;
    const auto a = std::uint32_t(from + i), b = std::uint32_t(from + k), c = std::uint32_t(to + k),
               d = std::uint32_t(to + i);
    mesh.triangles.push_back({a, b, c});
    mesh.triangles.push_back({a, c, d});
  }
}

void add_points(TriangleMesh& mesh, const std::vector<std::vector<Point3>>& rings) {
  for (const auto& points : rings) mesh.vertices.insert(mesh.vertices.end(), points.begin(), points.end());
}

}  // namespace

std::size_t corners_around(double radius_mm, double deflection_mm) {
  // A polygon of n corners has (2 pi / n)^2 / 6 less than its circle's area: 64 corners lose a 600th.
  constexpr std::size_t fewest = 64;
  const double half_step = std::acos(std::clamp(1 - deflection_mm / radius_mm, 0.0, 1.0));
  return 2 * std::max(fewest / 2, std::size_t(std::ceil(std::numbers::pi / half_step / 2)));
}

std::vector<Point3> ring(const Point3& centre, const Point3& a, const Point3& b, std::size_t count) {
  std::vector<Point3> points;
  for (std::size_t i = 0; i < count; ++i) {
    const double angle = 2 * std::numbers::pi * double(i) / double(count);
    points.push_back(centre + std::cos(angle) * a + std::sin(angle) * b);
  }
  return points;
}

std::pair<Point3, Point3> square_to(const Point3& axis) {
  const Point3 along = unit(axis);
  const Point3 first = unit(cross(along, std::abs(along.y) < 0.7 ? Point3{0, 1, 0} : Point3{1, 0, 0}));
  return {first, cross(along, first)};
}

TriangleMesh capped(const std::vector<std::vector<Point3>>& rings, const Point3& start, const Point3& end) {
  TriangleMesh mesh;
  if (rings.empty()) return mesh;
  const std::size_t count = rings.front().size(), last = (rings.size() - 1) * count;
  add_points(mesh, rings);
  const auto first_hub = std::uint32_t(mesh.vertices.size()), last_hub = first_hub + 1;
  mesh.vertices.push_back(start);
  mesh.vertices.push_back(end);
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t k = (i + 1) % count;
    mesh.triangles.push_back({first_hub, std::uint32_t(k), std::uint32_t(i)});
    mesh.triangles.push_back({last_hub, std::uint32_t(last + i), std::uint32_t(last + k)});
  }
  for (std::size_t r = 0; r + 1 < rings.size(); ++r) add_band(mesh, r * count, (r + 1) * count, count);
  return mesh;
}

TriangleMesh around(const std::vector<std::vector<Point3>>& rings) {
  TriangleMesh mesh;
  add_points(mesh, rings);
  for (std::size_t r = 0; r < rings.size(); ++r)
    add_band(mesh, r * rings[r].size(), (r + 1) % rings.size() * rings[r].size(), rings[r].size());
  return mesh;
}

TriangleMesh rod_mesh(const Rod& rod) {
  const auto [a, b] = square_to(rod.to - rod.from);
  const std::size_t count = corners_around(rod.radius_mm);
  const auto at = [&, a = rod.radius_mm * a, b = rod.radius_mm * b](const Point3& p) { return ring(p, a, b, count); };
  return capped({at(rod.from), at(rod.to)}, rod.from, rod.to);
}

TriangleMesh ball_mesh(const Ball& ball) {
  // Chords in both directions: the loss is more than twice that of a rod.
  const std::size_t count = 3 * corners_around(ball.radius_mm) / 2, bands = count / 2;
  const auto along = [&](double height) { return ball.centre + Point3{0, 0, height}; };
  std::vector<std::vector<Point3>> rings;
  for (std::size_t j = 1; j < bands; ++j) {
    const double polar = std::numbers::pi * double(j) / double(bands), r = ball.radius_mm * std::sin(polar);
    rings.push_back(ring(along(-ball.radius_mm * std::cos(polar)), {r, 0, 0}, {0, r, 0}, count));
  }
  return capped(rings, along(-ball.radius_mm), along(ball.radius_mm));
}

}  // namespace peepwright::solid
