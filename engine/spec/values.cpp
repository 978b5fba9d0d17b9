// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/spec/values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

constexpr std::size_t longest_list = 200;

}  // namespace

double quantity_of(const toml::node& node, const Location& at, std::string_view path, Dimension dimension) {
  return written_of(node, at, path, dimension).value;
}

WrittenQuantity written_of(const toml::node& node, const Location& at, std::string_view path, Dimension dimension) {
  const bool pure = dimension == Dimension::ratio || dimension == Dimension::number;
  if (pure)
    if (const auto number = node.value<double>(); number && !node.is_string() && !node.is_boolean())
      return {*number, {}};
  const auto* text = node.as_string();
  if (!text) {
    const std::string_view accepted = accepted_units(dimension);
    refuse(at, path,
           pure ? fmt::format("is {}; write a number, for example {}", kind_of(node), example_value(dimension))
                : fmt::format("is {}; write a number and its unit in quotes ({}), for example {}", kind_of(node),
                              accepted, example_value(dimension)));
  }
  try {
    return parse_written(text->get(), dimension);
  } catch (const Error& e) {
    refuse(at, path, e.what());
  }
}

const std::string& text_value(const Entry& entry, std::string_view path) {
  const auto* text = entry.node->as_string();
  if (!text) refuse(entry.value_at, path, fmt::format("is {}; write text in quotes", kind_of(*entry.node)));
  return text->get();
}

std::string label_of(const Entry& entry, std::string_view path) {
  const std::string& text = text_value(entry, path);
  if (text.size() > longest_label)
    refuse(entry.value_at, path, fmt::format("is {} bytes long; at most {} are kept", text.size(), longest_label));
  for (const char c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
      refuse(entry.value_at, path, "has a line break or another control character; write one line of text");
  return text;
}

std::vector<Length> lengths_of(const Entry& entry, std::string_view path, Length least, Length most,
                               std::string_view example) {
  const auto* list = entry.node->as_array();
  if (!list)
    refuse(entry.value_at, path,
           fmt::format("is {}; write a list of lengths, for example {}", kind_of(*entry.node), example));
  if (list->empty() || list->size() > longest_list)
    refuse(entry.value_at, path, fmt::format("has {} entries; accepted are 1 to {}", list->size(), longest_list));
  std::vector<Length> out;
  for (const auto& node : *list) {
    const Location at = location(entry.value_at.file, node.source());
    const WrittenQuantity written = written_of(node, at, path, Dimension::length);
    const Length value = Length::mm(written.value);
    if (value < least || value > most)
      refuse(
          at, path,
          fmt::format("{} cannot be; accepted is {}", text_as_written(written.value, Dimension::length, written.unit),
                      range_as_written(least.mm(), most.mm(), Dimension::length, written.unit)));
    out.push_back(value);
  }
  return out;
}

std::vector<ForceReading> force_draw_of(const Entry& entry, std::string_view path) {
  constexpr std::string_view how =
      "write pairs of draw and force, for example [[\"8 in\", \"12 lbf\"], [\"9 in\", \"25 lbf\"], …]";
  const auto* list = entry.node->as_array();
  if (!list) refuse(entry.value_at, path, fmt::format("is {}; {}", kind_of(*entry.node), how));
  if (list->size() < least_force_readings || list->size() > longest_list)
    refuse(entry.value_at, path,
           fmt::format("has {} readings; accepted are {} to {}, in steps of at most one inch from brace to full draw",
                       list->size(), least_force_readings, longest_list));
  std::vector<ForceReading> out;
  for (const auto& node : *list) {
    const Location at = location(entry.value_at.file, node.source());
    const auto* pair = node.as_array();
    if (!pair || pair->size() != 2)
      refuse(at, path,
             fmt::format("reading {} is {}; {}", out.size() + 1,
                         pair ? fmt::format("a list of {}", pair->size()) : std::string(kind_of(node)), how));
    const auto part = [&](std::size_t i, Dimension dimension, double most) {
      const Location where = location(entry.value_at.file, (*pair)[i].source());
      const auto [value, unit] = written_of((*pair)[i], where, path, dimension);
      if (!(value >= 0 && value <= most))
        refuse(where, path,
               fmt::format("{} cannot be; accepted is {}", text_as_written(value, dimension, unit),
                           range_as_written(0, most, dimension, unit)));
      return value;
    };
    out.push_back({Length::mm(part(0, Dimension::length, info_of(Key::bow_draw_length).most)),
                   Force::n(part(1, Dimension::force, info_of(Key::bow_peak_weight).most)), at});
    if (out.size() > 1 && !(out.back().draw > out[out.size() - 2].draw))
      refuse(at, path,
             fmt::format("reading {} is at {} of draw and the one before it at {}; draws must rise", out.size(),
                         both_text(out.back().draw.mm()), both_text(out[out.size() - 2].draw.mm())));
  }
  return out;
}

GapRange range_of(const Entry& entry, std::string_view path) {
  constexpr std::string_view example = "[\"-1 mm\", \"3 mm\"], the least and the most that is wanted";
  const auto values = lengths_of(entry, path, Length::mm(-20), Length::mm(50), example);
  if (values.size() != 2 || values[0] > values[1])
    refuse(entry.value_at, path, fmt::format("write two lengths, least and most, for example {}", example));
  return {values[0], values[1]};
}

std::size_t choice_of(const Entry& entry, std::string_view path, std::initializer_list<std::string_view> accepted) {
  const std::string& text = text_value(entry, path);
  const auto same_letter = [](char a, char b) {
    return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
  };
  std::size_t index = 0;
  std::string listed;
  for (const std::string_view word : accepted) {
    if (std::ranges::equal(text, word, same_letter)) return index;
    ++index;
    listed += fmt::format("{}\"{}\"", listed.empty() ? "" : " or ", word);
  }
  refuse(entry.value_at, path, fmt::format("is \"{}\"; accepted is {}", quoted_start(text, 40), listed));
}

ScanMark scan_mark_of(const Entry& entry, const std::string& path, double unit_mm) {
  constexpr std::string_view how =
      "write its x, y and z in the scan, for example [31.5, -12.0, 88.4] or [\"31.5 mm\", \"-12 mm\", \"88.4 mm\"]";
  const auto* list = entry.node->as_array();
  if (!list || list->size() != 3)
    refuse(entry.value_at, path,
           fmt::format("is {}; {}",
                       list ? fmt::format("a list of {}", list->size()) : std::string(kind_of(*entry.node)), how));
  ScanMark mark{path.substr(mark_prefix.size()), {}, entry.value_at};
  constexpr double farthest_mm = 1e5;
  for (std::size_t i = 0; i < 3; ++i) {
    const toml::node& node = (*list)[i];
    const Location at = location(entry.value_at.file, node.source());
    const bool plain = node.is_integer() || node.is_floating_point();
    if (!plain && !node.is_string()) refuse(at, path, fmt::format("is {}; {}", kind_of(node), how));
    const double value = plain ? *node.value<double>() * unit_mm : quantity_of(node, at, path, Dimension::length);
    if (!(std::abs(value) <= farthest_mm))
      refuse(at, path,
             fmt::format("{:.4g} mm cannot be; a scan lies within {:.0f} mm of its own origin", value, farthest_mm));
    mark.place_mm[i] = value;
  }
  return mark;
}

}  // namespace peepwright
