// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/skin.hpp"

#include <Eigen/Core>
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
  Weights value, slope, bend;
};

/// The four poles of a span round the head; a division for each would cost more than the rest.
std::array<std::size_t, 4> wrapped(std::size_t first, std::size_t count) {
  std::array<std::size_t, 4> out{};
  for (std::size_t a = 0, k = first % count; a < 4; ++a, k = k + 1 == count ? 0 : k + 1) out[a] = k;
  return out;
}

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
  if (u < 0 || u >= 1) u -= std::floor(u);
  const double s = u * double(count);
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
      if (const double w = k(a + degree) - k(a); w > 0)
        v += (t - k(a)) / w * n[std::size_t(degree - 1)][std::size_t(j)];
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

/// Elimination without pivots, which these matrices do not need: one is diagonally dominant, the other totally
/// positive. What a band and two corners fill in is little, and all right-hand sides go through it side by side.
class Solver {
 public:
  explicit Solver(Eigen::MatrixXd m) : lower_(std::size_t(m.rows())), upper_(lower_.size()) {
    const Eigen::Index n = m.rows();
    for (Eigen::Index k = 0; k < n; ++k)
      for (Eigen::Index i = k + 1; i < n; ++i) {
        if (m(i, k) == 0) continue;
        m(i, k) /= m(k, k);
        for (Eigen::Index j = k + 1; j < n; ++j)
          if (m(k, j) != 0) m(i, j) -= m(i, k) * m(k, j);
      }
    for (Eigen::Index i = 0; i < n; ++i)
      for (Eigen::Index j = 0; j < n; ++j)
        if (j == i) pivots_.push_back(m(i, i));
        else if (m(i, j) != 0) (j < i ? lower_ : upper_)[std::size_t(i)].push_back({std::size_t(j), m(i, j)});
  }

  /// `rows`: one of `width` right-hand sides a column; solved in place.
  void solve(std::vector<double>& rows, std::size_t width) const {
    const auto eliminate = [&](std::size_t i, const std::vector<Term>& terms) {
      double* row = &rows[i * width];
      for (const Term& term : terms) {
        const double* other = &rows[term.row * width];
        for (std::size_t c = 0; c < width; ++c) row[c] -= term.factor * other[c];
      }
    };
    for (std::size_t i = 0; i < pivots_.size(); ++i) eliminate(i, lower_[i]);
    for (std::size_t i = pivots_.size(); i-- > 0;) {
      eliminate(i, upper_[i]);
      for (std::size_t c = 0; c < width; ++c) rows[i * width + c] /= pivots_[i];
    }
  }

 private:
  struct Term {
    std::size_t row;
    double factor;
  };
  std::vector<std::vector<Term>> lower_, upper_;
  std::vector<double> pivots_;
};

/// The interpolation systems depend on the grid's size alone: factored once each.
struct Solvers {
  Solver around, along;
  Solvers(std::size_t across, std::size_t down) : around(around_matrix(across)), along(along_matrix(down)) {}

  static Eigen::MatrixXd around_matrix(std::size_t across) {
    Eigen::MatrixXd m = Eigen::MatrixXd::Zero(Eigen::Index(across), Eigen::Index(across));
    for (std::size_t i = 0; i < across; ++i) {
      const Basis b = periodic_basis(double(i) / double(across), across);
      for (std::size_t k = 0; k < 4; ++k) m(Eigen::Index(i), Eigen::Index((b.first + k) % across)) += b.value[k];
    }
    return m;
  }

  static Eigen::MatrixXd along_matrix(std::size_t down) {
    Eigen::MatrixXd m = Eigen::MatrixXd::Zero(Eigen::Index(down), Eigen::Index(down));
    const std::vector<double> knots = knots_for(down);
    for (std::size_t j = 0; j < down; ++j) {
      const Basis b = clamped_basis(double(j) / double(down - 1), knots);
      for (std::size_t k = 0; k < 4; ++k)
        if (b.value[k] != 0) m(Eigen::Index(j), Eigen::Index(b.first + k)) += b.value[k];
    }
    return m;
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
  std::vector<double> rings(across * 3 * down);
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      const Point3& p = points[j * across + i];
      double* at = &rings[i * 3 * down + 3 * j];
      at[0] = p.x, at[1] = p.y, at[2] = p.z;
    }
  solvers.around.solve(rings, 3 * down);
  // Solving breaks the mirror symmetry in the last digits: the right half is made the image of the left.
  const std::size_t half = across / 2 + 1;
  std::vector<double> poles(down * 3 * half);
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < half; ++i)
      for (std::size_t c = 0; c < 3; ++c) poles[j * 3 * half + 3 * i + c] = rings[i * 3 * down + 3 * j + c];
  solvers.along.solve(poles, 3 * half);
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      const std::size_t left = 2 * i > across ? across - i : i;
      const double* at = &poles[j * 3 * half + 3 * left];
      Point3 p{on_grid(at[0]), on_grid(at[1]), on_grid(at[2])};
      if (i == 0 || 2 * i == across) p.y = 0;
      poles_[j * across + i] = left == i ? p : mirrored(p);
    }
}

SkinPoint Skin::at(SkinParameter at) const {
  const Basis u = periodic_basis(at.u, across_), t = clamped_basis(at.t, knots_t_);
  const std::array<std::size_t, 4> columns = wrapped(u.first, across_);
  SkinPoint s;
  for (std::size_t b = 0; b < 4; ++b) {
    Point3 p, d, dd;
    const Point3* row = &poles_[(t.first + b) * across_];
    for (std::size_t a = 0; a < 4; ++a) {
      const Point3& pole = row[columns[a]];
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
  const std::array<std::size_t, 4> columns = wrapped(u.first, across_);
  Point3 s;
  for (std::size_t b = 0; b < 4; ++b)
    for (std::size_t a = 0; a < 4; ++a)
      s = s + (t.value[b] * u.value[a]) * poles_[(t.first + b) * across_ + columns[a]];
  return s;
}

// With t downwards and u from the front to the left, dt × du points outwards.
Point3 Skin::normal(const SkinPoint& point) { return unit(cross(point.dt, point.du)); }

std::vector<Point3> Skin::sample(std::size_t across, std::size_t down) const {
  const std::size_t half = across / 2 + 1;  // the other half is its mirror image
  std::vector<Point3> rings(half * down_), points(across * down);
  for (std::size_t i = 0; i < half; ++i) {
    const Basis u = periodic_basis(double(i) / double(across), across_);
    std::array<std::size_t, 4> index{};
    for (std::size_t a = 0; a < 4; ++a) index[a] = (u.first + a) % across_;
    for (std::size_t j = 0; j < down_; ++j) {
      Point3 p;
      for (std::size_t a = 0; a < 4; ++a) p = p + u.value[a] * poles_[j * across_ + index[a]];
      rings[j * half + i] = p;
    }
  }
  for (std::size_t j = 0; j < down; ++j) {
    const Basis t = clamped_basis(double(j) / double(down - 1), knots_t_);
    const Point3* ring = &rings[t.first * half];
    Point3* row = &points[j * across];
    for (std::size_t i = 0; i < half; ++i) {
      Point3 p;
      for (std::size_t b = 0; b < 4; ++b) p = p + t.value[b] * ring[b * half + i];
      row[i] = p;
    }
    for (std::size_t i = half; i < across; ++i) row[i] = mirrored(row[across - i]);
  }
  return points;
}

}  // namespace peepwright::solid
