// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/chart_plan.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright::drawing {

ChartPlan::ChartPlan(const Canvas& canvas, const Chart& chart, const Box& frame_box)
    : frame(frame_box), canvas_(canvas), chart_(chart) {
  constexpr double share = 0.034, least_mm = 1.9, most_mm = 3.2;  // of the frame's mean side; 1.9 mm reads at arm's length
  text.size_mm = std::clamp(share * std::sqrt(std::max(frame.width() * frame.height(), 0.0)), least_mm, most_mm);
  mark_mm = 0.33 * em();
  find_ranges();
  // Labels that find no room beside their line move to the key, which makes the plot smaller: again, till all have a place.
  do lay_out();
  while (!place_labels());
}

void ChartPlan::no_room() const {
  throw Error(ErrorCode::input, "a chart of " + number_text(frame.width(), 0) + " by " + number_text(frame.height(), 0) +
                                    " mm has no room for its labels; make it larger or show less in it");
}

bool is_finite(ChartPoint p) { return std::isfinite(p.x) && std::isfinite(p.y); }

void ChartPlan::Range::add(double v) {
  if (!std::isfinite(v)) return;
  low = std::min(low, v);
  high = std::max(high, v);
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
    throw Error(ErrorCode::input, "a chart tells at most " + number_text(most_chart_series, 0) + " lines apart; this one has " +
                                      number_text(static_cast<double>(chart_.series.size()), 0));
  if (chart_.x.from_zero) x_range_.add(0);
  if (chart_.y.from_zero) y_range_.add(0);
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
    const bool mark_only = std::ranges::none_of(chart_.bands, long_symbol) &&
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
    return std::max(1.25 * em(), canvas_.measure(name.empty() ? std::string("x") : name + ", mm", wrapped(frame.width(), 1)).height);
  };
  plot.y0 += line_mm(chart_.y.name) + 0.9 * em();

  lay_out_key();
  const bool has_key = !key.empty();
  x_name_at = (has_key ? key.front().at.y - 0.4 * em() : frame.y1) - line_mm(chart_.x.name);
  plot.y1 = x_name_at - 0.2 * em() - 1.25 * em() - tick_gap();
  constexpr double least_em = 5;
  if (!(plot.height() > least_em * em())) no_room();

  const double tall = plot.height();
  y_ticks = fitting(y_range_, static_cast<int>(tall / (2.8 * em())) + 1, [&](const Ticks& t) {
    return tall / static_cast<double>(t.at.size() - 1) > 1.6 * em();
  });
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
    if (!last && !runs.back().empty() && std::hypot(p.x - runs.back().back().x, p.y - runs.back().back().y) < too_near_mm) continue;
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

/// Puts every label that is not in the key yet; false where one found no room and the layout has to change.
bool ChartPlan::place_labels() {
  labels.clear();
  leaders.clear();
  const double gap = 0.55 * em(), edge = 0.35 * em();
  LabelRoom room({plot.x0 + edge, plot.y0 - 0.5 * em(), plot.x1 - edge, plot.y1 - edge}, gap);
  std::vector<std::size_t> lines, bands;
  for (const ChartSeries& s : chart_.series) lines.push_back(room.add(PlotShape{runs_of(s), s.line ? chart_line_mm / 2 : mark_mm}));
  for (const ChartBand& b : chart_.bands) bands.push_back(room.add(edges_of(b)));
  for (const ChartNote& n : chart_.notes)
    if (is_finite(n.at)) room.add(PlotShape{{{place(n.at)}}, mark_mm});

  bool all = true;
  const auto settle = [&](const std::string& words, const std::optional<Box>& box) {
    if (!box) {
      in_key_.insert(words);
      all = false;
      return;
    }
    labels.push_back({words, *box});
    room.take(*box);
  };
  const auto wanted = [&](const std::string& words) { return !words.empty() && !in_key_.contains(words); };
  for (const ChartNote& n : chart_.notes) {
    if (!is_finite(n.at) || !wanted(n.text)) continue;
    const auto found = room.around(place(n.at), canvas_.measure(n.text, label_style()));
    settle(n.text, found ? std::optional(found->box) : std::nullopt);
    if (found && found->leader_from) {
      leaders.push_back({place(n.at), *found->leader_from});
      room.add(PlotShape{{leaders.back()}, 0});
    }
  }
  all = name_lines(room, lines) && all;
  for (std::size_t i = 0; i < lines.size(); ++i)
    if (const ChartSeries& s = chart_.series[i]; !s.line && wanted(s.label))
      settle(s.label, room.beside(lines[i], canvas_.measure(s.label, label_style())));
  for (std::size_t i = 0; i < bands.size(); ++i) {
    const ChartBand& band = chart_.bands[i];
    if (!wanted(band.label)) continue;
    const TextSize size = canvas_.measure(band.label, label_style());
    if (!band.hatched) {
      settle(band.label, room.within(bands[i], size));
      continue;
    }
    const PlotBand edges = edges_of(band);
    settle(band.label, room.beside(room.add(PlotShape{{edges.upper, edges.lower}, 0}), size));
  }
  return all;
}

/// Names all lines in one way: one in the key and another beside its line would be read twice.
bool ChartPlan::name_lines(LabelRoom& room, const std::vector<std::size_t>& shapes) {
  if (line_names_ == LineNames::in_key) return true;
  if (line_names_ == LineNames::at_ends) {
    if (name_ends(room)) return true;
    names_to_key();
    return false;
  }
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const ChartSeries& s = chart_.series[i];
    if (!s.line || s.label.empty()) continue;
    const auto box = room.beside(shapes[i], canvas_.measure(s.label, label_style()));
    if (!box) {
      line_names_ = LineNames::at_ends;
      return false;
    }
    labels.push_back({s.label, *box});
    room.take(*box);
  }
  return true;
}

void ChartPlan::names_to_key() {
  line_names_ = LineNames::in_key;
  for (const ChartSeries& s : chart_.series)
    if (s.line && !s.label.empty()) in_key_.insert(s.label);
}

double ChartPlan::ends_width() const {
  double out = 0;
  for (const ChartSeries& s : chart_.series)
    if (s.line) out = std::max(out, canvas_.measure(s.label, label_style()).width);
  return out;
}

/// Names in a column right of the plot, each as near to its line's end as the others let it.
bool ChartPlan::name_ends(LabelRoom& room) {
  struct End {
    const std::string* words;
    Point at;
    double height, middle;
  };
  std::vector<End> ends;
  double tall = 0;
  for (const ChartSeries& s : chart_.series) {
    if (!s.line || s.label.empty()) continue;
    const auto runs = runs_of(s);
    if (runs.empty()) return false;
    ends.push_back({&s.label, runs.back().back(), canvas_.measure(s.label, label_style()).height, runs.back().back().y});
    tall += ends.back().height;
    constexpr double most_short = 0.15;  // of the plot: a longer leader would cross other lines
    if (ends.back().at.x < plot.x1 - most_short * plot.width()) return false;
  }
  const double top = plot.y0 - 0.5 * em(), bottom = plot.y1 + 0.5 * em();
  constexpr double most_share = 0.3;
  if (tall > bottom - top || ends_width() > most_share * frame.width()) return false;
  std::ranges::stable_sort(ends, {}, [](const End& e) { return e.at.y; });
  for (std::size_t i = 1; i < ends.size(); ++i)  // lines that end in one point have no order to be told by
    if (ends[i].at.y - ends[i - 1].at.y < chart_line_mm) return false;
  // Neighbours that would overlap form a block, which stands centred on what its members want.
  struct Block {
    std::size_t first, count;
    double height, middle;
  };
  std::vector<Block> blocks;
  const auto centred = [&](Block b) {
    double offset = 0, sum = 0;
    for (std::size_t i = b.first; i < b.first + b.count; ++i) {
      sum += ends[i].middle - (offset + ends[i].height / 2);
      offset += ends[i].height;
    }
    b.height = offset;
    b.middle = std::clamp(sum / static_cast<double>(b.count), top, bottom - offset) + offset / 2;
    return b;
  };
  for (std::size_t i = 0; i < ends.size(); ++i) {
    blocks.push_back(centred({i, 1, 0, 0}));
    while (blocks.size() > 1) {
      const Block &above = blocks[blocks.size() - 2], &below = blocks.back();
      if (above.middle + above.height / 2 <= below.middle - below.height / 2) break;
      const Block merged = centred({above.first, above.count + below.count, 0, 0});
      blocks.resize(blocks.size() - 2);
      blocks.push_back(merged);
    }
  }
  const double left = plot.x1 + 1.6 * em();
  for (const Block& b : blocks) {
    double y = b.middle - b.height / 2;
    for (std::size_t i = b.first; i < b.first + b.count; ++i) {
      const double width = canvas_.measure(*ends[i].words, label_style()).width;
      labels.push_back({*ends[i].words, {left, y, left + width, y + ends[i].height}});
      leaders.push_back({ends[i].at + Point{0.3 * em(), 0}, {left - 0.3 * em(), y + ends[i].height / 2}});
      room.add(PlotShape{{leaders.back()}, 0});
      y += ends[i].height;
    }
  }
  return true;
}

}  // namespace peepwright::drawing
