// SPDX-License-Identifier: GPL-3.0-or-later
// Charts for tests: smooth families of lines, readings, bands and labelled points, of any count and size.
#pragma once

#include <cmath>
#include <string>

#include "exporters/drawing/chart.hpp"

namespace peepwright::test {

struct ChartSample {
  int lines = 1;
  bool readings = false;
  bool hatched = false, area = false;
  int notes = 0;
  int rows = 0;
  double x_from = 0, x_to = 100, y_scale = 60, y_offset = 0;
  double apart = 0.1;  ///< of the scale, from line to line
  double phase = 0;
};

inline Chart chart_sample(const ChartSample& s) {
  Chart chart;
  chart.title = "Peep height against draw length";
  chart.x = {"draw length", "mm"};
  chart.y = {"height", "mm"};
  constexpr int points = 60;
  const auto x = [&](double t) { return s.x_from + t * (s.x_to - s.x_from); };
  const auto y = [&](double t, int line) {
    return s.y_offset + s.y_scale * (0.5 + 0.4 * std::sin(4 * t + s.phase + 0.15 * line) + s.apart * line);
  };
  for (int k = 0; k < s.lines; ++k) {
    ChartSeries series{"axle " + std::string(1, static_cast<char>('A' + k)) + ", 33 in", {}, true};
    for (int i = 0; i <= points; ++i) series.points.push_back({x(i / double(points)), y(i / double(points), k)});
    chart.series.push_back(series);
  }
  if (s.readings) {
    ChartSeries series{"measured", {}, false};
    for (int i = 0; i <= 12; ++i)
      series.points.push_back({x(i / 12.0), y(i / 12.0, 0) + 0.02 * s.y_scale * std::sin(5.0 * i)});
    chart.series.push_back(series);
  }
  for (const bool hatched : {true, false}) {
    if (!(hatched ? s.hatched : s.area)) continue;
    ChartBand band{hatched ? "k = 2" : "stored energy 81.9 J", {}, hatched};
    for (int i = 0; i <= points; ++i) {
      const double at = y(i / double(points), 0), low = hatched ? at - 0.08 * s.y_scale : s.y_offset;
      band.slices.push_back(
          {x(i / double(points)), std::min(at, low), hatched ? at + 0.08 * s.y_scale : std::max(at, low)});
    }
    chart.bands.push_back(band);
  }
  for (int k = 0; k < s.notes; ++k) {
    const double t = s.notes == 1 ? 1 : k / double(s.notes - 1);
    chart.notes.push_back({{x(t), y(t, 0)}, "point " + std::string(1, static_cast<char>('1' + k % 9)) + ", 56.0 lbf"});
  }
  for (int k = 0; k < s.rows; ++k)
    chart.table.push_back({k % 2 == 0 ? "take-off radius" : "let-off", k % 3 == 0 ? "60.5 mm" : "75.0 %"});
  return chart;
}

}  // namespace peepwright::test
