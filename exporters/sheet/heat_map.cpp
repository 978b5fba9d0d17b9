// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/heat_map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

constexpr double text_mm = 2.6, title_mm = 3.8;

std::string named(const ChartAxis& axis) { return axis.unit.empty() ? axis.name : axis.name + ", " + axis.unit; }

TextStyle sized(double size_mm) {
  TextStyle style;
  style.size_mm = size_mm;
  return style;
}

/// Light enough to write on in black: a contrast of 5 : 1 at the darkest.
double grey_of(double share) { return 0.93 - 0.43 * share; }

/// Every which one of `count` labels may stand when each takes `need` of `room`.
std::size_t every(std::size_t count, double need, double room) {
  std::size_t step = 1;
  while (static_cast<double>(count) / static_cast<double>(step) * need > room) ++step;
  return step;
}

}  // namespace

void draw_heat_map(Canvas& canvas, const HeatMap& map, const Box& frame) {
  double low = 0, high = 0;
  bool any = false;
  for (const auto& cell : map.cells)
    if (std::isfinite(cell.value)) {
      low = any ? std::min(low, cell.value) : cell.value;
      high = any ? std::max(high, cell.value) : cell.value;
      any = true;
    }
  if (!any || map.cells.size() != map.xs.size() * map.ys.size())
    throw Error(ErrorCode::input, map.title + ": has no numbers to show");
  // Noise must not look like a trend.
  const bool flat = high - low < map.value.least_span || !(high > low);
  const auto share_of = [&](double v) { return flat ? 0.0 : (v - low) / (high - low); };

  TextStyle heading = sized(title_mm);
  heading.bold = true;
  canvas.text(map.title, heading, {{frame.x0, frame.y0}, Across::left, Down::top, 0});
  const Box field{frame.x0 + 20, frame.y0 + 8, frame.x1, frame.y1 - 18};
  const double wide = field.width() / static_cast<double>(map.xs.size()),
               high_mm = field.height() / static_cast<double>(map.ys.size());
  const bool numbers = wide > 9 && high_mm > 3.2;
  for (std::size_t row = 0; row < map.ys.size(); ++row)
    for (std::size_t column = 0; column < map.xs.size(); ++column) {
      const auto& cell = map.cells[row * map.xs.size() + column];
      const double x = field.x0 + wide * static_cast<double>(column),
                   y = field.y1 - high_mm * static_cast<double>(row + 1);
      const Box box{x, y, x + wide, y + high_mm};
      // A hair over the next cell, or smoothing leaves a seam.
      constexpr double hair_mm = 0.03;
      if (std::isfinite(cell.value))
        canvas.fill(Path::rectangle({box.x0, box.y0 - hair_mm, box.x1 + hair_mm, box.y1}),
                    Colour::grey(grey_of(share_of(cell.value))));
      if (cell.hatched) canvas.hatch(Path::rectangle(box), {1.6, 45, {0.12, {}, {}, {}}});
      if (!numbers || !std::isfinite(cell.value)) continue;
      const std::string number = number_text(cell.value, map.digits);
      const TextPlace middle{{(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2}, Across::centre, Down::middle, 0};
      // The hatching keeps clear of the number.
      if (cell.hatched)
        canvas.fill(Path::rectangle(canvas.text_box(number, sized(text_mm), middle)),
                    Colour::grey(grey_of(share_of(cell.value))));
      canvas.text(number, sized(text_mm), middle);
    }
  canvas.stroke(Path::rectangle(field), {});

  const std::size_t x_step = every(map.xs.size(), 12, field.width()), y_step = every(map.ys.size(), 4, field.height());
  for (std::size_t i = 0; i < map.xs.size(); i += x_step)
    canvas.text(fmt::format("{:.5g}", map.xs[i]), sized(text_mm),
                {{field.x0 + wide * (static_cast<double>(i) + 0.5), field.y1 + 1}, Across::centre, Down::top, 0});
  for (std::size_t i = 0; i < map.ys.size(); i += y_step)
    canvas.text(fmt::format("{:.5g}", map.ys[i]), sized(text_mm),
                {{field.x0 - 1, field.y1 - high_mm * (static_cast<double>(i) + 0.5)}, Across::right, Down::middle, 0});
  canvas.text(named(map.x), sized(text_mm), {{(field.x0 + field.x1) / 2, field.y1 + 5}, Across::centre, Down::top, 0});
  canvas.text(named(map.y), sized(text_mm), {{frame.x0 + 6, (field.y0 + field.y1) / 2}, Across::centre, Down::top, 90});

  const int steps = flat ? 1 : 5;
  double x = field.x0;
  const double y = frame.y1 - 5;
  for (int i = 0; i < steps; ++i) {
    const double share = flat ? 0 : static_cast<double>(i) / (steps - 1);
    canvas.fill(Path::rectangle({x, y, x + 6, y + 4}), Colour::grey(grey_of(share)));
    x = canvas
            .text(number_text(flat ? (low + high) / 2 : low + share * (high - low), map.digits), sized(text_mm),
                  {{x + 7, y + 2}, Across::left, Down::middle, 0})
            .x1 +
        4;
  }
  std::string means = named(map.value);
  if (flat) means += ": hardly changes";
  x = canvas.text(means, sized(text_mm), {{x, y + 2}, Across::left, Down::middle, 0}).x1 + 6;
  if (std::ranges::none_of(map.cells, &HeatMap::Cell::hatched)) return;
  canvas.hatch(Path::rectangle({x, y, x + 6, y + 4}), {1.6, 45, {0.12, {}, {}, {}}});
  canvas.text(map.hatch_means, sized(text_mm), {{x + 7, y + 2}, Across::left, Down::middle, 0});
}

}  // namespace peepwright
