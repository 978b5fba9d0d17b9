// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/sweep_charts.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "engine/spec/key.hpp"
#include "exporters/sheet/heat_map.hpp"
#include "exporters/sweep/sweep_units.hpp"

namespace peepwright {
namespace {

/// Less than this is no change that anybody could tie, or shoot: noise, which an axis must not blow up.
constexpr double telling_mm = 1, telling_m = 1;

/// Values as `units` has them, and what these are called.
struct Scale {
  PaperUnits units;
  [[nodiscard]] double operator()(double value, std::string_view unit) const {
    return shown_in(value, unit, units).value;
  }
  [[nodiscard]] double operator()(double value, const SweepManifest::Axis& axis) const {
    return shown_on(axis, value, units).value;
  }
  [[nodiscard]] ChartAxis axis(std::string name, std::string_view unit, double least_span = 0) const {
    const ShownQuantity least = shown_in(least_span, unit, units);
    return {std::move(name), least.unit, false, least.value};
  }
  [[nodiscard]] ChartAxis axis(const SweepManifest::Axis& of) const;
};

std::string last_part(const std::string& key) { return key.substr(key.rfind('.') + 1); }

constexpr std::string_view mark_name = "sweep-mark-", clear_name = "sweep-clear-", longest_name = "sweep-longest",
                           map_name = "sweep-map";

/// "bow.axle_to_axle" as a file's name may have it.
std::string file_part(std::string key) {
  std::ranges::replace(key, '.', '-');
  std::ranges::replace(key, '_', '-');
  return key;
}

std::string words(const std::string& key) {
  std::string out = last_part(key);
  std::ranges::replace(out, '_', ' ');
  return out;
}

ChartAxis Scale::axis(const SweepManifest::Axis& of) const {
  return {words(of.key), shown_on(of, 0, units).unit, false};
}

std::string with_bow(std::string title, const SweepSummary& s) {
  if (!s.manifest.population.empty()) title += ", faces " + s.manifest.population;
  return s.manifest.bow_label.empty() ? title : title + ", " + s.manifest.bow_label;
}

std::vector<ChartRow> rows_of(const SweepSummary& s) {
  return {{"variants", fmt::format("{}", s.rows)},
          {"clear", number_text(100 * static_cast<double>(s.clear) / static_cast<double>(s.rows), 1) + " %"}};
}

Chart mark_chart(const SweepSummary& s, std::size_t k, Scale scale) {
  const auto& axis = s.manifest.axes[k];
  Chart chart;
  chart.title = with_bow("Peep mark against " + words(axis.key), s);
  chart.x = scale.axis(axis);
  chart.y = scale.axis("mark at rest", "mm", telling_mm);
  ChartSeries mean{"mean", {}, true};
  ChartBand all{"least to most of all variants", {}, false}, sure{"give or take (k = 2)", {}, true};
  for (const auto& [number, g] : s.by_axis[k]) {
    if (g.mark.count == 0) continue;
    const double x = scale(g.key_value(), axis);
    mean.points.push_back({x, scale(g.mark.mean(), "mm")});
    all.slices.push_back({x, scale(g.mark.least, "mm"), scale(g.mark.most, "mm")});
    if (g.uncertainty.count > 0)
      sure.slices.push_back(
          {x, scale(g.mark.mean() - g.uncertainty.mean(), "mm"), scale(g.mark.mean() + g.uncertainty.mean(), "mm")});
  }
  const bool spread = std::ranges::any_of(all.slices, [](const auto& slice) { return slice.high > slice.low; });
  if (spread) chart.bands.push_back(all);
  if (!sure.slices.empty()) chart.bands.push_back(sure);
  if (!spread) mean.label = "mark";
  chart.series.push_back(mean);
  chart.table = rows_of(s);
  if (s.mark.most - s.mark.least < telling_mm) chart.table.push_back({"mark", "hardly changes"});
  return chart;
}

Chart clear_chart(const SweepSummary& s, std::size_t k, Scale scale) {
  const auto& axis = s.manifest.axes[k];
  Chart chart;
  chart.title = with_bow(fmt::format("Share of {} that fit, against {}",
                                     s.manifest.population.empty() ? "variants" : "faces", words(axis.key)),
                         s);
  chart.x = scale.axis(axis);
  chart.y = {"every clearance as wanted", "%", true};
  ChartSeries share{"clear", {}, true};
  for (const auto& [number, g] : s.by_axis[k])
    share.points.push_back({scale(g.key_value(), axis), 100 * g.share_clear()});
  chart.series.push_back(share);
  chart.table = rows_of(s);
  return chart;
}

Chart longest_chart(const SweepSummary& s, Scale scale) {
  Chart chart;
  chart.title = with_bow("Longest distance against peep height", s);
  chart.x = scale.axis("peep above the arrow at full draw", "mm");
  chart.y = scale.axis("longest distance", "m", telling_m);
  ChartSeries mean{"mean", {}, true};
  ChartBand all{"least to most", {}, false};
  for (const auto& [height, e] : s.longest_by_height) {
    const double x = scale(static_cast<double>(height), "mm");
    mean.points.push_back({x, scale(e.mean(), "m")});
    all.slices.push_back({x, scale(e.least, "m"), scale(e.most, "m")});
  }
  chart.bands.push_back(all);
  chart.series.push_back(mean);
  chart.table = rows_of(s);
  return chart;
}

HeatMap mark_map(const SweepSummary& s, Scale scale) {
  const auto &first = s.manifest.axes[0], &second = s.manifest.axes[1];
  HeatMap map;
  map.title = with_bow(fmt::format("Peep mark over {} and {}", words(first.key), words(second.key)), s);
  map.x = scale.axis(first);
  map.y = scale.axis(second);
  map.value = scale.axis("mean mark", "mm", telling_mm);
  map.hatch_means = "less than half of the variants clear";
  if (scale.units == PaperUnits::inches) map.digits = 2;
  for (const auto& [number, g] : s.by_axis[0]) map.xs.push_back(scale(g.key_value(), first));
  for (const auto& [row, of_row] : s.by_axis[1]) {
    map.ys.push_back(scale(of_row.key_value(), second));
    for (const auto& [column, of_column] : s.by_axis[0]) {
      const auto found = s.by_two.find({column, row});
      HeatMap::Cell cell{no_value, false};
      if (found != s.by_two.end()) {
        const SweepGroup& g = found->second;
        if (g.mark.count > 0) cell.value = scale(g.mark.mean(), "mm");
        cell.hatched = 2 * g.clear < g.tried;
      }
      map.cells.push_back(cell);
    }
  }
  return map;
}

}  // namespace

std::vector<NamedChart> sweep_charts(const SweepSummary& s, PaperUnits units) {
  const Scale scale{units};
  std::vector<NamedChart> out;
  if (s.solved == 0) return out;
  const auto add = [&](std::string name, const Chart& chart) {
    if (chart.series.front().points.size() >= 2) out.push_back({std::move(name), chart.title, chart_page(chart)});
  };
  for (std::size_t k = 0; k < s.manifest.axes.size(); ++k) {
    const std::string part = file_part(s.manifest.axes[k].key);
    add(std::string(mark_name) + part, mark_chart(s, k, scale));
    add(std::string(clear_name) + part, clear_chart(s, k, scale));
  }
  add(std::string(longest_name), longest_chart(s, scale));
  if (s.manifest.axes.size() == 2 && s.by_axis[0].size() >= 2 && s.by_axis[1].size() >= 2) {
    const HeatMap map = mark_map(s, scale);
    out.push_back({std::string(map_name), map.title,
                   chart_page([&](Canvas& canvas, const Box& frame) { draw_heat_map(canvas, map, frame); })});
  }
  return out;
}

bool is_sweep_chart(std::string_view name) {
  if (name == longest_name || name == map_name) return true;
  const auto of_a_key = [&](std::string_view kind) {
    return name.starts_with(kind) && std::ranges::any_of(all_keys(), [&](const KeyInfo& row) {
             return row.absence != Absence::hidden && name.substr(kind.size()) == file_part(std::string(row.path));
           });
  };
  return of_a_key(mark_name) || of_a_key(clear_name);
}

}  // namespace peepwright
