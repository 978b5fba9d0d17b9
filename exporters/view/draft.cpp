// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/draft.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/quantity/error.hpp"
#include "exporters/view/clip.hpp"

namespace peepwright::view {
namespace {

constexpr double pi = std::numbers::pi;
// ISO 129-1 leaves these to taste: gap before and length beyond, arrowheads of 15 degrees or more.
constexpr double gap_mm = 1.0, beyond_mm = 1.6, arrow_length_mm = 2.6, arrow_half_width_mm = 0.42;
constexpr double text_gap_mm = 0.9, clearance_mm = 0.5, shelf_mm = 0.7, ring_mm = 1;

double length(Point p) { return std::hypot(p.x, p.y); }
Point unit(Point p) { return (1 / length(p)) * p; }

Box centred(Point c, const TextSize& size) {
  return {c.x - size.width / 2, c.y - size.height / 2, c.x + size.width / 2, c.y + size.height / 2};
}

}  // namespace

void Draft::line(const Path& path, std::string_view pen, bool in_the_way) {
  const Path shown = clipped(path, area_);
  if (shown.empty()) return;
  canvas_.stroke(shown, look_.pen(pen));
  if (in_the_way)
    for (const Segment& s : segments_of(shown)) lines_.push_back(s);
}

void Draft::fill(const Path& path, Colour colour) {
  if (!path.empty()) canvas_.fill(path, colour);
}

void Draft::arrowhead(Point tip, Point direction) {
  const Point back = tip - arrow_length_mm * direction, side = arrow_half_width_mm * Point{-direction.y, direction.x};
  const Path head = Path::polyline({tip, back + side, back - side}, true);
  fill(head, {});
  for (const Segment& s : segments_of(head)) lines_.push_back(s);
}

void Draft::dimension_line(Point from, Point to) {
  const Point along = unit(to - from);
  const bool room = length(to - from) > 3.2 * arrow_length_mm;
  // Arrowheads from outside where there is no room between.
  const Point over = room ? Point{} : 2.2 * arrow_length_mm * along;
  line(Path::line(from - over, to + over), "dimension");
  arrowhead(from, room ? -1 * along : along);
  arrowhead(to, room ? along : -1 * along);
}

void Draft::dimension_beside(Point a, Point b, Point side, const std::string& text) {
  dimension_line(a, b);
  Waiting label = label_of(text, "dimension");
  label.dimension = dimension_lines_.size();
  dimension_lines_.push_back({a, b});
  const double reach = std::abs(side.x) * label.size.width / 2 + std::abs(side.y) * label.size.height / 2 +
                       text_gap_mm + arrow_half_width_mm;
  constexpr double other_side = 100;
  for (int k = 0; k <= 18; ++k) {
    const Point on = a + (0.5 + (k % 2 == 0 ? 1 : -1) * 0.025 * k) * (b - a);
    for (const double way : {1.0, -1.0})
      offer(label, on + way * reach * side, on, {}, 0.6 * k + (way > 0 ? 0 : other_side));
  }
  choices_around(label, 0.5 * (a + b), 5, 2 * other_side);
  wait(std::move(label));
}

void Draft::dimension(Point a, Point b, Point shift, const std::string& text, std::string_view style) {
  const Point from = a + shift, to = b + shift;
  if (const double off = length(shift); off > gap_mm)
    for (const auto& [start, end] : {std::pair{a, from}, std::pair{b, to}}) {
      extension_lines_.push_back({start + (gap_mm / off) * shift, end + (beyond_mm / off) * shift});
      line(Path::line(extension_lines_.back().a, extension_lines_.back().b), "dimension");
    }
  dimension_line(from, to);
  Waiting label = label_of(text, style);
  label.dimension = dimension_lines_.size();
  dimension_lines_.push_back({from, to});
  choices_beside(label, from, to);
  for (const double share : {0.5, 0.3, 0.7}) choices_around(label, from + share * (to - from), 5, 60);
  wait(std::move(label));
}

void Draft::angle(Point centre, double radius_mm, double from, double to, const std::string& text) {
  line(Path().arc(centre, radius_mm, from, to), "dimension");
  const auto at = [&](double a) { return centre + radius_mm * Point{std::cos(a), std::sin(a)}; };
  const double turn = to > from ? 1 : -1, back = turn * arrow_length_mm / radius_mm;
  arrowhead(at(from), unit(at(from) - at(from + back)));
  arrowhead(at(to), unit(at(to) - at(to - back)));
  Waiting label = label_of(text, "dimension");
  for (int k = 0; k <= 16; ++k) {
    const double a = from + (0.5 + (k % 2 == 0 ? 1 : -1) * 0.025 * k) * (to - from);
    const Point out{std::cos(a), std::sin(a)};
    const double reach = std::abs(out.x) * label.size.width / 2 + std::abs(out.y) * label.size.height / 2 + text_gap_mm;
    for (const double way : {1.0, -1.0})
      offer(label, at(a) + way * reach * out, at(a), {}, 0.5 * k + (way > 0 ? 0 : 1));
  }
  choices_around(label, at((from + to) / 2), 5, 25);
  wait(std::move(label));
}

void Draft::note(Point at, const std::string& text, std::string_view style, double nearest_mm) {
  Waiting label = label_of(text, style);
  label.dots = {at};
  choices_around(label, at, nearest_mm, 0);
  wait(std::move(label));
}

void Draft::contact(Point at, const std::string& text, bool down) {
  Waiting label = label_of(text, "dimension");
  label.contact = true;
  line(Path::circle(at, ring_mm), "leader");
  choices_slanted(label, at, down);
  wait(std::move(label));
}

void Draft::column(std::vector<std::pair<Point, std::string>> named, std::string_view style, double nearest_mm) {
  if (named.empty()) return;
  std::ranges::stable_sort(named, {}, [](const auto& one) { return one.first.y; });
  Waiting label;
  Point middle;
  for (const auto& [at, text] : named) {
    Line row{text, look_.style(style), {}};
    row.size = canvas_.measure(row.text, row.style);
    label.size.width = std::max(label.size.width, row.size.width);
    label.size.height += row.size.height;
    label.lines.push_back(std::move(row));
    label.dots.push_back(at);
    middle = middle + (1.0 / double(named.size())) * at;
  }
  constexpr double farthest_mm = 30, step_mm = 1.5, tangle = 100, pleasant_mm = 4;
  for (const double way : {1.0, -1.0})
    for (double aside = nearest_mm; aside <= farthest_mm; aside += step_mm)
      for (double up = -farthest_mm; up <= farthest_mm; up += step_mm) {
        const Point end = middle + Point{way * aside, up};
        std::vector<Segment> leaders;
        double y = end.y - label.size.height / 2, cost = std::abs(aside - pleasant_mm) + std::abs(up);
        for (std::size_t i = 0; i < named.size(); ++i) {
          const double height = label.lines[i].size.height;
          leaders.push_back({named[i].first, {end.x, y + height / 2}});
          y += height;
          for (std::size_t j = 0; j < i; ++j)
            if (cross(leaders[i], leaders[j])) cost += tangle;
        }
        offer(label, end + Point{way * (label.size.width / 2 + shelf_mm), 0}, middle, std::move(leaders), cost);
      }
  wait(std::move(label));
}

Draft::Waiting Draft::label_of(const std::string& text, std::string_view first_style) const {
  Waiting label;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    Line row{text.substr(at, end - at), look_.style(at == 0 ? first_style : "note"), {}};
    row.size = canvas_.measure(row.text, row.style);
    label.size.width = std::max(label.size.width, row.size.width);
    label.size.height += row.size.height;
    label.lines.push_back(std::move(row));
    at = end + 1;
  }
  return label;
}

void Draft::offer(Waiting& label, Point centre, Point named, std::vector<Segment> leader, double cost) const {
  const Box box = centred(centre, label.size);
  if (!area_.contains(box, -clearance_mm)) return;
  for (const Discouraged& other : discouraged_)
    if (box.overlaps(other.box)) cost += other.cost_mm;
  label.choices.push_back({box, std::move(leader), cost});
  label.set_right.push_back(named.x > centre.x);
}

void Draft::choices_beside(Waiting& label, Point a, Point b) const {
  const Point along = unit(b - a), square{-along.y, along.x};
  const double reach =
      std::abs(square.x) * label.size.width / 2 + std::abs(square.y) * label.size.height / 2 + text_gap_mm;
  for (int k = 0; k <= 18; ++k) {
    const Point on = a + (0.5 + (k % 2 == 0 ? 1 : -1) * 0.025 * k) * (b - a);
    for (const double way : {1.0, -1.0}) offer(label, on + way * reach * square, on, {}, 0.6 * k);
  }
}

void Draft::choices_around(Waiting& label, Point at, double nearest_mm, double extra_cost) const {
  constexpr int directions = 32;
  for (double far = nearest_mm; far <= 90; far += far < 30 ? 2.5 : 5)
    for (int k = 0; k < directions; ++k) {
      const double angle = 2 * pi * k / directions;
      const Point elbow = at + far * Point{std::cos(angle), std::sin(angle)};
      // The leader ends at the middle of the text's nearer end; upright ones look lost.
      const double way = elbow.x >= at.x ? 1 : -1, upright = std::abs(std::cos(angle)) < 0.2 ? 4 : 0;
      // Of two mirrored places, as good as each other, always the same one.
      const double left = way < 0 ? 0.7 : 0;
      offer(label, elbow + Point{way * (label.size.width / 2 + shelf_mm), 0}, at, {{at, elbow}},
            extra_cost + far + upright + left);
    }
}

void Draft::choices_slanted(Waiting& label, Point at, bool down) const {
  constexpr int directions = 32;
  // Nearer than these to upright or level a line looks like one of a dimension.
  constexpr double upright = 0.35, level = 0.25, looks_like_one = 10, crossing = 6, wrong_way = 25;
  const std::size_t first = label.choices.size();
  for (double far = 5; far <= 90; far += far < 30 ? 1.5 : 5)
    for (int k = 0; k < directions; ++k) {
      const double angle = 2 * pi * (k + 0.5) / directions;
      const Point along{std::cos(angle), std::sin(angle)}, elbow = at + far * along;
      const double way = along.x >= 0 ? 1 : -1;
      const double cost = far + (std::abs(along.x) < upright || std::abs(along.y) < level ? looks_like_one : 0) +
                          ((along.y > 0) == down ? 0 : wrong_way);
      offer(label, elbow + Point{way * (label.size.width / 2 + shelf_mm), 0}, at, {{at + ring_mm * along, elbow}},
            cost);
    }
  for (std::size_t i = first; i < label.choices.size(); ++i) label.choices[i].crossing = crossing;
}

void Draft::wait(Waiting label) {
  if (label.choices.empty())
    throw Error(ErrorCode::internal,
                "A label of the drawing is larger than its panel: \"" + label.lines.front().text + "\".");
  waiting_.push_back(std::move(label));
}

std::vector<LabelChoice> Draft::told_apart(const Waiting& label) const {
  std::vector<LabelChoice> choices = label.choices;
  if (label.contact) {
    constexpr double through_dimension = 40, through_extension = 10;
    for (LabelChoice& choice : choices)
      for (const Segment& leader : choice.leader) {
        for (const Segment& line : dimension_lines_) choice.cost += cross(line, leader) ? through_dimension : 0;
        for (const Segment& line : extension_lines_) choice.cost += cross(line, leader) ? through_extension : 0;
      }
  }
  if (!label.dimension) return choices;
  // Judged by eye: a long text seems to belong to what is near any of it, a single figure to its next line only.
  constexpr double of_width = 0.2, most_mm = 6, apart_start_mm = 4, mistaken = 60, crossed = 20;
  const double apart_mm = std::min(of_width * label.size.width, most_mm);
  for (std::size_t i = 0; i < dimension_lines_.size(); ++i) {
    if (i == *label.dimension) continue;
    const Segment& other = dimension_lines_[i];
    for (LabelChoice& choice : choices) {
      if (distance(other, choice.box) < apart_mm) choice.cost += mistaken;
      for (const Segment& leader : choice.leader) {
        if (distance(other, leader.a) < apart_start_mm) choice.cost += mistaken;
        if (cross(other, leader)) choice.cost += crossed;
      }
    }
  }
  return choices;
}

double Draft::finish() {
  double cost = 0;
  std::vector<std::vector<LabelChoice>> choices;
  for (const Waiting& label : waiting_) choices.push_back(told_apart(label));
  const std::vector<std::size_t> chosen = place_labels(choices, lines_, clearance_mm, &cost);
  for (std::size_t i = 0; i < waiting_.size(); ++i) {
    const Waiting& label = waiting_[i];
    const LabelChoice& choice = label.choices[chosen[i]];
    for (const Segment& s : choice.leader) canvas_.line(s.a, s.b, look_.pen("leader"));
    for (const Point at : label.dots) canvas_.fill(Path::circle(at, 0.45), {});
    const bool right = label.set_right[chosen[i]];
    double y = choice.box.y0;
    for (const Line& row : label.lines) {
      canvas_.text(row.text, row.style,
                   {{right ? choice.box.x1 : choice.box.x0, y}, right ? Across::right : Across::left, Down::top, 0});
      y += row.size.height;
    }
  }
  waiting_.clear();
  return cost;
}

}  // namespace peepwright::view
