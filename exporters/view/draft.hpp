// SPDX-License-Identifier: GPL-3.0-or-later
// A technical drawing in the making: lines are drawn at once and remembered; labels wait until all lines are known and
// are then placed clear of them. Dimensions follow ISO 129-1 (extension lines, filled arrowheads, text by the line).
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "exporters/view/labels.hpp"
#include "exporters/view/look.hpp"

namespace peepwright::view {

class Draft {
 public:
  /// No line is drawn outside `area` (page mm), no label placed outside it.
  Draft(Canvas& canvas, const Look& look, const Box& area) : canvas_(canvas), look_(look), area_(area) {}

  /// Draws `path`, cut off at the area's sides. `in_the_way`: labels keep clear of it.
  void line(const Path& path, std::string_view pen, bool in_the_way = true);
  void fill(const Path& path, Colour colour);

  // A label's first line is set in the style "dimension", further lines in "note".

  /// Distance from a to b, drawn shifted by `shift` along two extension lines (square to ab, or oblique). The text
  /// stands by this line and keeps away from other dimensions' lines, or has a leader; `style` is its first line's.
  void dimension(Point a, Point b, Point shift, const std::string& text, std::string_view style = "dimension");
  /// The same for a line of its own, without extension lines, its text on the side that `side` points to: where many
  /// stand side by side, each must be known by its place.
  void dimension_beside(Point a, Point b, Point side, const std::string& text);
  /// Angle at `centre` from direction `from` to direction `to` (rad on the page, x towards y).
  void angle(Point centre, double radius_mm, double from, double to, const std::string& text);
  /// A line with a dot at `at` and the text at its other end, as near as there is room; `style` is the first line's.
  void note(Point at, const std::string& text, std::string_view style = "dimension", double nearest_mm = 6);

  /// What is told of a place where two things touch: a ring round it and a slanted leader, which keeps off other lines
  /// and most of all off dimensions, so that nobody takes it for one. It goes down, or up, unless that is much worse.
  void contact(Point at, const std::string& text, bool down);

  /// One row of text a point, all in one column beside them, in the order of their heights, so that no two leaders
  /// cross. The texts are a single line each.
  void column(std::vector<std::pair<Point, std::string>> named, std::string_view style, double nearest_mm);

  /// Labels that are named from here on go into this box only where there is no better place within `cost_mm`.
  void discourage(const Box& box, double cost_mm = 14) { discouraged_.push_back({box, cost_mm}); }

  /// Places and draws all labels; returns how far from ideal they stand, by `place_labels`.
  double finish();

 private:
  struct Line {
    std::string text;
    TextStyle style;
    TextSize size;
  };
  struct Waiting {
    std::vector<Line> lines;
    TextSize size;
    std::vector<LabelChoice> choices;
    std::vector<bool> set_right;  ///< by choice: lines end at the box's right side, where what they name is
    std::vector<Point> dots;
    bool contact = false;
    std::optional<std::size_t> dimension;  ///< of `dimension_lines_`: the one whose length it tells
  };
  [[nodiscard]] Waiting label_of(const std::string& text, std::string_view first_style) const;
  void arrowhead(Point tip, Point direction);
  /// The line with its two arrowheads.
  void dimension_line(Point from, Point to);
  void choices_beside(Waiting& label, Point a, Point b) const;
  void choices_around(Waiting& label, Point at, double nearest_mm, double extra_cost) const;
  void choices_slanted(Waiting& label, Point at, bool down) const;
  /// What may be taken for the text of another dimension's line, or for a dimension, becomes dear.
  [[nodiscard]] std::vector<LabelChoice> told_apart(const Waiting& label) const;
  void offer(Waiting& label, Point centre, Point named, std::vector<Segment> leader, double cost) const;
  void wait(Waiting label);

  Canvas& canvas_;
  const Look& look_;
  Box area_;
  std::vector<Segment> lines_, dimension_lines_;
  std::vector<Segment> extension_lines_;  ///< of all dimensions
  struct Discouraged {
    Box box;
    double cost_mm;
  };
  std::vector<Discouraged> discouraged_;
  std::vector<Waiting> waiting_;
};

}  // namespace peepwright::view
