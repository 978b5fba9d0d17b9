// SPDX-License-Identifier: GPL-3.0-or-later
// Taylor series of the point-mass equation with quadratic drag. Inside this room only.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

namespace peepwright::flight {

/// Offset, time, tangent of the path's angle and slowness (1 / speed along x, s/m) at a distance x, metres and seconds.
struct State {
  double offset = 0, time = 0, tangent = 0, slowness = 0;
};

/// Gravity's parts along and square to x, and the drag per metre.
struct Pull {
  double along = 0, down = 0, drag = 0;
};

/// One expansion about a state. With distance as the variable the equations are products alone but for a root,
///   y' = p, t' = w, p' = (down − along p) w², w' = w (drag √(1 + p²) − along w²),
/// so that every coefficient follows from those before it (Moore, Interval Analysis (1966), ch. 11, from memory).
class Expansion {
 public:
  /// Wants to reach `span` metres ahead; `reached()` tells how far the series holds.
  Expansion(const State& from, const Pull& pull, double span) : from_(from), span_(span) {
    tangent_[0] = from.tangent, slowness_[0] = from.slowness;
    std::array<double, most + 1> root{}, square{}, growth{}, bend{};
    // Coefficients are of powers of x / span. The series ends where two in a row no longer count.
    constexpr double negligible = 1e-16;
    const double tangent_counts = negligible * (1 + std::abs(from.tangent)),
                 slowness_counts = negligible * from.slowness;
    bool small_before = false;
    std::size_t n = 0;
    for (; n < most; ++n) {
      double squares = 0;  // of p, less those of the root but its own two
      for (std::size_t i = 0; i <= n; ++i) squares += tangent_[i] * tangent_[n - i];
      for (std::size_t i = 1; i < n; ++i) squares -= root[i] * root[n - i];
      root[n] = n == 0 ? std::sqrt(1 + squares) : squares / (2 * root[0]);
      double w2 = 0;
      for (std::size_t i = 0; i <= n; ++i) w2 += slowness_[i] * slowness_[n - i];
      square[n] = w2;
      growth[n] = pull.drag * root[n] - pull.along * w2;
      bend[n] = (n == 0 ? pull.down : 0) - pull.along * tangent_[n];
      double slowness = 0, tangent = 0;
      for (std::size_t i = 0; i <= n; ++i) slowness += slowness_[i] * growth[n - i];
      if (pull.along == 0) tangent = pull.down * w2;
      else
        for (std::size_t i = 0; i <= n; ++i) tangent += bend[i] * square[n - i];
      const double share = span / static_cast<double>(n + 1);
      slowness_[n + 1] = share * slowness;
      tangent_[n + 1] = share * tangent;
      const bool small = std::abs(tangent_[n + 1]) <= tangent_counts && std::abs(slowness_[n + 1]) <= slowness_counts;
      if (small && small_before) break;
      small_before = small;
    }
    last_ = std::min(n + 1, most);
    if (n < most) return;
    // The radius of convergence is shorter than wanted: as far as the last two terms stay negligible.
    const double excess =
        std::max({std::abs(tangent_[most]) / tangent_counts, std::abs(slowness_[most]) / slowness_counts,
                  std::abs(tangent_[most - 1]) / tangent_counts, std::abs(slowness_[most - 1]) / slowness_counts});
    share_ = std::isfinite(excess) ? std::min(1.0, std::pow(excess, -1.0 / static_cast<double>(most - 1))) : 0;
  }

  /// Metres ahead of the start up to which `at` holds to the last digits.
  [[nodiscard]] double reached() const { return share_ * span_; }

  [[nodiscard]] State at(double ahead) const {
    const double z = ahead / span_;
    State s;
    for (std::size_t i = last_ + 1; i-- > 0;) {
      const double up = 1 / static_cast<double>(i + 1);
      s.offset = s.offset * z + tangent_[i] * up;
      s.time = s.time * z + slowness_[i] * up;
      s.tangent = s.tangent * z + tangent_[i];
      s.slowness = s.slowness * z + slowness_[i];
    }
    s.offset = from_.offset + ahead * s.offset;
    s.time = from_.time + ahead * s.time;
    return s;
  }

 private:
  static constexpr std::size_t most = 20;
  State from_;
  double span_, share_ = 1;
  std::size_t last_ = 0;
  std::array<double, most + 1> tangent_{}, slowness_{};
};

}  // namespace peepwright::flight
