// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/skin.hpp"

#include <Eigen/SparseLU>
#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <mutex>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

using Weights = std::array<double, 4>;

/// The four cubic B-spline weights, and their first two derivatives by the parameter, at a place in one direction.
struct Basis {
  std::size_t first = 0;  ///< index of the first of four poles, before wrapping
  Weights value{}, slope{}, bend{};
};

/// Weights at `s` in [0, 1] of a span of width 1 / n among equal spans.
Basis uniform_basis(double s, double n, std::size_t first) {
  const double r = 1 - s;
  Basis b;
  b.first = first;
  b.value = {r * r * r / 6, (4 - 6 * s * s + 3 * s * s * s) / 6, (4 - 6 * r * r + 3 * r * r * r) / 6, s * s * s / 6};
  b.slope = {-n * r * r / 2, n * (-2 * s + 1.5 * s * s), n * (2 * r - 1.5 * r * r), n * s * s / 2};
  b.bend = {n * n * r, n * n * (3 * s - 2), n * n * (3 * r - 2), n * n * s};
  return b;
}

Basis periodic_basis(double u, std::size_t count) {
  const double s = (u - std::floor(u)) * double(count);
  const std::size_t span = std::min(std::size_t(s), count - 1);
  return uniform_basis(s - double(span), double(count), span + count - 1);  // pole k carries the knot k / count
}

/// Knot k of the clamped vector, flat index.
double flat_knot(const std::vector<double>& knots, std::ptrdiff_t k) {
  return knots[std::size_t(std::clamp<std::ptrdiff_t>(k - 3, 0, std::ptrdiff_t(knots.size()) - 1))];
}

Basis clamped_basis(double t, const std::vector<double>& knots) {
  t = std::clamp(t, 0.0, 1.0);
  const std::size_t last = knots.size() - 2;
  // Knots are uniform but for the gaps next to the ends, so the guess is at most two off.
  std::size_t span = std::min(last, std::size_t(t * double(last + 1)));
  while (span > 0 && t < knots[span]) --span;
  while (span < last && t >= knots[span + 1]) ++span;

  // Away from the ends, where the first and the last gap are double, all spans are equal.
  if (span >= 3 && span + 3 <= last) {
    const double width = knots[span + 1] - knots[span];
    return uniform_basis((t - knots[span]) / width, 1 / width, span);
  }

  // Cox-de Boor by degree, keeping degrees 1 and 2 for the derivatives (Piegl & Tiller, The NURBS Book, 2.3).
  const std::ptrdiff_t i = std::ptrdiff_t(span) + 3;
  const auto k = [&](std::ptrdiff_t j) { return flat_knot(knots, j); };
  std::array<Weights, 4> n{};
  n[0][3] = 1;
  for (int degree = 1; degree <= 3; ++degree)
    for (int j = 3 - degree; j <= 3; ++j) {
      const std::ptrdiff_t a = i - 3 + j;
      double v = 0;
      if (const double w = k(a + degree) - k(a); w > 0) v += (t - k(a)) / w * n[std::size_t(degree - 1)][std::size_t(j)];
      if (j < 3)
        if (const double w = k(a + degree + 1) - k(a + 1); w > 0)
          v += (k(a + degree + 1) - t) / w * n[std::size_t(degree - 1)][std::size_t(j + 1)];
      n[std::size_t(degree)][std::size_t(j)] = v;
    }
  const auto derived = [&](const Weights& lower, int degree, int j) {
    const std::ptrdiff_t a = i - 3 + j;
    double v = 0;
    if (const double w = k(a + degree) - k(a); w > 0) v += degree / w * lower[std::size_t(j)];
    if (j < 3)
      if (const double w = k(a + degree + 1) - k(a + 1); w > 0) v -= degree / w * lower[std::size_t(j + 1)];
    return v;
  };
  Basis b;
  b.first = span;
  b.value = n[3];
  Weights slope2{};
  for (int j = 0; j <= 3; ++j) {
    b.slope[std::size_t(j)] = derived(n[2], 3, j);
    slope2[std::size_t(j)] = derived(n[1], 2, j);
  }
  for (int j = 0; j <= 3; ++j) b.bend[std::size_t(j)] = derived(slope2, 3, j);
  return b;
}

/// Grid parameters but the second and the last but one: two knots fewer than points, as a cubic wants.
std::vector<double> knots_for(std::size_t down) {
  std::vector<double> knots;
  for (std::size_t j = 0; j < down; ++j)
    if (j != 1 && j != down - 2) knots.push_back(double(j) / double(down - 1));
  return knots;
}

using Solver = Eigen::SparseLU<Eigen::SparseMatrix<double>>;

/// The interpolation systems depend on the grid's size alone: factored once each.
struct Solvers {
  Solver around, along;
  Solvers(std::size_t across, std::size_t down) {
    std::vector<Eigen::Triplet<double>> a, d;
    for (std::size_t i = 0; i < across; ++i) {
      const Basis b = periodic_basis(double(i) / double(across), across);
      for (std::size_t k = 0; k < 4; ++k)
        if (b.value[k] != 0) a.emplace_back(int(i), int((b.first + k) % across), b.value[k]);
    }
    const std::vector<double> knots = knots_for(down);
    for (std::size_t j = 0; j < down; ++j) {
      const Basis b = clamped_basis(double(j) / double(down - 1), knots);
      for (std::size_t k = 0; k < 4; ++k)
        if (b.value[k] != 0) d.emplace_back(int(j), int(b.first + k), b.value[k]);
    }
    Eigen::SparseMatrix<double> m{Eigen::Index(across), Eigen::Index(across)};
    m.setFromTriplets(a.begin(), a.end());
    around.compute(m);
    Eigen::SparseMatrix<double> n{Eigen::Index(down), Eigen::Index(down)};
    n.setFromTriplets(d.begin(), d.end());
    along.compute(n);
  }
};

const Solvers& solvers_for(std::size_t across, std::size_t down) {
  static std::mutex guard;
  static std::map<std::pair<std::size_t, std::size_t>, std::unique_ptr<Solvers>> known;
  const std::lock_guard lock(guard);
  auto& slot = known[{across, down}];
  if (!slot) slot = std::make_unique<Solvers>(across, down);
  return *slot;
}

double on_grid(double v) { return std::round(v * 1e6) / 1e6 + 0.0; }

}  // namespace

Skin::Skin(const std::vector<Point3>& points, std::size_t across, std::size_t down)
    : across_(across), down_(down), knots_t_(knots_for(down)), poles_(across * down) {
  const Solvers& solvers = solvers_for(across, down);
  const auto n = Eigen::Index(across), m = Eigen::Index(down);
  Eigen::MatrixXd values(n, 3 * m);
  for (Eigen::Index j = 0; j < m; ++j)
    for (Eigen::Index i = 0; i < n; ++i) {
      const Point3& p = points[std::size_t(j * n + i)];
      values(i, 3 * j) = p.x, values(i, 3 * j + 1) = p.y, values(i, 3 * j + 2) = p.z;
    }
  const Eigen::MatrixXd rings = solvers.around.solve(values);
  Eigen::MatrixXd columns(m, 3 * n);
  for (Eigen::Index j = 0; j < m; ++j)
    for (Eigen::Index i = 0; i < n; ++i)
      for (Eigen::Index c = 0; c < 3; ++c) columns(j, 3 * i + c) = rings(i, 3 * j + c);
  const Eigen::MatrixXd poles = solvers.along.solve(columns);
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      // Solving breaks the mirror symmetry in the last digits; it is put back.
      const std::size_t left = 2 * i > across ? across - i : i;
      const auto at = [&](int c) { return on_grid(poles(Eigen::Index(j), Eigen::Index(3 * left) + c)); };
      Point3 p{at(0), at(1), at(2)};
      if (i == 0 || 2 * i == across) p.y = 0;
      poles_[j * across + i] = left == i ? p : mirrored(p);
    }
}

SkinPoint Skin::at(SkinParameter at) const {
  const Basis u = periodic_basis(at.u, across_), t = clamped_basis(at.t, knots_t_);
  SkinPoint s;
  for (std::size_t b = 0; b < 4; ++b) {
    Point3 p, d, dd;
    for (std::size_t a = 0; a < 4; ++a) {
      const Point3& pole = poles_[(t.first + b) * across_ + (u.first + a) % across_];
      p = p + u.value[a] * pole;
      d = d + u.slope[a] * pole;
      dd = dd + u.bend[a] * pole;
    }
    s.place = s.place + t.value[b] * p;
    s.du = s.du + t.value[b] * d;
    s.duu = s.duu + t.value[b] * dd;
    s.dt = s.dt + t.slope[b] * p;
    s.dut = s.dut + t.slope[b] * d;
    s.dtt = s.dtt + t.bend[b] * p;
  }
  return s;
}

Point3 Skin::point(SkinParameter at) const {
  const Basis u = periodic_basis(at.u, across_), t = clamped_basis(at.t, knots_t_);
  Point3 s;
  for (std::size_t b = 0; b < 4; ++b)
    for (std::size_t a = 0; a < 4; ++a)
      s = s + (t.value[b] * u.value[a]) * poles_[(t.first + b) * across_ + (u.first + a) % across_];
  return s;
}

// With t downwards and u from the front to the left, dt × du points outwards.
Point3 Skin::normal(const SkinPoint& point) { return unit(cross(point.dt, point.du)); }

std::vector<Point3> Skin::sample(std::size_t across, std::size_t down) const {
  std::vector<Point3> rings(across * down_), points(across * down);
  for (std::size_t i = 0; i < across; ++i) {
    const Basis u = periodic_basis(double(i) / double(across), across_);
    std::array<std::size_t, 4> index{};
    for (std::size_t a = 0; a < 4; ++a) index[a] = (u.first + a) % across_;
    for (std::size_t j = 0; j < down_; ++j) {
      Point3 p;
      for (std::size_t a = 0; a < 4; ++a) p = p + u.value[a] * poles_[j * across_ + index[a]];
      rings[j * across + i] = p;
    }
  }
  for (std::size_t j = 0; j < down; ++j) {
    const Basis t = clamped_basis(double(j) / double(down - 1), knots_t_);
    const Point3* ring = &rings[t.first * across];
    for (std::size_t i = 0; i < across; ++i) {
      Point3 p;
      for (std::size_t b = 0; b < 4; ++b) p = p + t.value[b] * ring[b * across + i];
      points[j * across + i] = p;
    }
  }
  return points;
}

}  // namespace peepwright::solid
