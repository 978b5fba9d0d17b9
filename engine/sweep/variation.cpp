// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/sweep/variation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/quantity/attempt.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

[[noreturn]] void refuse(std::string_view text, const std::string& problem) {
  throw Error(ErrorCode::input, fmt::format("--vary \"{}\": {}", quoted_start(text, 120), problem));
}

std::string form_of(std::string_view path, Dimension dimension) {
  return dimension == Dimension::length  ? fmt::format("write {}=\"28 in..36 in/0.5 in\"", path)
         : dimension == Dimension::angle ? fmt::format("write {}=\"70 deg..90 deg/2 deg\"", path)
         : dimension == Dimension::mass  ? fmt::format("write {}=\"350 gr..450 gr/25 gr\"", path)
         : dimension == Dimension::speed ? fmt::format("write {}=\"250 ft/s..300 ft/s/10 ft/s\"", path)
         : dimension == Dimension::force ? fmt::format("write {}=\"40 lbf..60 lbf/5 lbf\"", path)
                                         : fmt::format("write {}=\"0.65..0.85/0.05\"", path);
}

const KeyInfo& key_named(std::string_view text, std::string_view path) {
  const KeyInfo* row = find_key(path);
  if (row && row->absence != Absence::hidden) return *row;
  for (const TextKeyInfo& other : text_keys())
    if (other.path == path) refuse(text, fmt::format("{} is no number and cannot be varied", path));
  const std::string_view near = nearest_path(path);
  refuse(text, near.empty() ? std::string("unknown key; \"peepwright keys\" lists every key")
                            : fmt::format("unknown key; did you mean {}?", near));
}

std::optional<WrittenQuantity> read(std::string_view text, Dimension dimension) {
  return if_possible([&] { return parse_written(text, dimension); });
}

/// Where the range begins; what is wrong with it is told in the words of whoever reads it.
WrittenQuantity begin_of(std::string_view text, std::string_view begin, const KeyInfo& row) {
  try {
    return parse_written(begin, row.dimension);
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    refuse(text, fmt::format("where it begins {}; {}", e.what(), form_of(row.path, row.dimension)));
  }
}

std::string shown(const WrittenQuantity& written, const KeyInfo& row) {
  return text_as_written(written.value, row.dimension, written.unit);
}

}  // namespace

double Variation::grid_value(std::uint64_t i) const {
  const double value = from + static_cast<double>(i) * step;
  return i + 1 == count && std::abs(value - to) < step * 1e-6 ? to : value;
}

Variation parse_variation(std::string_view text) {
  const auto equals = text.find('=');
  if (equals == std::string_view::npos)
    refuse(text, "has no \"=\"; write KEY=FROM..TO/STEP, for example bow.axle_to_axle=\"28 in..36 in/0.5 in\"");
  const KeyInfo& row = key_named(text, text.substr(0, equals));
  const std::string_view range = text.substr(equals + 1);
  const auto dots = range.find("..");
  if (dots == std::string_view::npos) refuse(text, "has no \"..\"; " + form_of(row.path, row.dimension));
  const std::string_view rest = range.substr(dots + 2);
  const WrittenQuantity from = begin_of(text, range.substr(0, dots), row);
  // A slash is also in "1/2 in" and "ft/s": the one that has a value on both sides parts end and step.
  std::optional<std::pair<WrittenQuantity, WrittenQuantity>> parts;
  for (auto slash = rest.find('/'); slash != std::string_view::npos; slash = rest.find('/', slash + 1)) {
    const auto to = read(rest.substr(0, slash), row.dimension), step = read(rest.substr(slash + 1), row.dimension);
    if (!to || !step) continue;
    if (parts) refuse(text, "can be read in two ways; write decimal numbers in the place of fractions");
    parts = std::pair{*to, *step};
  }
  if (!parts) refuse(text, "has no end and step that can be read; " + form_of(row.path, row.dimension));

  const auto& [to, step] = *parts;
  Variation out{row.key, from.value, to.value, step.value, 0};
  for (const WrittenQuantity& end : {from, to})
    if (!(end.value >= row.least && end.value <= row.most))
      refuse(text, fmt::format("{} cannot be; {} accepts {}", shown(end, row), row.path,
                               range_as_written(row.least, row.most, row.dimension, end.unit)));
  if (!(out.step > 0)) refuse(text, fmt::format("the step is {}; it must be more than 0", shown(step, row)));
  if (out.from > out.to)
    refuse(text, fmt::format("is empty: it begins at {} and ends at {}", shown(from, row), shown(to, row)));
  const double steps = (out.to - out.from) / out.step;
  if (!(steps < static_cast<double>(most_values)))
    refuse(text, fmt::format("makes {:.3g} values; at most {} are taken. Take a longer step", steps + 1, most_values));
  out.count = static_cast<std::uint64_t>(std::floor(steps * (1 + 1e-12) + 1e-9)) + 1;
  return out;
}

std::string column_name(Key key) {
  const KeyInfo& row = info_of(key);
  std::string unit(shown_unit(row.dimension));
  if (unit == "m/s") unit = "m_s";
  return std::string(row.path) + (unit.empty() ? "" : "_" + unit);
}

}  // namespace peepwright
