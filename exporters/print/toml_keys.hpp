// SPDX-License-Identifier: GPL-3.0-or-later
// Reading templates: tables whose keys must all be known, and the pens and letters that all of them have. Every
// function throws Error(input) with file, line and column. Private to those that read templates: this header shows
// TOML.
#pragma once

#include <fmt/format.h>
#include <toml++/toml.h>

#include <initializer_list>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright::print {

[[noreturn]] void refuse(const toml::node& at, const std::string& what);

/// A table whose keys must all be read: what is left over at the end is a misspelling.
class Keys {
 public:
  explicit Keys(const toml::node& node);

  void done() const;

  const toml::node* find(std::string_view key);
  const toml::node& need(std::string_view key);
  std::string text(std::string_view key, const std::string& otherwise = "");
  double number(std::string_view key, double otherwise);
  /// A number is millimetres; a string is a length with its unit.
  double length(std::string_view key, double otherwise);
  bool flag(std::string_view key);
  std::string expression(std::string_view key, const std::string& otherwise = "");

  static std::string text_of(const toml::node& node);
  static double number_of(const toml::node& node);
  static double length_of(const toml::node& node);
  static std::string expression_of(const toml::node& node);
  /// A list, of `size` entries unless that is 0.
  static const toml::array& array_of(const toml::node& node, std::size_t size = 0);

 private:
  const toml::table& table_;
  std::set<std::string, std::less<>> read_;
};

template <class T>
T choose(const toml::node& node, std::initializer_list<std::pair<std::string_view, T>> choices) {
  const std::string text = Keys::text_of(node);
  std::string accepted;
  for (const auto& [name, value] : choices) {
    if (name == text) return value;
    accepted += (accepted.empty() ? "" : ", ") + std::string(name);
  }
  refuse(node, "\"" + text + "\" is none of: " + accepted);
}

/// Applies `read` to each entry of a table.
template <class Map, class Read>
void read_each(const toml::node& node, Map& into, Read read) {
  if (!node.is_table()) refuse(node, "a table is wanted here");
  for (const auto& [name, value] : *node.as_table()) into.emplace(std::string(name.str()), read(value));
}

Stroke pen_of(const toml::node& node);
TextStyle style_of(const toml::node& node);

}  // namespace peepwright::print
