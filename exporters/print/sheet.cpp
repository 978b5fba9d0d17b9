// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/sheet.hpp"

#include <algorithm>

#include "engine/quantity/error.hpp"

namespace peepwright::print {
namespace {

class Sheet {
 public:
  Sheet(Canvas& canvas, const Layout& layout, const StripData& data, const PaperSheet& paper,
        const PrinterCorrection& correction, const Tile& tile)
      : canvas_(canvas),
        layout_(layout),
        data_(data),
        correction_(correction),
        tile_(tile),
        size_(paper.size),
        scale_x_(100 / correction.bar_measured_x_mm),
        scale_y_(100 / correction.bar_measured_y_mm),
        words_(words_for(data, tile, paper.label, correction)) {
    page_names_ = {{"page_width", size_.width_mm},
                   {"page_height", size_.height_mm},
                   {"margin", layout.margin},
                   {"left", layout.margin},
                   {"right", size_.width_mm - layout.margin},
                   {"top", layout.margin},
                   {"bottom", size_.height_mm - layout.margin},
                   {"half_width", layout.half_width}};
    centre_ = evaluate(layout.left, page_names_) + layout.half_width * scale_x_;
  }

  void draw() {
    canvas_.new_page(size_);
    draw_strip();
    for (const UprightBar& bar : layout_.bars) draw_upright_bar(bar);
    for (const Column& column : layout_.columns) draw_column(column);
  }

 private:
  const TextStyle& style(const std::string& name) const { return named(layout_.styles, name); }
  const Stroke& pen(const std::string& name) const { return named(layout_.pens, name); }
  bool shown(const std::string& condition) const { return holds(condition, tile_, data_, correction_); }

  Point on_page(Point strip) const {
    return {centre_ + strip.x * scale_x_, layout_.margin + (tile_.end - strip.y) * scale_y_};
  }

  void draw_strip() {
    const Point corner = on_page({-layout_.half_width, tile_.end}), far = on_page({layout_.half_width, tile_.start});
    const Path all = Path::rectangle({corner.x, corner.y, far.x, far.y});
    const Names names = names_for(layout_, data_, &tile_);
    const auto shapes = shapes_for(layout_, names, tile_, words_, [this](const std::string& c) { return shown(c); });
    for (const Shape& shape : shapes)
      if (shape.kind != Element::Kind::text) draw_shape(shape);
    for (const Shape& shape : shapes)
      if (shape.kind == Element::Kind::text) draw_label(shape, all.bounds());
  }

  void draw_shape(const Shape& shape) {
    const Element& e = *shape.element;
    std::vector<Point> points;
    for (const Point& p : shape.points) points.push_back(on_page(p));
    Path path;
    if (shape.kind == Element::Kind::circle) {
      path = oval(points[0], shape.radius);
    } else if (shape.kind == Element::Kind::box) {
      const Box box{std::min(points[0].x, points[1].x), std::min(points[0].y, points[1].y),
                    std::max(points[0].x, points[1].x), std::max(points[0].y, points[1].y)};
      path = Path::rounded_rectangle(box, shape.radius * std::min(scale_x_, scale_y_));
    } else {
      path = Path::polyline(points, e.closed);
    }
    if (!e.fill.empty()) canvas_.fill(path, named(layout_.fills, e.fill));
    if (!e.hatch.empty()) canvas_.hatch(path, named(layout_.hatches, e.hatch));
    if (!e.pen.empty()) canvas_.stroke(path, pen(e.pen));
  }

  /// A circle that a printer with different scales across and up turns back into a circle.
  Path oval(Point c, double radius) const {
    if (scale_x_ == scale_y_) return Path::circle(c, radius * scale_x_);
    const double a = radius * scale_x_, b = radius * scale_y_;
    constexpr double k = 0.5522847498307936;  // handle length of a quarter circle, 4/3 (√2 − 1)
    return Path()
        .move_to({c.x + a, c.y})
        .curve_to({c.x + a, c.y + k * b}, {c.x + k * a, c.y + b}, {c.x, c.y + b})
        .curve_to({c.x - k * a, c.y + b}, {c.x - a, c.y + k * b}, {c.x - a, c.y})
        .curve_to({c.x - a, c.y - k * b}, {c.x - k * a, c.y - b}, {c.x, c.y - b})
        .curve_to({c.x + k * a, c.y - b}, {c.x + a, c.y - k * b}, {c.x + a, c.y})
        .close();
  }

  void draw_label(const Shape& shape, const Box& strip) {
    const Element& e = *shape.element;
    TextStyle look = style(e.style);
    look.size_mm *= std::min(scale_x_, scale_y_);  // the printer will undo this, and the lanes have no room to spare
    TextPlace place{on_page(shape.points.front()), e.across, e.down, e.rotation};
    if (e.kind == Element::Kind::scale) {
      place.across = e.direction > 0 ? Across::left : Across::right;
      place.down = Down::middle;
    }
    if (shape.room > 0) {
      look.wrap_mm = shape.room * scale_y_;
      look.max_lines = 1;
      if (e.drop && canvas_.measure(shape.text, look).shortened) return;
    }
    const Box box = canvas_.text_box(shape.text, look, place);
    if (box.y0 < strip.y0 - 0.01 || box.y1 > strip.y1 + 0.01) return;  // it would be cut through
    canvas_.text(shape.text, look, place);
  }

  void draw_bar(Point upper_left, double length, double thickness, bool upright) {
    const Box box = upright
                        ? Box{upper_left.x, upper_left.y, upper_left.x + thickness, upper_left.y + length * scale_y_}
                        : Box{upper_left.x, upper_left.y, upper_left.x + length * scale_x_, upper_left.y + thickness};
    canvas_.fill(Path::rectangle(box), Colour{});
  }

  void draw_upright_bar(const UprightBar& bar) {
    const double x = evaluate(bar.x, page_names_), bottom = evaluate(bar.bottom, page_names_);
    draw_bar({x, bottom - bar.length_mm * scale_y_}, bar.length_mm, bar.thickness, true);
    if (!bar.text.empty())
      canvas_.text(fill_in(bar.text, words_), style(bar.style),
                   {{x + bar.thickness + bar.gap, bottom}, Across::left, Down::top, 90});
  }

  void draw_column(const Column& column) {
    const double left = evaluate(column.left, page_names_), right = evaluate(column.right, page_names_);
    const double top = evaluate(column.top, page_names_), bottom = evaluate(column.bottom, page_names_);
    for (double size = 1;; size -= 0.02) {
      const double height = flow(column, left, right, top, size, 0, false);
      if (height <= bottom - top) {
        flow(column, left, right, top, size, bottom - top - height, true);
        return;
      }
      if (size < column.smallest)
        throw Error(ErrorCode::input,
                    "The sheet has no room for all its texts; the cautions and the line on how the mark was found are "
                    "too long by " +
                        number_text(height - (bottom - top), 0) + " mm. Shorten them.");
    }
  }

  /// Height of the items; draws them when `draw`. `spring` is the height that spring items share in.
  double flow(const Column& column, double left, double right, double top, double size, double spring, bool draw) {
    double y = top;
    for (const Item& item : column.items) {
      if (!shown(item.when)) continue;
      if (item.kind == Item::Kind::spring) {
        y += spring;
        spring = 0;
        continue;
      }
      if (item.kind == Item::Kind::warnings && data_.warnings.empty()) continue;
      if (y > top) y += item.gap * size;
      switch (item.kind) {
        case Item::Kind::text: y = flow_text(item, left, right, y, size, draw); break;
        case Item::Kind::list: y = flow_list(item, item.items, left, right, y, size, draw); break;
        case Item::Kind::warnings:
          y = warning_box(canvas_, data_.warnings, {style(item.style), style(item.right_style), pen(item.pen), size},
                          left, y, right, draw);
          break;
        case Item::Kind::cautions: y = flow_list(item, data_.cautions, left, right, y, size, draw); break;
        case Item::Kind::rule:
          if (draw) canvas_.line({left, y}, {right, y}, pen(item.pen));
          break;
        case Item::Kind::bar:
          if (draw) draw_bar({left, y}, item.length_mm, item.thickness, false);
          y += item.thickness;
          break;
        case Item::Kind::spring: break;
      }
    }
    return y - top;
  }

  TextStyle sized(const std::string& name, double size, double width, int max_lines) const {
    TextStyle look = style(name);
    look.size_mm *= size;
    look.wrap_mm = width;
    look.max_lines = max_lines;
    return look;
  }

  double flow_text(const Item& item, double left, double right, double y, double size, bool draw) {
    const std::string text = fill_in(item.text, words_), side_text = fill_in(item.right, words_);
    double free = right;
    if (!side_text.empty()) {
      // Set on the left text's first baseline, in at most half the column; the left text wraps before it.
      const TextStyle side = sized(item.right_style, size, (right - left) / 2, 1);
      const double baseline = y + canvas_.measure(text, sized(item.style, size, 0, 0)).baseline;
      free = put(side_text, side, {{right, baseline}, Across::right, Down::baseline, 0}, draw).x0 - side.size_mm;
    }
    if (text.empty()) return y;
    return put(text, sized(item.style, size, free - left, item.max_lines), {{left, y}, Across::left, Down::top, 0},
               draw)
        .y1;
  }

  Box put(const std::string& text, const TextStyle& look, const TextPlace& place, bool draw) {
    return draw ? canvas_.text(text, look, place) : canvas_.text_box(text, look, place);
  }

  double flow_list(const Item& item, const std::vector<std::string>& texts, double left, double right, double y,
                   double size, bool draw) {
    const TextStyle look = sized(item.style, size, right - left - item.indent, 0);
    const TextStyle mark = sized(item.style, size, 0, 0);
    int number = 0;
    for (const std::string& raw : texts) {
      // Cautions are sentences of the engine, not layout: braces in them are braces.
      const std::string text = item.kind == Item::Kind::cautions ? raw : fill_in(raw, words_);
      const std::string before = item.numbered ? number_text(++number, 0) : "•";
      if (draw) canvas_.text(before, mark, {{left, y}, Across::left, Down::top, 0});
      y = put(text, look, {{left + item.indent, y}, Across::left, Down::top, 0}, draw).y1 + item.gap / 3 * size;
    }
    return y;
  }

  Canvas& canvas_;
  const Layout& layout_;
  const StripData& data_;
  const PrinterCorrection& correction_;
  const Tile& tile_;
  PageSize size_;
  double scale_x_, scale_y_, centre_ = 0;
  Words words_;
  Names page_names_;
};

}  // namespace

Canvas draw_sheets(const Layout& layout, const StripData& data, const std::string& paper_name,
                   const PrinterCorrection& correction) {
  const auto paper = layout.papers.find(paper_name);
  if (paper == layout.papers.end())
    throw Error(ErrorCode::input, "The layout has no paper called \"" + paper_name + "\".");
  const double reach = (paper->second.size.height_mm - 2 * layout.margin) * correction.bar_measured_y_mm / 100;
  const std::vector<Tile> tiles = plan_tiles(layout, data, reach);
  Canvas canvas;
  for (const Tile& tile : tiles) Sheet(canvas, layout, data, paper->second, correction, tile).draw();
  return canvas;
}

}  // namespace peepwright::print
