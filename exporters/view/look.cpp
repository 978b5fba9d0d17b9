// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/look.hpp"

#include <fmt/format.h>

#include <array>
#include <utility>

#include "engine/quantity/error.hpp"
#include "exporters/print/expression.hpp"
#include "exporters/print/toml_keys.hpp"

namespace peepwright::view {
std::string_view drawings_toml();

namespace {

using print::Keys;

PageSize paper_of(const toml::node& node) {
  Keys keys(node);
  const PageSize paper{Keys::length_of(keys.need("width")), Keys::length_of(keys.need("height"))};
  if (!(paper.width_mm > 50 && paper.height_mm > 50)) print::refuse(node, "a paper needs a width and a height");
  keys.done();
  return paper;
}

std::vector<std::string> text_of(const toml::node& node) {
  std::vector<std::string> out;
  for (const toml::node& n : Keys::array_of(node)) out.push_back(Keys::text_of(n));
  return out;
}

/// Every key but one is a box.
Look::Page page_of(const toml::node& node) {
  Look::Page page;
  page.landscape = Keys(node).flag("landscape");
  for (const auto& [key, value] : *node.as_table()) {
    if (key == "landscape") continue;
    constexpr std::size_t sides = 4;  // left, top, right, bottom
    std::array<std::string, sides> box;
    for (std::size_t i = 0; i < sides; ++i) box[i] = Keys::expression_of(Keys::array_of(value, sides)[i]);
    page.boxes.emplace(key.str(), box);
  }
  return page;
}

template <class Map>
const typename Map::mapped_type& need(const Map& map, std::string_view name) {
  const auto found = map.find(name);
  if (found == map.end())
    throw Error(ErrorCode::internal, fmt::format("The drawings' layout does not define \"{}\".", name));
  return found->second;
}

}  // namespace

const Stroke& Look::pen(std::string_view name) const { return need(pens, name); }
const TextStyle& Look::style(std::string_view name) const { return need(styles, name); }

const std::vector<std::string>& Look::text(std::string_view name) const { return need(texts, name); }

PageSize Look::size(std::string_view page, std::string_view paper) const {
  const auto found = papers.find(paper);
  if (found == papers.end())
    throw Error(ErrorCode::input, fmt::format("\"{}\" is no paper this knows: a4 or letter.", paper));
  PageSize size = found->second;
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
    Keys keys(all);
    look.margin_mm = keys.length("margin", look.margin_mm);
    print::read_each(keys.need("paper"), look.papers, paper_of);
    print::read_each(keys.need("pen"), look.pens, print::pen_of);
    print::read_each(keys.need("style"), look.styles, print::style_of);
    print::read_each(keys.need("page"), look.pages, page_of);
    print::read_each(keys.need("text"), look.texts, text_of);
    keys.done();
  } catch (const toml::parse_error& e) {
    throw Error(ErrorCode::input, Location{file_name, e.source().begin.line, e.source().begin.column},
                std::string(e.description()));
  }
  return look;
}

WarningLook warning_look() {
  const Look& look = drawing_look();
  return {look.style("warning"), look.style("warning_why"), look.pen("warning")};
}

const Look& drawing_look() {
  static const Look look = parse_look(drawings_toml(), "drawings.toml");
  return look;
}

}  // namespace peepwright::view
