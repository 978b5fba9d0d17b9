// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/chart.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "exporters/drawing/chart_plan.hpp"

namespace peepwright {
namespace {

using drawing::axis_words;
using drawing::chart_line_mm;
using drawing::ChartPlan;
using drawing::is_finite;

constexpr Colour grid_colour = Colour::grey(0.86), area_colour = Colour::grey(0.91), axis_colour = Colour::grey(0.25);
constexpr double thin_mm = 0.15;
constexpr std::size_t marks = 5;

Stroke look_of(std::size_t series) {
  static const std::array<std::vector<double>, 4> dashes{{{}, {2.2, 0.9}, {0.5, 0.7}, {3.2, 0.7, 0.5, 0.7}}};
  // Past four lines the pattern comes again with marks on it.
  return {chart_line_mm, {}, dashes[series % dashes.size()], LineEnd::butt};
}
bool line_has_marks(std::size_t series) { return series >= 4; }

Path mark_shape(std::size_t kind, Point p, double r) {
  switch (kind % marks) {
    case 0: return Path::circle(p, r);
    case 1: return Path::rectangle({p.x - 0.9 * r, p.y - 0.9 * r, p.x + 0.9 * r, p.y + 0.9 * r});
    case 2:
      return Path::polyline({{p.x, p.y - 1.2 * r}, {p.x + 1.1 * r, p.y + 0.8 * r}, {p.x - 1.1 * r, p.y + 0.8 * r}},
                            true);
    case 3:
      return Path::polyline({{p.x, p.y - 1.3 * r}, {p.x + 1.3 * r, p.y}, {p.x, p.y + 1.3 * r}, {p.x - 1.3 * r, p.y}},
                            true);
    default: {
      Path cross = Path::line({p.x - r, p.y - r}, {p.x + r, p.y + r});
      return cross.append(Path::line({p.x - r, p.y + r}, {p.x + r, p.y - r}));
    }
  }
}

class Drawing {
 public:
  Drawing(Canvas& canvas, const Chart& chart, const Box& frame)
      : canvas_(canvas), chart_(chart), plan_(canvas, chart, frame) {
    draw_areas();
    draw_axes();
    draw_lines();
    draw_labels();
    draw_key();
    draw_table();
  }

 private:
  void draw_band(const ChartBand& band, const Path& area) {
    if (!band.hatched) return canvas_.fill(area, area_colour);
    canvas_.hatch(area, {0.9, 45, {thin_mm, Colour::grey(0.55), {}, LineEnd::butt}});
    canvas_.stroke(area, {thin_mm, Colour::grey(0.55), {}, LineEnd::butt});
  }

  void draw_areas() {
    for (const ChartBand& band : chart_.bands) {
      drawing::PlotBand edges = plan_.edges_of(band);
      if (edges.upper.size() < 2) continue;
      edges.upper.insert(edges.upper.end(), edges.lower.rbegin(), edges.lower.rend());
      draw_band(band, Path::polyline(edges.upper, true));
    }
  }

  void draw_axes() {
    const Stroke axis{0.25, axis_colour, {}, LineEnd::square};
    const double tick = 0.35 * plan_.em();
    for (std::size_t i = 0; i < plan_.x_ticks.at.size(); ++i) {
      const double x = plan_.place({plan_.x_ticks.at[i], plan_.y_ticks.from}).x;
      draw_grid({x, plan_.plot.y0}, {x, plan_.plot.y1});
      canvas_.line({x, plan_.plot.y1}, {x, plan_.plot.y1 + tick}, axis);
      canvas_.text(plan_.x_ticks.labels[i], plan_.text,
                   {{x, plan_.plot.y1 + plan_.tick_gap()}, Across::centre, Down::top, 0});
    }
    for (std::size_t i = 0; i < plan_.y_ticks.at.size(); ++i) {
      const double y = plan_.place({plan_.x_ticks.from, plan_.y_ticks.at[i]}).y;
      draw_grid({plan_.plot.x0, y}, {plan_.plot.x1, y});
      canvas_.line({plan_.plot.x0 - tick, y}, {plan_.plot.x0, y}, axis);
      canvas_.text(plan_.y_ticks.labels[i], plan_.text,
                   {{plan_.plot.x0 - plan_.tick_gap(), y}, Across::right, Down::middle, 0});
    }
    canvas_.line({plan_.plot.x0, plan_.plot.y0}, {plan_.plot.x0, plan_.plot.y1}, axis);
    canvas_.line({plan_.plot.x0, plan_.plot.y1}, {plan_.plot.x1, plan_.plot.y1}, axis);
    if (!chart_.title.empty())
      canvas_.text(chart_.title, plan_.wrapped(plan_.frame.width(), 2, true), {{plan_.frame.x0, plan_.frame.y0}});
    const double across =
        std::min(plan_.table_at, plan_.frame.x1) - plan_.frame.x0 - (chart_.table.empty() ? 0 : plan_.em());
    canvas_.text(axis_words(chart_.y, plan_.y_ticks), plan_.wrapped(across, 1), {{plan_.frame.x0, plan_.y_name_at}});
    canvas_.text(axis_words(chart_.x, plan_.x_ticks), plan_.wrapped(plan_.plot.x1 - plan_.frame.x0, 1),
                 {{plan_.plot.x1, plan_.x_name_at}, Across::right, Down::top, 0});
  }

  void draw_mark(std::size_t kind, Point p, bool filled = false) {
    const Path shape = mark_shape(kind, p, plan_.mark_mm);
    const bool open_shape = kind % marks == marks - 1;
    if (!open_shape) canvas_.fill(shape, filled ? Colour{} : Colour::grey(1));
    canvas_.stroke(shape, {0.3, {}, {}, LineEnd::butt});
  }

  void draw_lines() {
    for (std::size_t i = 0; i < chart_.series.size(); ++i) {
      const ChartSeries& s = chart_.series[i];
      double since_mark = 0;
      for (const auto& run : plan_.runs_of(s)) {
        if (s.line && run.size() > 1) canvas_.stroke(Path::polyline(run), look_of(i));
        if (!s.line || run.size() == 1) {
          for (const Point& p : run) draw_mark(i, p);
        } else if (line_has_marks(i)) {
          for (std::size_t k = 0; k < run.size(); ++k) {
            if (k > 0) since_mark += std::hypot(run[k].x - run[k - 1].x, run[k].y - run[k - 1].y);
            if (k == 0 || since_mark > 5 * plan_.em()) draw_mark(i, run[k]), since_mark = 0;
          }
        }
      }
    }
    for (const auto& leader : plan_.leaders)
      canvas_.line(leader[0], leader[1], {thin_mm, axis_colour, {}, LineEnd::butt});
    for (const ChartNote& n : chart_.notes)
      if (is_finite(n.at)) draw_mark(0, plan_.place(n.at), true);
  }

  void draw_labels() {
    for (const ChartPlan::Label& label : plan_.labels)
      canvas_.text(label.text, plan_.label_style(), {{label.box.x0, label.box.y0}});
  }

  /// A grid line, left out where a label stands.
  void draw_grid(Point from, Point to) {
    const Stroke look{thin_mm, grid_colour, {}, LineEnd::butt};
    const bool upright = from.x == to.x;
    std::vector<std::pair<double, double>> gaps;
    for (const ChartPlan::Label& label : plan_.labels) {
      const Box& b = label.box;
      if (upright ? from.x > b.x0 && from.x < b.x1 : from.y > b.y0 && from.y < b.y1)
        gaps.emplace_back(upright ? b.y0 : b.x0, upright ? b.y1 : b.x1);
    }
    std::ranges::sort(gaps);
    const double end = upright ? to.y : to.x;
    double at = upright ? from.y : from.x;
    const auto piece = [&](double until) {
      if (until > at)
        upright ? canvas_.line({from.x, at}, {from.x, until}, look) : canvas_.line({at, from.y}, {until, from.y}, look);
    };
    for (const auto& [begin, finish] : gaps) {
      piece(std::min(begin, end));
      at = std::max(at, finish);
    }
    piece(end);
  }

  void draw_key() {
    for (const ChartPlan::KeyEntry& entry : plan_.key) {
      const Point left{entry.at.x, entry.at.y + 0.62 * plan_.em()}, right{entry.at.x + entry.symbol_mm, left.y};
      const Point middle = 0.5 * (left + right);
      for (const ChartBand& b : chart_.bands)
        if (b.label == entry.text)
          draw_band(b, Path::rectangle({left.x, left.y - 0.5 * plan_.em(), right.x, left.y + 0.5 * plan_.em()}));
      for (std::size_t i = 0; i < chart_.series.size(); ++i) {
        if (chart_.series[i].label != entry.text) continue;
        if (chart_.series[i].line) canvas_.line(left, right, look_of(i));
        if (!chart_.series[i].line || line_has_marks(i)) draw_mark(i, middle);
      }
      for (const ChartNote& n : chart_.notes)
        if (n.text == entry.text) draw_mark(0, middle, true);
      canvas_.text(entry.text, entry.style, {{right.x + 0.5 * plan_.em(), entry.at.y}});
    }
  }

  void draw_table() {
    if (chart_.table.empty()) return;
    double y = plan_.y_name_at;
    const TextStyle name = plan_.wrapped(plan_.frame.x1 - plan_.table_at - plan_.value_mm - plan_.em(), 1);
    for (const ChartRow& row : chart_.table) {
      canvas_.text(row.name, name, {{plan_.table_at, y}});
      canvas_.text(row.value, plan_.text, {{plan_.frame.x1, y}, Across::right, Down::top, 0});
      y += plan_.row_mm();
      canvas_.line({plan_.table_at, y - 0.17 * plan_.em()}, {plan_.frame.x1, y - 0.17 * plan_.em()},
                   {thin_mm, grid_colour, {}, LineEnd::butt});
    }
  }

  Canvas& canvas_;
  const Chart& chart_;
  ChartPlan plan_;
};

}  // namespace

void draw_chart(Canvas& canvas, const Chart& chart, const Box& frame) {
  Chart flat = chart;  // room is kept for one line of each
  const auto flatten = [](std::string& words) { std::ranges::replace(words, '\n', ' '); };
  for (std::string* words : {&flat.title, &flat.x.name, &flat.x.unit, &flat.y.name, &flat.y.unit}) flatten(*words);
  for (ChartSeries& s : flat.series) flatten(s.label);
  for (ChartBand& b : flat.bands) flatten(b.label);
  for (ChartNote& n : flat.notes) flatten(n.text);
  for (ChartRow& r : flat.table) flatten(r.name), flatten(r.value);
  Drawing(canvas, flat, frame);
}

}  // namespace peepwright
