// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/ply_header.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <initializer_list>
#include <system_error>
#include <vector>

#include "engine/quantity/error.hpp"

namespace peepwright::scan {
namespace {

constexpr std::size_t longest_header = 64 << 10;

struct Element {
  std::string name;
  std::size_t count = 0;
  std::vector<std::pair<std::string, std::string>> numbers, lists;  ///< (name, type), (name, type of its length)
};

std::vector<std::string_view> words_of(std::string_view line) {
  std::vector<std::string_view> words;
  while (!line.empty()) {
    const auto from = line.find_first_not_of(" \t\r");
    if (from == std::string_view::npos) break;
    const auto to = std::min(line.find_first_of(" \t\r", from), line.size());
    words.push_back(line.substr(from, to - from));
    line.remove_prefix(to);
  }
  return words;
}

bool one_of(std::string_view word, std::initializer_list<std::string_view> words) {
  return std::ranges::find(words, word) != words.end();
}

std::string element_trouble(const Element& e, std::size_t bytes_left) {
  const std::size_t properties = e.numbers.size() + e.lists.size();
  if (e.count == 0) return {};
  if (properties == 0 || e.count > bytes_left / properties)
    return fmt::format("its header promises {} of \"{}\", more than the file holds", e.count, quoted_start(e.name, 40));
  for (const auto& [name, type] : e.lists)
    if (!one_of(type, {"char", "uchar", "int8", "uint8"}))
      return fmt::format(
          "the length of its list \"{}\" is stored as {}; only one byte is read. Save it again with uchar",
          quoted_start(name, 40), quoted_start(type, 20));
  if (one_of(e.name, {"vertex", "vertices"}))
    for (const std::string_view axis : {"x", "y", "z"}) {
      const auto found = std::ranges::find(e.numbers, axis, &std::pair<std::string, std::string>::first);
      if (found == e.numbers.end() || !one_of(found->second, {"float", "float32", "double", "float64"}))
        return fmt::format("its vertices have no {} of type float or double", axis);
    }
  return {};
}

}  // namespace

std::string ply_trouble(std::string_view bytes) {
  std::string_view rest = bytes;
  std::vector<Element> elements;
  for (std::size_t line_number = 1;; ++line_number) {
    const auto end = rest.find('\n');
    const std::size_t read = bytes.size() - rest.size();
    if (end == std::string_view::npos || read + end > longest_header) return "its PLY header has no end";
    const auto words = words_of(rest.substr(0, end));
    rest.remove_prefix(end + 1);
    if (line_number == 1 && (words.size() != 1 || words[0] != "ply")) return "it does not begin as a PLY file";
    if (line_number == 1) continue;
    if (line_number == 2 && (words.size() != 3 || words[0] != "format"))
      return "its second line is not the format of a PLY file";
    if (line_number == 2) continue;
    if (words.empty()) return fmt::format("line {} of its PLY header is empty", line_number);
    if (words[0] == "end_header") break;
    if (words[0] == "element") {
      Element e;
      const auto number = words.size() == 3 ? words[2] : std::string_view{};
      const auto [end_of_number, fault] = std::from_chars(number.data(), number.data() + number.size(), e.count);
      if (number.empty() || fault != std::errc{} || end_of_number != number.data() + number.size())
        return fmt::format("line {} of its PLY header is not an element and its number", line_number);
      e.name = words[1];
      elements.push_back(std::move(e));
    } else if (words[0] == "property") {
      const bool list = words.size() == 5 && words[1] == "list";
      if (elements.empty() || (!list && words.size() != 3))
        return fmt::format("line {} of its PLY header is not a property", line_number);
      // Of two with one name the reader takes the first, which may be of the other sort.
      for (const auto* those : {&elements.back().lists, &elements.back().numbers})
        if (std::ranges::find(*those, words.back(), &std::pair<std::string, std::string>::first) != those->end())
          return fmt::format("line {} of its PLY header names a property that is there already", line_number);
      auto& into = list ? elements.back().lists : elements.back().numbers;
      into.emplace_back(words.back(), words[list ? 2 : 1]);
    } else if (!one_of(words[0], {"comment", "obj_info"})) {
      return fmt::format("line {} of its PLY header is neither element nor property nor comment", line_number);
    }
  }
  bool vertices = false, faces = false;
  for (const Element& e : elements) {
    if (std::string trouble = element_trouble(e, rest.size()); !trouble.empty()) return trouble;
    vertices |= one_of(e.name, {"vertex", "vertices"}) && e.count > 0;
    faces |= one_of(e.name, {"face", "faces"}) && e.count > 0;
  }
  if (!vertices || !faces) return "it has no faces: a cloud of points is not enough, mesh it first";
  return {};
}

}  // namespace peepwright::scan
