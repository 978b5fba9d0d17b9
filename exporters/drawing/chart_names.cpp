// SPDX-License-Identifier: GPL-3.0-or-later
// Where a chart's names go: beside what they name, beside the lines' ends, or in the key.
#include <algorithm>
#include <cmath>

#include "exporters/drawing/chart_plan.hpp"

namespace peepwright::drawing {
namespace {

struct Stacked {
  double middle, height;  ///< wanted, and taken up
};

/// Tops of things in a column, in their order, none over another, each as near to its wanted place as the others let
/// it.
std::vector<double> stack(const std::vector<Stacked>& things, double top, double bottom) {
  // Neighbours that would overlap form a block, which stands centred on what its members want.
  struct Block {
    std::size_t first, count;
    double height, middle;
  };
  std::vector<Block> blocks;
  const auto centred = [&](Block b) {
    double offset = 0, sum = 0;
    for (std::size_t i = b.first; i < b.first + b.count; ++i) {
      sum += things[i].middle - (offset + things[i].height / 2);
      offset += things[i].height;
    }
    b.height = offset;
    b.middle = std::clamp(sum / static_cast<double>(b.count), top, bottom - offset) + offset / 2;
    return b;
  };
  for (std::size_t i = 0; i < things.size(); ++i) {
    blocks.push_back(centred({i, 1, 0, 0}));
    while (blocks.size() > 1) {
      const Block &above = blocks[blocks.size() - 2], &below = blocks.back();
      if (above.middle + above.height / 2 <= below.middle - below.height / 2) break;
      const Block merged = centred({above.first, above.count + below.count, 0, 0});
      blocks.resize(blocks.size() - 2);
      blocks.push_back(merged);
    }
  }
  std::vector<double> tops;
  for (const Block& b : blocks) {
    double y = b.middle - b.height / 2;
    for (std::size_t i = b.first; i < b.first + b.count; ++i) {
      tops.push_back(y);
      y += things[i].height;
    }
  }
  return tops;
}

}  // namespace

/// Puts every label that is not in the key yet; false where one found no room and the layout has to change.
bool ChartPlan::place_labels() {
  labels.clear();
  leaders.clear();
  const double gap = 0.55 * em(), edge = 0.35 * em();
  LabelRoom room({plot.x0 + edge, plot.y0 - 0.5 * em(), plot.x1 - edge, plot.y1 - edge}, gap);
  std::vector<std::size_t> lines, bands;
  for (const ChartSeries& s : chart_.series)
    lines.push_back(room.add(PlotShape{runs_of(s), s.line ? chart_line_mm / 2 : mark_mm}));
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
    double height;
  };
  std::vector<End> ends;
  double tall = 0;
  for (const ChartSeries& s : chart_.series) {
    if (!s.line || s.label.empty()) continue;
    const auto runs = runs_of(s);
    if (runs.empty()) return false;
    ends.push_back({&s.label, runs.back().back(), canvas_.measure(s.label, label_style()).height});
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
  const double left = plot.x1 + 1.6 * em();
  std::vector<Stacked> column;
  column.reserve(ends.size());
  for (const End& e : ends) column.push_back({e.at.y, e.height});
  const std::vector<double> tops = stack(column, top, bottom);
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const double width = canvas_.measure(*ends[i].words, label_style()).width;
    labels.push_back({*ends[i].words, {left, tops[i], left + width, tops[i] + ends[i].height}});
    leaders.push_back({ends[i].at + Point{0.3 * em(), 0}, {left - 0.3 * em(), tops[i] + ends[i].height / 2}});
    room.add(PlotShape{{leaders.back()}, 0});
  }
  return true;
}

}  // namespace peepwright::drawing
