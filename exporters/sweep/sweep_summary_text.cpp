// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "engine/quantity/format.hpp"
#include "exporters/sweep/sweep_csv.hpp"
#include "exporters/sweep/sweep_summary.hpp"
#include "exporters/sweep/sweep_units.hpp"

namespace peepwright {
namespace {

std::string percent(std::uint64_t part, std::uint64_t whole) {
  return whole == 0 ? "none" : number_text(100 * static_cast<double>(part) / static_cast<double>(whole), 1) + " %";
}

/// "142.3 m", or "155.6 yd (142.3 m)".
std::string longest_text(double m, PaperUnits units) {
  std::string metric = number_text(m, 1) + " m";
  if (units != PaperUnits::inches) return metric;
  return number_text(m * 1000 / unit::yard_mm, 1) + " yd (" + metric + ")";
}

/// Steps count from the range's beginning, so that its end may fall between two of them.
std::string left_out_of(const SweepManifest::Axis& axis, PaperUnits units) {
  const double last = axis.from + axis.step * (static_cast<double>(axis.values) - 1);
  constexpr double rounding = 1e-6;  // of a step
  if (axis.values == 0 || !(axis.to - last > axis.step * rounding)) return {};
  return fmt::format("  {}: the last value is {}; one more step of {} would pass the range's end, {}\n", axis.key,
                     text_on(axis, last, units), text_on(axis, axis.step, units), text_on(axis, axis.to, units));
}

/// Where a design stops working: the values at which every variant clears, and at which any does.
std::string limits_of(const SweepManifest::Axis& axis, const std::map<std::int64_t, SweepGroup>& groups,
                      PaperUnits units) {
  const auto range = [&](auto holds) -> std::string {
    const SweepGroup *first = nullptr, *last = nullptr;
    bool gap = false, left = false;
    for (const auto& [number, group] : groups) {
      if (!holds(group)) {
        left = left || first;
        continue;
      }
      if (!first) first = &group;
      gap = gap || left;
      last = &group;
    }
    if (!first) return "nowhere";
    return fmt::format("{} to {}{}", text_on(axis, first->key_value(), units), text_on(axis, last->key_value(), units),
                       gap ? ", with gaps" : "");
  };
  return fmt::format("  {}: all clear {}; some clear {}\n", axis.key,
                     range([](const SweepGroup& g) { return g.clear == g.tried; }),
                     range([](const SweepGroup& g) { return g.clear > 0; }));
}

}  // namespace

std::string summary_text(const SweepSummary& s, PaperUnits units) {
  const auto length = [&](double mm) { return both_text(Length::mm(mm), units); };
  std::string out = fmt::format("SWEEP  {} variants", s.rows);
  if (!s.manifest.population.empty()) out += ", faces " + s.manifest.population;
  if (s.manifest.parts > 1) out += fmt::format(", part {} of {}", s.manifest.part, s.manifest.parts);
  out += fmt::format("\nClear:   {} ({} of {})\n", percent(s.clear, s.rows), s.clear, s.rows);
  if (s.solved < s.rows) {
    out += fmt::format("Cannot be: {} of {}, for example:\n", s.rows - s.solved, s.rows);
    for (const auto& [problem, count] : s.problems) out += fmt::format("  {} x {}\n", count, problem);
  }
  if (s.solved == 0) return out;
  const auto line = [&](std::string_view name, const Extent& e, auto text) {
    out += fmt::format("{:<9}{} to {}, mean {} (variants {}, {})\n", name, text(e.least), text(e.most), text(e.mean()),
                       e.least_at, e.most_at);
  };
  line("Mark:", s.mark, length);
  line("Height:", s.height, length);
  line("Longest:", s.longest, [&](double m) { return longest_text(m, units); });
  const auto fine = [&](double mm) { return fine_text(mm, units); };
  line("Forward:", s.forward, fine);
  line("Up:", s.up, fine);
  out += "Clearances on solids, least to most, and how many variants miss what is wanted:\n";
  for (std::size_t i = 0; i < clearance_names.size(); ++i) {
    const auto& c = s.clearances[i];
    const auto ends = [&](int width, double least, double most, int digits) {
      return fmt::format("{:>{}} to {:>{}}", number_text(least, digits), width, number_text(most, digits), width);
    };
    constexpr int column = 8;
    const std::string gap =
        units == PaperUnits::inches
            ? fmt::format("{} in ({} mm)", ends(column, Length::mm(c.gap.least).in(), Length::mm(c.gap.most).in(), 3),
                          ends(0, c.gap.least, c.gap.most, 2))
            : ends(column, c.gap.least, c.gap.most, 2) + " mm";
    out +=
        fmt::format("  {:<20}{}   {} missed (least: variant {})\n", clearance_names[i], gap, c.not_met, c.gap.least_at);
  }
  if (s.worst_count > 0)
    out += fmt::format("Worst:   variant {} misses {} of {}\n", s.worst_at, s.worst_count, clearance_names.size());
  if (!s.manifest.axes.empty()) out += "Limits:\n";
  for (std::size_t k = 0; k < s.manifest.axes.size(); ++k) out += limits_of(s.manifest.axes[k], s.by_axis[k], units);
  if (s.manifest.latin_points == 0)
    for (const auto& axis : s.manifest.axes) out += left_out_of(axis, units);
  return out;
}

std::string summary_json(const SweepSummary& s) {
  using Json = nlohmann::ordered_json;
  const auto extent = [](const Extent& e) -> Json {
    if (e.count == 0) return nullptr;
    return {{"least", e.least}, {"least_at", e.least_at}, {"mean", e.mean()}, {"most", e.most}, {"most_at", e.most_at}};
  };
  Json clearances = Json::array(), axes = Json::array(), problems = Json::array();
  for (std::size_t i = 0; i < clearance_names.size(); ++i)
    clearances.push_back(
        {{"name", clearance_names[i]}, {"gap_mm", extent(s.clearances[i].gap)}, {"not_met", s.clearances[i].not_met}});
  for (std::size_t k = 0; k < s.manifest.axes.size(); ++k) {
    Json values = Json::array();
    for (const auto& [number, g] : s.by_axis[k])
      values.push_back({{"value", g.key_value()},
                        {"variants", g.tried},
                        {"clear", g.clear},
                        {"mark_mm", extent(g.mark)},
                        {"mark_uncertainty_mm", extent(g.uncertainty)},
                        {"longest_m", extent(g.longest)}});
    axes.push_back({{"key", s.manifest.axes[k].key}, {"unit", s.manifest.axes[k].unit}, {"values", values}});
  }
  for (const auto& [problem, count] : s.problems) problems.push_back({{"problem", problem}, {"variants", count}});
  const Json out{{"schema", "peepwright-sweep-summary-1"},
                 {"version", s.manifest.version},
                 {"fingerprint", s.manifest.fingerprint},
                 {"variants", s.rows},
                 {"solved", s.solved},
                 {"clear", s.clear},
                 {"mark_mm", extent(s.mark)},
                 {"peep_height_mm", extent(s.height)},
                 {"longest_m", extent(s.longest)},
                 {"head_forward_mm", extent(s.forward)},
                 {"head_up_mm", extent(s.up)},
                 {"clearances", clearances},
                 {"worst", {{"variant", s.worst_at}, {"not_met", s.worst_count}}},
                 {"by_key", axes},
                 {"problems", problems}};
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace peepwright
