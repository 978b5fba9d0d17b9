// SPDX-License-Identifier: GPL-3.0-or-later
// Text that runs down a column of a page and shrinks, evenly, until it fits.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "exporters/view/look.hpp"

namespace peepwright::sheet {

class Flow {
 public:
  Flow(Canvas& canvas, const Box& box, double size, bool draw)
      : canvas_(canvas), box_(box), size_(size), draw_(draw), y_(box.y0) {}

  void heading(const std::string& text);
  void text(const std::string& text, std::string_view style = "body");
  void list(const std::vector<std::string>& texts, bool numbered, std::string_view style = "body");
  /// Rows of cells; `starts` are the cells' left sides as shares of the width, a negative one the right side of a cell
  /// that is set right. The first row is a head where `headed`.
  void table(const std::vector<std::vector<std::string>>& rows, const std::vector<double>& starts, bool headed);
  /// A box with names, each with a line to write on.
  void blank_box(const std::vector<std::string>& names);
  /// A numbered row: what to write, its key in small letters, and a line to write on.
  void blank_row(const std::string& number, const std::string& words, const std::string& key);
  void gap(double mm) { y_ += mm * size_; }
  void rule();

  [[nodiscard]] double y() const { return y_; }

 private:
  [[nodiscard]] TextStyle sized(std::string_view style, double wrap_mm) const;
  Box put(const std::string& text, const TextStyle& style, const TextPlace& place);

  Canvas& canvas_;
  Box box_;
  double size_;
  bool draw_;
  double y_;
};

/// Whether what `compose` writes fits the box at `smallest` of its size.
bool fits(Canvas& canvas, const Box& box, const std::function<void(Flow&)>& compose, double smallest);

/// Calls `compose` until what it writes fits the box, each time a little smaller, and then draws it; returns where it
/// ends, mm. Throws Error(input) when it does not fit at `smallest` of its size, saying what `is` too long.
double fill(Canvas& canvas, const Box& box, const std::string& is, const std::function<void(Flow&)>& compose,
            double smallest = 0.66);

}  // namespace peepwright::sheet
