// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/toml_keys.hpp"

#include "engine/quantity/error.hpp"
#include "engine/quantity/parse.hpp"

namespace peepwright::print {
namespace {

const toml::table& table_of(const toml::node& node) {
  if (!node.is_table()) refuse(node, "a table is wanted here");
  return *node.as_table();
}

}  // namespace

void refuse(const toml::node& at, const std::string& what) {
  const toml::source_region& s = at.source();
  throw Error(ErrorCode::input, Location{s.path ? *s.path : std::string("layout"), s.begin.line, s.begin.column},
              what + ".");
}

Keys::Keys(const toml::node& node) : table_(table_of(node)) {}

void Keys::done() const {
  for (const auto& [key, value] : table_)
    if (!read_.contains(key.str())) refuse(value, "unknown key \"" + std::string(key.str()) + "\"");
}

const toml::node* Keys::find(std::string_view key) {
  read_.emplace(key);
  return table_.get(key);
}

const toml::node& Keys::need(std::string_view key) {
  const toml::node* node = find(key);
  if (node == nullptr) refuse(table_, "the key \"" + std::string(key) + "\" is missing");
  return *node;
}

std::string Keys::text(std::string_view key, const std::string& otherwise) {
  const toml::node* node = find(key);
  return node == nullptr ? otherwise : text_of(*node);
}

double Keys::number(std::string_view key, double otherwise) {
  const toml::node* node = find(key);
  return node == nullptr ? otherwise : number_of(*node);
}

double Keys::length(std::string_view key, double otherwise) {
  const toml::node* node = find(key);
  return node == nullptr ? otherwise : length_of(*node);
}

bool Keys::flag(std::string_view key) {
  const toml::node* node = find(key);
  if (node == nullptr) return false;
  if (!node->is_boolean()) refuse(*node, "true or false is wanted here");
  return node->value<bool>().value();
}

std::string Keys::expression(std::string_view key, const std::string& otherwise) {
  const toml::node* node = find(key);
  return node == nullptr ? otherwise : expression_of(*node);
}

std::string Keys::text_of(const toml::node& node) {
  if (!node.is_string()) refuse(node, "a text is wanted here");
  return node.value<std::string>().value();
}

double Keys::number_of(const toml::node& node) {
  if (!node.is_number()) refuse(node, "a number is wanted here");
  return node.value<double>().value();
}

double Keys::length_of(const toml::node& node) {
  if (node.is_number()) return number_of(node);
  try {
    return parse_quantity(text_of(node), Dimension::length);
  } catch (const Error& e) {
    refuse(node, e.what());
  }
}

std::string Keys::expression_of(const toml::node& node) {
  return node.is_number() ? fmt::format("{}", number_of(node)) : text_of(node);
}

const toml::array& Keys::array_of(const toml::node& node, std::size_t size) {
  const toml::array* array = node.as_array();
  if (array == nullptr || (size != 0 && array->size() != size))
    refuse(node, size == 0 ? std::string("a list is wanted here") : fmt::format("a list of {} is wanted here", size));
  return *array;
}

Stroke pen_of(const toml::node& node) {
  Keys keys(node);
  Stroke pen;
  pen.width_mm = keys.length("width", pen.width_mm);
  pen.colour = Colour::grey(keys.number("grey", 0));
  if (const toml::node* dash = keys.find("dash"))
    for (const toml::node& n : Keys::array_of(*dash)) pen.dash.push_back(Keys::length_of(n));
  if (keys.flag("round")) pen.end = LineEnd::round;
  keys.done();
  return pen;
}

TextStyle style_of(const toml::node& node) {
  Keys keys(node);
  TextStyle style;
  style.size_mm = Keys::length_of(keys.need("size"));
  style.bold = keys.flag("bold");
  style.italic = keys.flag("italic");
  style.colour = Colour::grey(keys.number("grey", 0));
  style.line_spacing = keys.number("line_spacing", style.line_spacing);
  keys.done();
  return style;
}

}  // namespace peepwright::print
