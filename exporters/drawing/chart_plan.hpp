// SPDX-License-Identifier: GPL-3.0-or-later
// A chart laid out: where plot, ticks, labels, key and table stand. Private to the room.
#pragma once

#include <limits>
#include <optional>
#include <set>

#include "exporters/drawing/axis.hpp"
#include "exporters/drawing/chart.hpp"
#include "exporters/drawing/chart_labels.hpp"

namespace peepwright::drawing {

inline constexpr double chart_line_mm = 0.45;

class ChartPlan {
 public:
  /// Measures texts on `canvas` and draws nothing. Throws as draw_chart.
  ChartPlan(const Canvas& canvas, const Chart& chart, const Box& frame);

  struct Label {
    std::string text;
    Box box;
  };
  struct KeyEntry {
    std::string text;
    Point at;  ///< upper left corner of its symbol
    TextStyle style;
    double symbol_mm = 0;  ///< width of the symbol: a piece of line, or one mark
  };

  Box frame, plot;
  TextStyle text;
  double mark_mm = 0;
  double value_mm = 0, table_at = 0;    ///< table: width of its values, left edge
  double y_name_at = 0, x_name_at = 0;  ///< tops of the axes' names
  Ticks x_ticks, y_ticks;
  std::vector<Label> labels;
  std::vector<std::vector<Point>> leaders;  ///< thin lines from a label to what it names
  std::vector<KeyEntry> key;

  [[nodiscard]] double em() const { return text.size_mm; }
  [[nodiscard]] double row_mm() const { return 1.6 * em(); }
  [[nodiscard]] double tick_gap() const { return 0.8 * em(); }
  [[nodiscard]] TextStyle wrapped(double width, int lines, bool bold = false) const;
  [[nodiscard]] TextStyle label_style() const { return wrapped(0.4 * frame.width(), 2); }
  [[nodiscard]] Point place(ChartPoint p) const;
  /// A series as unbroken runs of page points; single points where it is not a line.
  [[nodiscard]] std::vector<std::vector<Point>> runs_of(const ChartSeries& s) const;
  [[nodiscard]] PlotBand edges_of(const ChartBand& band) const;

 private:
  /// Where the lines' names stand, best first: beside their line, beside its right end, in the key.
  enum class LineNames { beside, at_ends, in_key };
  struct Range {
    double low = std::numeric_limits<double>::infinity(), high = -std::numeric_limits<double>::infinity();
    void add(double v);
    void widen(double least_span);
  };
  [[noreturn]] void no_room() const;
  void find_ranges();
  void lay_out();
  void lay_out_key();
  bool place_labels();
  bool name_lines(LabelRoom& room, const std::vector<std::size_t>& shapes);
  bool name_ends(LabelRoom& room);
  void names_to_key();
  [[nodiscard]] double ends_width() const;
  [[nodiscard]] double widest(const std::vector<std::string>& words) const;
  template <class Room>
  Ticks fitting(const Range& range, int most, const Room& room) const;

  const Canvas& canvas_;
  const Chart& chart_;
  Range x_range_, y_range_;
  LineNames line_names_ = LineNames::beside;
  std::set<std::string> in_key_;
};

/// "draw force, lbf", with the ticks' power of ten.
std::string axis_words(const ChartAxis& axis, const Ticks& ticks);
/// False where a coordinate is not a finite number.
bool is_finite(ChartPoint p);

}  // namespace peepwright::drawing
