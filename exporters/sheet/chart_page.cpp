// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/chart_page.hpp"

#include "exporters/drawing/chart.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {
namespace {

constexpr double page_width_mm = 210, page_height_mm = 148, margin_mm = 10;  // A5, landscape
constexpr double dots_per_inch = 200;

/// Gives the height where they begin.
double draw_cautions(Canvas& canvas) {
  std::string words;
  for (const std::string& caution : cautions()) words += caution + " ";
  words += "peepwright " + std::string(version());
  TextStyle style;
  style.size_mm = 2.1;
  style.wrap_mm = page_width_mm - 2 * margin_mm;
  return canvas.text(words, style, {{margin_mm, page_height_mm - margin_mm}, Across::left, Down::bottom, 0}).y0;
}

}  // namespace

ChartFiles chart_page(const std::string& title, const std::function<void(Canvas&, const Box&)>& draw) {
  Canvas canvas;
  canvas.new_page({page_width_mm, page_height_mm});
  constexpr double between_mm = 5;
  const double bottom = draw_cautions(canvas) - between_mm;
  draw(canvas, {margin_mm, margin_mm, page_width_mm - margin_mm, bottom});
  return {canvas.pdf({title, "peepwright " + std::string(version())}), canvas.svg(0), canvas.png(0, dots_per_inch)};
}

ChartFiles chart_page(const std::string& title, const Chart& chart) {
  return chart_page(title, [&](Canvas& canvas, const Box& frame) { draw_chart(canvas, chart, frame); });
}

}  // namespace peepwright
