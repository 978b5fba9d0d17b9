// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/starter.hpp"

#include <algorithm>
#include <array>

namespace peepwright::cli {
namespace {

bool goes_with_inches(std::string_view value) {
  constexpr std::array<std::string_view, 5> units{" in", " yd", " ft/s", " lbf", " gr"};
  return std::ranges::any_of(units, [&](std::string_view unit) { return value.ends_with(unit); });
}

std::string_view chosen(std::string_view first, std::string_view second, std::string_view units) {
  if (units.empty()) return first;
  return goes_with_inches(first) == (units == "in") ? first : second;
}

/// One line; where a value was chosen, the comment after it is put back in its column.
std::string starter_line(std::string line, std::string_view units) {
  bool changed = false;
  for (std::size_t bar = 0; (bar = line.find('|')) != std::string::npos; changed = true) {
    const std::size_t from = line.rfind('"', bar) + 1, to = line.find('"', bar);
    const std::string one(chosen(std::string_view(line).substr(from, bar - from),
                                 std::string_view(line).substr(bar + 1, to - bar - 1), units));
    line.replace(from, to - from, one);
  }
  const std::size_t comment = line.rfind(" # ");
  if (!changed || comment == std::string::npos) return line;
  constexpr std::size_t column = 35;
  const std::string words = line.substr(comment + 1);
  line.resize(line.find_last_not_of(' ', comment) + 1);
  line.resize(std::max(column, line.size() + 1), ' ');
  return line + words;
}

}  // namespace

std::string starter_text(std::string_view text, std::string_view units) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    out += starter_line(std::string(text.substr(at, end - at)), units) + '\n';
    at = end + 1;
  }
  return out;
}

}  // namespace peepwright::cli
