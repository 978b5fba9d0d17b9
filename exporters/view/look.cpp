// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/look.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <array>
#include <utility>

#include "engine/quantity/error.hpp"
#include "engine/quantity/parse.hpp"
#include "exporters/print/expression.hpp"

namespace peepwright::view {
std::string_view drawings_toml();

namespace {

[[noreturn]] void refuse(const toml::node& at, const std::string& what) {
  const toml::source_region& s = at.source();
  throw Error(ErrorCode::input, Location{s.path ? *s.path : std::string("layout"), s.begin.line, s.begin.column},
              what + ".");
}

const toml::table& table_of(const toml::node& node) {
  if (!node.is_table()) refuse(node, "a table is wanted here");
  return *node.as_table();
}

double length_of(const toml::node& node) {
  if (node.is_number()) return node.value<double>().value();
  if (!node.is_string()) refuse(node, "a length is wanted here");
  try {
    return parse_quantity(node.value<std::string>().value(), Dimension::length);
  } catch (const Error& e) {
    refuse(node, e.what());
  }
}

bool flag_of(const toml::node& node) {
  if (!node.is_boolean()) refuse(node, "true or false is wanted here");
  return node.value<bool>().value();
}

std::vector<double> numbers_of(const toml::node& node) {
  if (!node.is_array()) refuse(node, "a list is wanted here");
  std::vector<double> out;
  for (const toml::node& n : *node.as_array()) out.push_back(length_of(n));
  return out;
}

PageSize paper_of(const toml::node& node) {
  PageSize paper;
  for (const auto& [key, value] : table_of(node)) {
    if (key == "width")
      paper.width_mm = length_of(value);
    else if (key == "height")
      paper.height_mm = length_of(value);
    else
      refuse(value, fmt::format("unknown key \"{}\"", key.str()));
  }
  if (!(paper.width_mm > 50 && paper.height_mm > 50)) refuse(node, "a paper needs a width and a height");
  return paper;
}

Stroke pen_of(const toml::node& node) {
  Stroke pen;
  for (const auto& [key, value] : table_of(node)) {
    if (key == "width")
      pen.width_mm = length_of(value);
    else if (key == "grey")
      pen.colour = Colour::grey(length_of(value));
    else if (key == "dash")
      pen.dash = numbers_of(value);
    else if (key == "round")
      pen.end = flag_of(value) ? LineEnd::round : LineEnd::butt;
    else
      refuse(value, fmt::format("unknown key \"{}\"", key.str()));
  }
  return pen;
}

TextStyle style_of(const toml::node& node) {
  TextStyle style;
  for (const auto& [key, value] : table_of(node)) {
    if (key == "size")
      style.size_mm = length_of(value);
    else if (key == "bold")
      style.bold = flag_of(value);
    else if (key == "italic")
      style.italic = flag_of(value);
    else if (key == "grey")
      style.colour = Colour::grey(length_of(value));
    else if (key == "line_spacing")
      style.line_spacing = length_of(value);
    else
      refuse(value, fmt::format("unknown key \"{}\"", key.str()));
  }
  return style;
}

std::vector<std::string> text_of(const toml::node& node) {
  if (!node.is_array()) refuse(node, "a list of texts is wanted here");
  std::vector<std::string> out;
  for (const toml::node& n : *node.as_array()) {
    if (!n.is_string()) refuse(n, "a text is wanted here");
    out.push_back(n.value<std::string>().value());
  }
  return out;
}

Look::Page page_of(const toml::node& node) {
  Look::Page page;
  for (const auto& [key, value] : table_of(node)) {
    if (key == "landscape") {
      page.landscape = flag_of(value);
      continue;
    }
    const toml::array* sides = value.as_array();
    if (sides == nullptr || sides->size() != 4) refuse(value, "a box is four positions: left, top, right, bottom");
    std::array<std::string, 4> box;
    for (std::size_t i = 0; i < box.size(); ++i)
      box[i] = (*sides)[i].is_number() ? fmt::format("{}", (*sides)[i].value<double>().value())
                                       : (*sides)[i].value<std::string>().value_or("");
    page.boxes.emplace(key.str(), box);
  }
  return page;
}

template <class Map, class Read>
void read_all(const toml::node& node, Map& out, Read read) {
  for (const auto& [key, value] : table_of(node)) out.emplace(key.str(), read(value));
}

template <class Map>
const typename Map::mapped_type& need(const Map& map, std::string_view name) {
  const auto found = map.find(name);
  if (found == map.end())
    throw Error(ErrorCode::internal, fmt::format("The drawings' layout does not define \"{}\".", name));
  return found->second;
}

}  // namespace

const Stroke& Look::pen(std::string_view name) const {
  return need(pens, name);
}
const TextStyle& Look::style(std::string_view name) const {
  return need(styles, name);
}

const std::vector<std::string>& Look::text(std::string_view name) const {
  return need(texts, name);
}

PageSize Look::size(std::string_view page, std::string_view paper) const {
  PageSize size = need(papers, paper);
  if (need(pages, page).landscape) std::swap(size.width_mm, size.height_mm);
  return size;
}

Box Look::box(std::string_view page, std::string_view name, PageSize size) const {
  const print::Names names{{"page_width", size.width_mm},
                           {"page_height", size.height_mm},
                           {"left", margin_mm},
                           {"top", margin_mm},
                           {"right", size.width_mm - margin_mm},
                           {"bottom", size.height_mm - margin_mm}};
  const auto& sides = need(need(pages, page).boxes, name);
  return {print::evaluate(sides[0], names), print::evaluate(sides[1], names), print::evaluate(sides[2], names),
          print::evaluate(sides[3], names)};
}

Look parse_look(std::string_view toml, const std::string& file_name) {
  Look look;
  try {
    const toml::table all = toml::parse(toml, file_name);
    for (const auto& [key, value] : all) {
      if (key == "margin")
        look.margin_mm = length_of(value);
      else if (key == "paper")
        read_all(value, look.papers, paper_of);
      else if (key == "pen")
        read_all(value, look.pens, pen_of);
      else if (key == "style")
        read_all(value, look.styles, style_of);
      else if (key == "page")
        read_all(value, look.pages, page_of);
      else if (key == "text")
        read_all(value, look.texts, text_of);
      else
        refuse(value, fmt::format("unknown key \"{}\"", key.str()));
    }
  } catch (const toml::parse_error& e) {
    throw Error(ErrorCode::input, Location{file_name, e.source().begin.line, e.source().begin.column},
                std::string(e.description()));
  }
  return look;
}

const Look& drawing_look() {
  static const Look look = parse_look(drawings_toml(), "drawings.toml");
  return look;
}

}  // namespace peepwright::view
