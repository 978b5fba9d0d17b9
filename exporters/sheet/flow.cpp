// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/flow.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright::sheet {

TextStyle Flow::sized(std::string_view style, double wrap_mm) const {
  TextStyle look = view::drawing_look().style(style);
  look.size_mm *= size_;
  look.wrap_mm = wrap_mm;
  return look;
}

Box Flow::put(const std::string& text, const TextStyle& style, const TextPlace& place) {
  return draw_ ? canvas_.text(text, style, place) : canvas_.text_box(text, style, place);
}

void Flow::heading(const std::string& text) {
  if (y_ > box_.y0) gap(2.2);
  y_ = put(text, sized("heading", box_.width()), {{box_.x0, y_}, Across::left, Down::top, 0}).y1 + 0.4 * size_;
}

void Flow::text(const std::string& text, std::string_view style) {
  if (!text.empty()) y_ = put(text, sized(style, box_.width()), {{box_.x0, y_}, Across::left, Down::top, 0}).y1;
}

void Flow::list(const std::vector<std::string>& texts, bool numbered, std::string_view style) {
  const double indent = 4 * size_;
  int number = 0;
  for (const std::string& text : texts) {
    if (draw_)
      put(numbered ? number_text(++number, 0) : "•", sized(style, 0), {{box_.x0, y_}, Across::left, Down::top, 0});
    y_ = put(text, sized(style, box_.width() - indent), {{box_.x0 + indent, y_}, Across::left, Down::top, 0}).y1 +
         0.5 * size_;
  }
}

void Flow::table(const std::vector<std::vector<std::string>>& rows, const std::vector<double>& starts, bool headed) {
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const bool head = headed && r == 0;
    const TextStyle style = sized(head ? "small" : "body", 0);
    double below = y_;
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      if (rows[r][c].empty()) continue;
      const double x = box_.x0 + std::abs(starts[c]) * box_.width();
      below = std::max(
          below, put(rows[r][c], style, {{x, y_}, starts[c] < 0 ? Across::right : Across::left, Down::top, 0}).y1);
    }
    y_ = below + 0.25 * size_;
    if (head) rule();
  }
}

void Flow::blank_box(const std::vector<std::string>& names) {
  const double top = y_ + 0.8 * size_;
  for (const std::string& name : names) {
    gap(2.6);
    const Box box = put(name, sized("body", 0), {{box_.x0 + 2, y_}, Across::left, Down::top, 0});
    if (draw_)
      canvas_.line({std::max(box.x1 + 2, box_.x0 + 0.55 * box_.width()), box.y1 - 0.4}, {box_.x1 - 2, box.y1 - 0.4},
                   view::drawing_look().pen("rule"));
    y_ = box.y1 + 0.6 * size_;
  }
  y_ += 1.6 * size_;
  if (draw_) canvas_.stroke(Path::rectangle({box_.x0, top, box_.x1, y_}), view::drawing_look().pen("frame"));
}

void Flow::blank_row(const std::string& number, const std::string& words, const std::string& key) {
  const double line_from = box_.x0 + 0.72 * box_.width(), text_from = box_.x0 + 7 * size_;
  if (draw_) put(number, sized("heading", 0), {{box_.x0, y_}, Across::left, Down::top, 0});
  double below =
      put(words, sized("small", line_from - text_from - 2), {{text_from, y_}, Across::left, Down::top, 0}).y1;
  below = put(key, sized("kicker", 0), {{text_from, below}, Across::left, Down::top, 0}).y1;
  if (draw_) canvas_.line({line_from, below - 0.6}, {box_.x1, below - 0.6}, view::drawing_look().pen("rule"));
  y_ = below + 1.4 * size_;
}

void Flow::rule() {
  if (draw_) canvas_.line({box_.x0, y_}, {box_.x1, y_}, view::drawing_look().pen("rule"));
  y_ += 0.5 * size_;
}

bool fits(Canvas& canvas, const Box& box, const std::function<void(Flow&)>& compose, double smallest) {
  Flow trial(canvas, box, smallest, false);
  compose(trial);
  return trial.y() <= box.y1 + 1e-9;
}

double fill(Canvas& canvas, const Box& box, const std::string& is, const std::function<void(Flow&)>& compose,
            double smallest) {
  for (double size = 1;; size -= 0.02) {
    Flow trial(canvas, box, size, false);
    compose(trial);
    if (trial.y() <= box.y1 + 1e-9) {
      Flow real(canvas, box, size, true);
      compose(real);
      return real.y();
    }
    if (size < smallest)
      throw Error(ErrorCode::input,
                  "The sheet has no room for " + is + ": it is " + number_text(trial.y() - box.y1, 0) +
                      " mm too long at the smallest letters. Shorten the labels, or ask for fewer distances.");
  }
}

}  // namespace peepwright::sheet
