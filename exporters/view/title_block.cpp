// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/title_block.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "exporters/drawing/label_row.hpp"

namespace peepwright::view {

std::string scale_text(double reduction) { return fmt::format("1 : {:g}", reduction); }

void TitleBlock::heading(const std::string& title, const std::vector<std::string>& labels) {
  TextStyle big = look_.style("title"), small = look_.style("field");
  big.wrap_mm = small.wrap_mm = box_.width() - 4;
  big.max_lines = small.max_lines = 1;
  const std::string second = label_row(canvas_, labels, "; ", small);
  y_ = canvas_.text(title, big, {{box_.x0 + 2, y_ + 1.4}, Across::left, Down::top, 0}).y1;
  y_ = canvas_.text(second.empty() ? "not named" : second, small, {{box_.x0 + 2, y_ + 0.2}, Across::left, Down::top, 0})
           .y1 +
       1.2;
  rule();
}

void TitleBlock::row(const std::vector<Field>& fields, std::vector<double> starts) {
  const double top = y_;
  if (starts.empty())
    for (std::size_t i = 0; i < fields.size(); ++i) starts.push_back(double(i) / double(fields.size()));
  for (std::size_t i = 0; i < fields.size(); ++i) {
    const double x = box_.x0 + box_.width() * starts[i], end = i + 1 < starts.size() ? starts[i + 1] : 1;
    TextStyle small = look_.style("kicker"), text = look_.style("field");
    small.wrap_mm = text.wrap_mm = box_.width() * (end - starts[i]) - 3;
    small.max_lines = text.max_lines = 1;
    const double below = canvas_.text(fields[i].kicker, small, {{x + 2, top + 0.8}, Across::left, Down::top, 0}).y1;
    if (!fields[i].text.empty()) canvas_.text(fields[i].text, text, {{x + 2, below}, Across::left, Down::top, 0});
    y_ = std::max(y_, below + canvas_.measure("X", text).height + 0.8);
  }
  for (std::size_t i = 1; i < fields.size(); ++i) {
    const double x = box_.x0 + box_.width() * starts[i];
    canvas_.line({x, top}, {x, y_}, look_.pen("rule"));
  }
  rule();
}

void TitleBlock::legend(const std::vector<SightRay>& rays, PaperUnits units) {
  const double width = (box_.width() - 22) / 3, y = y_ + 3;
  canvas_.text("sight lines", look_.style("kicker"), {{box_.x0 + 2, y}, Across::left, Down::middle, 0});
  for (std::size_t i = 0; i < rays.size(); ++i) {
    const double x = box_.x0 + 20 + width * double(i);
    canvas_.line({x, y}, {x + 12, y}, look_.pen(fmt::format("sight_{}", i + 1)));
    canvas_.text(distance_text(rays[i].distance_m, units), look_.style("field"),
                 {{x + 13.5, y}, Across::left, Down::middle, 0});
  }
  y_ += 6;
  rule();
}

void TitleBlock::key(const std::string& pen, const std::string& text) {
  TextStyle style = look_.style("field");
  style.wrap_mm = box_.width() - 23;
  style.max_lines = 1;
  const double height = canvas_.measure("X", style).height + 1.6;
  canvas_.line({box_.x0 + 2, y_ + height / 2}, {box_.x0 + 18, y_ + height / 2}, look_.pen(pen));
  canvas_.text(text, style, {{box_.x0 + 21, y_ + height / 2}, Across::left, Down::middle, 0});
  y_ += height;
}

void TitleBlock::line(const std::vector<std::string>& cells, const std::vector<double>& starts, bool bold) {
  TextStyle style = look_.style("table");
  style.bold = bold;
  double below = y_;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const bool right = starts[i] < 0;
    const double x = box_.x0 + 2 + (box_.width() - 4) * std::abs(starts[i]);
    if (!cells[i].empty())
      below = std::max(
          below, canvas_.text(cells[i], style, {{x, y_ + 0.5}, right ? Across::right : Across::left, Down::top, 0}).y1);
  }
  y_ = below + 0.4;
}

void TitleBlock::rule() { canvas_.line({box_.x0, y_}, {box_.x1, y_}, look_.pen("rule")); }

void TitleBlock::close() { canvas_.stroke(Path::rectangle({box_.x0, box_.y0, box_.x1, y_}), look_.pen("frame")); }

double draw_warnings(Canvas& canvas, std::vector<Warning> warnings, const Box& area) {
  const WarningLook look = warning_look();
  constexpr double largest_share = 0.5, gap = 3;
  if (warning_box(canvas, warnings, look, area.x0, area.y0, area.x1, false) > area.y0 + largest_share * area.height()) {
    for (Warning& warning : warnings) warning.why.clear();
    warnings.back().why = "The fit sheet and the report say why.";
  }
  return gap + warning_box(canvas, warnings, look, area.x0, area.y0, area.x1, true);
}

void panel_title(Canvas& canvas, const Look& look, const Box& box, const std::string& words, double reduction) {
  canvas.text(fmt::format("{}  {}", words, scale_text(reduction)), look.style("panel"),
              {{box.x0, box.y0}, Across::left, Down::top, 0});
}

void draw_scale_bar(Canvas& canvas, const Look& look, Point left, double centimetres, double reduction,
                    PaperUnits units) {
  constexpr double inches_for_a_centimetre = 0.4, mm_for_a_centimetre = 10;
  const Length length = units == PaperUnits::inches ? Length::in(inches_for_a_centimetre * centimetres)
                                                    : Length::mm(mm_for_a_centimetre * centimetres);
  const double long_mm = length.mm() / reduction, half = long_mm / 2;
  constexpr double thick = 1.2;
  canvas.fill(Path::rectangle({left.x, left.y, left.x + half, left.y + thick}), {});
  canvas.stroke(Path::rectangle({left.x, left.y, left.x + long_mm, left.y + thick}), look.pen("rule"));
  canvas.text(units == PaperUnits::inches ? both_text(length, units) : fmt::format("{:g} mm", length.mm()),
              look.style("note"), {{left.x + long_mm + 1.2, left.y + thick / 2}, Across::left, Down::middle, 0});
}

}  // namespace peepwright::view
