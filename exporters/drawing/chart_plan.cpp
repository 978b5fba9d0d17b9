// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/chart_plan.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright::drawing {

ChartPlan::ChartPlan(const Canvas& canvas, const Chart& chart, const Box& frame_box)
    : frame(frame_box), canvas_(canvas), chart_(chart) {
  constexpr double share = 0.034, least_mm = 1.9,
                   most_mm = 3.2;  // of the frame's mean side; 1.9 mm reads at arm's length
  text.size_mm = std::clamp(share * std::sqrt(std::max(frame.width() * frame.height(), 0.0)), least_mm, most_mm);
  mark_mm = 0.33 * em();
  find_ranges();
  // Labels that find no room beside their line move to the key, which makes the plot smaller: again, till all have a
  // place.
  do lay_out();
  while (!place_labels());
}

void ChartPlan::no_room() const {
  throw Error(ErrorCode::input, "a chart of " + number_text(frame.width(), 0) + " by " +
                                    number_text(frame.height(), 0) +
                                    " mm has no room for its labels; make it larger or show less in it");
}

bool is_finite(ChartPoint p) { return std::isfinite(p.x) && std::isfinite(p.y); }

void ChartPlan::Range::add(double v) {
  if (!std::isfinite(v)) return;
  low = std::min(low, v);
  high = std::max(high, v);
}

void ChartPlan::Range::widen(double least_span) {
  const double more = (least_span - (high - low)) / 2;
  if (more > 0) low -= more, high += more;
}

void ChartPlan::find_ranges() {
  for (const ChartSeries& s : chart_.series)
    for (const ChartPoint& p : s.points)
      if (is_finite(p)) x_range_.add(p.x), y_range_.add(p.y);
  for (const ChartBand& b : chart_.bands)
    for (const auto& s : b.slices)
      if (std::isfinite(s.low) && std::isfinite(s.high)) x_range_.add(s.x), y_range_.add(s.low), y_range_.add(s.high);
  for (const ChartNote& n : chart_.notes)
    if (is_finite(n.at)) x_range_.add(n.at.x), y_range_.add(n.at.y);
  if (!(x_range_.low <= x_range_.high && y_range_.low <= y_range_.high))
    throw Error(ErrorCode::input, "the chart \"" + chart_.title + "\" has nothing to show");
  if (chart_.series.size() > most_chart_series)
    throw Error(ErrorCode::input, "a chart tells at most " + number_text(most_chart_series, 0) +
                                      " lines apart; this one has " +
                                      number_text(static_cast<double>(chart_.series.size()), 0));
  if (chart_.x.from_zero) x_range_.add(0);
  if (chart_.y.from_zero) y_range_.add(0);
  x_range_.widen(chart_.x.least_span);
  y_range_.widen(chart_.y.least_span);
}

TextStyle ChartPlan::wrapped(double width, int lines, bool bold) const {
  TextStyle style = text;
  style.wrap_mm = std::max(width, em());
  style.max_lines = lines;
  style.bold = bold;
  return style;
}

std::string axis_words(const ChartAxis& axis, const Ticks& ticks) {
  std::string unit = axis.unit;
  if (ticks.exponent != 0) unit = "10^" + number_text(ticks.exponent, 0) + (unit.empty() ? "" : " " + unit);
  return unit.empty() ? axis.name : axis.name + ", " + unit;
}

/// As many round ticks as have room; `room` says whether these do.
template <class Room>
Ticks ChartPlan::fitting(const Range& range, int most, const Room& room) const {
  for (int n = std::max(most, least_ticks); n >= least_ticks;) {
    Ticks ticks = round_ticks(range.low, range.high, n);
    if (room(ticks)) return ticks;
    n = static_cast<int>(ticks.at.size()) - 1;
  }
  no_room();
}

double ChartPlan::widest(const std::vector<std::string>& words) const {
  double out = 0;
  for (const std::string& w : words) out = std::max(out, canvas_.measure(w, text).width);
  return out;
}

void ChartPlan::lay_out_key() {
  key.clear();
  const double key_width = plot.x1 - frame.x0;
  double x = frame.x0, rows = 0;
  std::vector<std::string> listed;
  const auto list = [&](const std::string& words) {
    if (in_key_.contains(words) && std::ranges::find(listed, words) == listed.end()) listed.push_back(words);
  };
  for (const ChartSeries& s : chart_.series) list(s.label);
  for (const ChartBand& b : chart_.bands) list(b.label);
  for (const ChartNote& n : chart_.notes) list(n.text);
  for (const std::string& words : listed) {
    const auto long_symbol = [&](const auto& named) { return named.label == words; };
    const bool mark_only =
        std::ranges::none_of(chart_.bands, long_symbol) &&
        std::ranges::none_of(chart_.series, [&](const ChartSeries& s) { return s.line && long_symbol(s); });
    const double symbol = (mark_only ? 1 : 3.2) * em();
    const TextStyle style = wrapped(key_width - symbol - em(), 1);
    const double width = symbol + 0.5 * em() + canvas_.measure(words, style).width;
    if (rows == 0 || x + width > plot.x1) x = frame.x0, ++rows;
    key.push_back({words, {x, (rows - 1) * row_mm()}, style, symbol});
    x += width + 1.2 * em();
  }
  const double key_top = frame.y1 - rows * row_mm();
  for (KeyEntry& entry : key) entry.at.y += key_top;
}

void ChartPlan::lay_out() {
  plot = frame;
  table_at = frame.x1;
  if (!chart_.table.empty()) {
    std::vector<std::string> names, values;
    for (const ChartRow& r : chart_.table) names.push_back(r.name), values.push_back(r.value);
    constexpr double most_share = 0.45;
    value_mm = widest(values);
    const double width = std::min(widest(names) + 1.2 * em() + value_mm, most_share * frame.width());
    if (value_mm > 0.6 * width) no_room();
    table_at = frame.x1 - width;
    plot.x1 = table_at - 1.5 * em();
  }
  if (!chart_.title.empty())
    plot.y0 += canvas_.measure(chart_.title, wrapped(frame.width(), 2, true)).height + 0.4 * em();
  y_name_at = plot.y0;
  if (y_name_at + static_cast<double>(chart_.table.size()) * row_mm() > frame.y1) no_room();
  // Letters from a fallback font can stand taller than the chart's own.
  const auto line_mm = [&](const std::string& name) {
    return std::max(1.25 * em(),
                    canvas_.measure(name.empty() ? std::string("x") : name + ", mm", wrapped(frame.width(), 1)).height);
  };
  plot.y0 += line_mm(chart_.y.name) + 0.9 * em();

  lay_out_key();
  const bool has_key = !key.empty();
  x_name_at = (has_key ? key.front().at.y - 0.4 * em() : frame.y1) - line_mm(chart_.x.name);
  plot.y1 = x_name_at - 0.2 * em() - 1.25 * em() - tick_gap();
  constexpr double least_em = 5;
  if (!(plot.height() > least_em * em())) no_room();

  const double tall = plot.height();
  y_ticks = fitting(y_range_, static_cast<int>(tall / (2.8 * em())) + 1,
                    [&](const Ticks& t) { return tall / static_cast<double>(t.at.size() - 1) > 1.6 * em(); });
  plot.x0 = frame.x0 + widest(y_ticks.labels) + tick_gap();
  if (!(plot.x1 - plot.x0 > least_em * em())) no_room();
  // The outer labels stand half beside the plot.
  const bool names_at_ends = line_names_ == LineNames::at_ends;
  const double left = plot.x0, right = names_at_ends ? plot.x1 - ends_width() - 1.6 * em() : plot.x1;
  if (!(right - left > least_em * em())) {
    if (!names_at_ends) no_room();
    names_to_key();
    return lay_out();
  }
  const auto half = [&](const std::string& label) { return canvas_.measure(label, text).width / 2; };
  const auto left_of = [&](const Ticks& t) { return std::max(left, frame.x0 + half(t.labels.front())); };
  const auto right_of = [&](const Ticks& t) { return names_at_ends ? right : right - half(t.labels.back()); };
  constexpr int most_x_ticks = 13;
  x_ticks = fitting(x_range_, most_x_ticks, [&](const Ticks& t) {
    return (right_of(t) - left_of(t)) / static_cast<double>(t.at.size() - 1) > widest(t.labels) + 1.2 * em();
  });
  plot.x0 = left_of(x_ticks);
  plot.x1 = right_of(x_ticks);
}

Point ChartPlan::place(ChartPoint p) const {
  return {plot.x0 + plot.width() * (p.x - x_ticks.from) / (x_ticks.to - x_ticks.from),
          plot.y1 - plot.height() * (p.y - y_ticks.from) / (y_ticks.to - y_ticks.from)};
}

std::vector<std::vector<Point>> ChartPlan::runs_of(const ChartSeries& s) const {
  constexpr double too_near_mm = 0.05;  // more points than a printer shows cost time only
  std::vector<std::vector<Point>> runs(1);
  for (std::size_t i = 0; i < s.points.size(); ++i) {
    if (!std::isfinite(s.points[i].x) || !std::isfinite(s.points[i].y)) {
      if (!runs.back().empty()) runs.emplace_back();
      continue;
    }
    const Point p = place(s.points[i]);
    if (!s.line) {
      runs.push_back({p});
      continue;
    }
    const bool last = i + 1 == s.points.size();
    if (!last && !runs.back().empty() &&
        std::hypot(p.x - runs.back().back().x, p.y - runs.back().back().y) < too_near_mm)
      continue;
    runs.back().push_back(p);
  }
  std::erase_if(runs, [](const auto& run) { return run.empty(); });
  return runs;
}

PlotBand ChartPlan::edges_of(const ChartBand& band) const {
  PlotBand out;
  out.hatched = band.hatched;
  for (const auto& s : band.slices) {
    if (!std::isfinite(s.x) || !std::isfinite(s.low) || !std::isfinite(s.high)) continue;
    out.upper.push_back(place({s.x, s.high}));
    out.lower.push_back(place({s.x, s.low}));
  }
  return out;
}

}  // namespace peepwright::drawing
