// SPDX-License-Identifier: GPL-3.0-or-later
// Natural cubic splines through the rows of a small table.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace peepwright::solid {

/// Several columns over one increasing abscissa, each interpolated by its own natural cubic spline.
template <std::size_t Columns>
class SplineTable {
 public:
  using Row = std::array<double, Columns>;

  /// At least three rows; `abscissa` strictly increasing.
  SplineTable(std::vector<double> abscissa, std::vector<Row> rows) : x_(std::move(abscissa)), y_(std::move(rows)) {
    const std::size_t n = x_.size();
    second_.assign(n, Row{});
    std::vector<double> pivot(n, 0.0);
    for (std::size_t i = 1; i + 1 < n; ++i) {
      const double before = x_[i] - x_[i - 1], after = x_[i + 1] - x_[i];
      const double diagonal = 2 * (before + after) - before * pivot[i - 1];
      pivot[i] = after / diagonal;
      for (std::size_t c = 0; c < Columns; ++c) {
        const double bend = (y_[i + 1][c] - y_[i][c]) / after - (y_[i][c] - y_[i - 1][c]) / before;
        second_[i][c] = (6 * bend - before * second_[i - 1][c]) / diagonal;
      }
    }
    for (std::size_t i = n - 1; i-- > 1;)
      for (std::size_t c = 0; c < Columns; ++c) second_[i][c] -= pivot[i] * second_[i + 1][c];
  }

  [[nodiscard]] Row at(double x) const {
    std::size_t i = 1;
    while (i + 1 < x_.size() && x > x_[i]) ++i;
    const double h = x_[i] - x_[i - 1], b = (x - x_[i - 1]) / h, a = 1 - b;
    Row row{};
    for (std::size_t c = 0; c < Columns; ++c)
      row[c] = a * y_[i - 1][c] + b * y_[i][c] +
               ((a * a * a - a) * second_[i - 1][c] + (b * b * b - b) * second_[i][c]) * h * h / 6;
    return row;
  }

 private:
  std::vector<double> x_;
  std::vector<Row> y_, second_;
};

}  // namespace peepwright::solid
