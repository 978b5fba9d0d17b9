// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/chart_page.hpp"

#include "exporters/report/report.hpp"

namespace peepwright {
namespace {

constexpr double page_width_mm = 210, page_height_mm = 148, margin_mm = 10;  // A5, landscape

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

Canvas chart_page(const std::function<void(Canvas&, const Box&)>& draw) {
  Canvas canvas;
  canvas.new_page({page_width_mm, page_height_mm});
  constexpr double between_mm = 5;
  const double bottom = draw_cautions(canvas) - between_mm;
  draw(canvas, {margin_mm, margin_mm, page_width_mm - margin_mm, bottom});
  return canvas;
}

Canvas chart_page(const Chart& chart) {
  return chart_page([&](Canvas& canvas, const Box& frame) { draw_chart(canvas, chart, frame); });
}

}  // namespace peepwright
