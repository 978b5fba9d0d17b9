// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/layout.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>

#include "engine/quantity/error.hpp"
#include "exporters/print/toml_keys.hpp"

namespace peepwright::print {
std::string_view strip_toml();

namespace {

Place place_of(const toml::node& node) {
  const toml::array& pair = Keys::array_of(node, 2);
  return {Keys::expression_of(pair[0]), Keys::expression_of(pair[1])};
}

/// A name that must be one of those defined above it.
template <class Map>
std::string known(Keys& keys, std::string_view key, const Map& map) {
  std::string name = keys.text(key);
  if (!name.empty() && !map.contains(name)) refuse(*keys.find(key), "\"" + name + "\" is not defined");
  return name;
}

Across across_of(Keys& keys) {
  const toml::node* node = keys.find("across");
  return node == nullptr
             ? Across::left
             : choose<Across>(*node, {{"left", Across::left}, {"centre", Across::centre}, {"right", Across::right}});
}

Down down_of(Keys& keys) {
  const toml::node* node = keys.find("down");
  return node == nullptr ? Down::baseline
                         : choose<Down>(*node, {{"top", Down::top},
                                                {"middle", Down::middle},
                                                {"bottom", Down::bottom},
                                                {"baseline", Down::baseline}});
}

Element element_of(const toml::node& node, const Layout& layout) {
  using Kind = Element::Kind;
  Keys keys(node);
  Element e;
  e.kind = choose<Kind>(keys.need("kind"), {{"line", Kind::line},
                                            {"polyline", Kind::polyline},
                                            {"box", Kind::box},
                                            {"circle", Kind::circle},
                                            {"scale", Kind::scale},
                                            {"text", Kind::text}});
  e.when = keys.text("when");
  e.layer = keys.text("layer");
  e.pen = known(keys, "pen", layout.pens);
  e.fill = known(keys, "fill", layout.fills);
  e.hatch = known(keys, "hatch", layout.hatches);
  e.style = known(keys, "style", layout.styles);
  e.radius = keys.expression("radius", "0");
  e.closed = keys.flag("closed");
  if (e.kind == Kind::circle || e.kind == Kind::text) {
    e.points.push_back(place_of(keys.need("at")));
  } else if (e.kind != Kind::scale) {
    for (const toml::node& n : Keys::array_of(keys.need("points"))) e.points.push_back(place_of(n));
    if (e.points.size() < 2 || (e.points.size() != 2 && e.kind != Kind::polyline))
      refuse(node, "a line or a box has two points, a polyline two or more");
  }
  if (e.kind == Kind::scale) {
    e.from = Keys::expression_of(keys.need("from"));
    e.to = Keys::expression_of(keys.need("to"));
    e.points.emplace_back(Keys::expression_of(keys.need("edge")), "0");
    e.unit_mm = Keys::length_of(keys.need("unit"));
    e.direction = Keys::number_of(keys.need("direction"));
    for (const toml::node& n : Keys::array_of(keys.need("ticks"))) {
      const toml::array& pair = Keys::array_of(n, 2);
      e.ticks.push_back({Keys::number_of(pair[0]), Keys::number_of(pair[1])});
      if (!(e.ticks.back().every > 0)) refuse(n, "ticks need a distance above 0");
    }
    if (e.ticks.empty() || !(e.unit_mm > 0)) refuse(node, "a scale needs ticks and a unit above 0");
    e.number_every = Keys::number_of(keys.need("number_every"));
    if (!(e.number_every > 0)) refuse(node, "number_every must be above 0");
    e.number_offset = keys.number("number_offset", 0);
    if (const toml::node* clear = keys.find("clear_of"))
      for (const toml::node& n : Keys::array_of(*clear)) e.clear_of.push_back(Keys::expression_of(n));
    e.clearance = keys.number("clearance", 0);
  }
  if (e.kind == Kind::text) {
    e.text = Keys::text_of(keys.need("text"));
    e.across = across_of(keys);
    e.down = down_of(keys);
    e.rotation = keys.number("rotation", 0);
    e.room = keys.expression("room");
    e.drop = keys.flag("drop");
  }
  if ((e.kind == Kind::text || e.kind == Kind::scale) && e.style.empty()) refuse(node, "the key \"style\" is missing");
  if (e.kind != Kind::text && e.pen.empty() && e.fill.empty() && e.hatch.empty())
    refuse(node, "it has no pen, fill or hatch");
  keys.done();
  return e;
}

Item item_of(const toml::node& node, const Layout& layout) {
  using Kind = Item::Kind;
  Keys keys(node);
  Item item;
  item.kind = choose<Kind>(keys.need("kind"), {{"text", Kind::text},
                                               {"list", Kind::list},
                                               {"warnings", Kind::warnings},
                                               {"cautions", Kind::cautions},
                                               {"rule", Kind::rule},
                                               {"bar", Kind::bar},
                                               {"spring", Kind::spring}});
  item.when = keys.text("when");
  item.style = known(keys, "style", layout.styles);
  item.right_style = known(keys, "right_style", layout.styles);
  item.pen = known(keys, "pen", layout.pens);
  item.text = keys.text("text");
  item.right = keys.text("right");
  item.numbered = keys.flag("numbered");
  item.gap = keys.number("gap", 0);
  item.indent = keys.number("indent", 0);
  item.max_lines = static_cast<int>(keys.number("max_lines", 0));
  item.length_mm = keys.length("length", 0);
  item.thickness = keys.number("thickness", 0);
  if (const toml::node* list = keys.find("items"))
    for (const toml::node& n : Keys::array_of(*list)) item.items.push_back(Keys::text_of(n));
  const bool has_text =
      item.kind == Kind::text || item.kind == Kind::list || item.kind == Kind::warnings || item.kind == Kind::cautions;
  if (has_text && item.style.empty()) refuse(node, "the key \"style\" is missing");
  if (item.right_style.empty()) item.right_style = item.style;
  if ((item.kind == Kind::rule || item.kind == Kind::warnings) && item.pen.empty())
    refuse(node, "the key \"pen\" is missing");
  if (item.kind == Kind::bar && !(item.length_mm > 0 && item.thickness > 0))
    refuse(node, "a bar needs a length and a thickness");
  keys.done();
  return item;
}

void read_strip(Keys keys, Layout& layout) {
  layout.left = Keys::expression_of(keys.need("left"));
  layout.half_width = Keys::number_of(keys.need("half_width"));
  layout.start = Keys::expression_of(keys.need("start"));
  for (const toml::node& n : Keys::array_of(keys.need("end"))) layout.end.push_back(Keys::expression_of(n));
  layout.keep_whole = place_of(keys.need("keep_whole"));
  layout.overlap = Keys::number_of(keys.need("overlap"));
  layout.match_step = Keys::number_of(keys.need("match_step"));
  if (!(layout.half_width > 0 && layout.overlap > 0 && layout.match_step > 0))
    refuse(keys.need("overlap"), "half_width, overlap and match_step must be above 0");
  for (const toml::node& n : Keys::array_of(keys.need("names"))) layout.names.push_back(place_of(n));
  for (const toml::node& n : Keys::array_of(keys.need("element"))) layout.elements.push_back(element_of(n, layout));
  keys.done();
}

}  // namespace

Layout parse_layout(std::string_view text, const std::string& file_name) try {
  const toml::table root = toml::parse(text, file_name);
  Keys keys(root);
  Layout layout;
  layout.margin = Keys::number_of(keys.need("margin"));
  read_each(keys.need("paper"), layout.papers, [](const toml::node& n) {
    Keys paper(n);
    PaperSheet out{{Keys::length_of(paper.need("width")), Keys::length_of(paper.need("height"))},
                   Keys::text_of(paper.need("label"))};
    paper.done();
    return out;
  });
  read_each(keys.need("pen"), layout.pens, pen_of);
  read_each(keys.need("style"), layout.styles, style_of);
  read_each(keys.need("fill"), layout.fills, [](const toml::node& n) { return Colour::grey(Keys::number_of(n)); });
  read_each(keys.need("hatch"), layout.hatches, [&](const toml::node& n) {
    Keys hatch(n);
    Hatch out;
    out.spacing_mm = Keys::number_of(hatch.need("spacing"));
    out.angle_deg = Keys::number_of(hatch.need("angle"));
    const std::string pen = known(hatch, "pen", layout.pens);
    if (pen.empty()) refuse(n, "the key \"pen\" is missing");
    out.stroke = named(layout.pens, pen);
    hatch.done();
    return out;
  });
  read_strip(Keys(keys.need("strip")), layout);
  for (const toml::node& n : Keys::array_of(keys.need("column"))) {
    Keys column(n);
    Column out{Keys::expression_of(column.need("left")),
               Keys::expression_of(column.need("right")),
               Keys::expression_of(column.need("top")),
               Keys::expression_of(column.need("bottom")),
               column.number("smallest", 1),
               {}};
    for (const toml::node& i : Keys::array_of(column.need("item"))) out.items.push_back(item_of(i, layout));
    column.done();
    layout.columns.push_back(std::move(out));
  }
  for (const toml::node& n : Keys::array_of(keys.need("bar"))) {
    Keys bar(n);
    layout.bars.push_back({Keys::expression_of(bar.need("x")), Keys::expression_of(bar.need("bottom")),
                           Keys::length_of(bar.need("length")), Keys::number_of(bar.need("thickness")),
                           bar.number("gap", 0), bar.text("text"), known(bar, "style", layout.styles)});
    if (!layout.bars.back().text.empty() && layout.bars.back().style.empty()) refuse(n, "the key \"style\" is missing");
    bar.done();
  }
  keys.done();
  return layout;
} catch (const toml::parse_error& e) {
  throw Error(ErrorCode::input, Location{file_name, e.source().begin.line, e.source().begin.column},
              std::string(e.description()));
}

const Layout& strip_layout() {
  static const Layout layout = parse_layout(strip_toml(), "strip.toml");
  return layout;
}

}  // namespace peepwright::print
