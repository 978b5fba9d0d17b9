// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/draw_chart.hpp"

#include "exporters/report/report.hpp"

namespace peepwright {
namespace {

Chart chart_of(const DrawReport& report, PaperUnits units) {
  const bool inches = units == PaperUnits::inches;
  const FullDraw& bow = report.bow;
  const auto length = [&](double mm) { return inches ? Length::mm(mm).in() : mm; };
  const auto draw = [&](double to_pivot_mm) { return length(report.spec.from_pivot(Length::mm(to_pivot_mm)).mm()); };
  const auto force = [&](double n) { return inches ? Force::n(n).lbf() : n; };
  const std::string force_unit = inches ? "lbf" : "N", length_unit = inches ? "in" : "mm";
  const auto force_words = [&](double n) { return number_text(force(n), 1) + " " + force_unit; };
  const auto length_words = [&](double mm) { return number_text(length(mm), inches ? 2 : 1) + " " + length_unit; };
  const auto angle_words = [](double rad) { return number_text(degrees(rad), 1) + "°"; };
  const double joules = bow.full_draw.stored_j;
  const std::string energy = inches ? number_text(joules * 1000 / (unit::pound_force_n * unit::foot_mm), 1) + " ft lbf"
                                    : number_text(joules, 1) + " J";

  Chart chart;
  chart.title = report.spec.bow_label.empty() ? "Draw-force curve" : "Draw-force curve, " + report.spec.bow_label;
  chart.x = {report.spec.draw_length_includes_offset ? "draw (to the pivot plus 1 3/4 in)" : "draw (to the pivot)",
             length_unit};
  chart.y = {"draw force", force_unit, true};
  ChartSeries curve;
  ChartBand stored{"stored energy " + energy, {}, false};
  for (const ElasticState& s : report.table) {
    curve.points.push_back({draw(s.draw_mm), force(s.force_n)});
    stored.slices.push_back({draw(s.draw_mm), 0, force(s.force_n)});
  }
  chart.series.push_back(curve);
  chart.bands.push_back(stored);
  if (!report.spec.force_draw.empty()) {
    ChartSeries readings{"measured", {}, false};
    for (const ForceReading& r : report.spec.force_draw)
      readings.points.push_back({length(r.draw.mm()), force(r.force.n())});
    chart.series.push_back(readings);
  }
  if (report.read) {
    const double n = report.read->peak.force.n();
    chart.notes.push_back({{length(report.read->peak.draw.mm()), force(n)}, "peak read " + force_words(n)});
  } else {
    chart.notes.push_back({{draw(bow.peak.draw_mm), force(bow.peak.force_n)}, "peak " + force_words(bow.peak.force_n)});
  }
  if (report.read && report.read->holding_n) {
    const double n = *report.read->holding_n;
    chart.notes.push_back(
        {{length(report.spec.force_draw.back().draw.mm()), force(n)}, "holding read " + force_words(n)});
  } else {
    chart.notes.push_back(
        {{draw(bow.full_draw.draw_mm), force(bow.holding_n())}, "holding " + force_words(bow.holding_n())});
  }
  const HalfState& full = bow.full_draw.upper;
  chart.table = {{"let-off", number_text(100 * bow.let_off(), 1) + " %"},
                 {"string angle", angle_words(bow.included_angle_rad())},
                 {"give or take", angle_words(4 * report.leg_deviation_rad)},  // k = 2, and both legs
                 {"closing", length_words(bow.closing_mm())},
                 {"axle set-back", length_words(full.axle_behind_pivot_mm)},
                 {"take-off radius", length_words(full.take_off_radius_mm)},
                 {"cam turn", number_text(degrees(full.turn_rad), 0) + "°"},
                 {"string at rest", force_words(bow.rest().upper.string_n)},
                 {"string drawn", force_words(full.string_n)},
                 {"cable at rest", force_words(bow.rest().upper.cable_n)},
                 {"cable drawn", force_words(full.cable_n)}};
  return chart;
}

}  // namespace

Canvas draw_force_chart(const DrawReport& report, PaperUnits units) { return chart_page(chart_of(report, units)); }

}  // namespace peepwright
