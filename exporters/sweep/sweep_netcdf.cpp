// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_netcdf.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "engine/quantity/format.hpp"
#include "exporters/file/placed_file.hpp"
#include "exporters/sweep/netcdf_file.hpp"
#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright {
namespace {

enum class Kind { number, variant, verdict, yes_or_no, not_met, problem };

constexpr std::array<std::string_view, 3> verdicts{"clear", "tight", "touching"};
constexpr std::string_view other_problem = "another problem; the CSV has its words";

struct Column {
  Kind kind = Kind::number;
  std::size_t place = 0;  ///< in the CSV
  std::string values;     ///< of the rows not written yet
};

Kind kind_of(std::string_view name) {
  if (name == "variant") return Kind::variant;
  if (name == "clears") return Kind::yes_or_no;
  if (name == "not_met") return Kind::not_met;
  if (name == "problem") return Kind::problem;
  return std::ranges::any_of(clearance_names, [&](auto n) { return column_name(n) == name; }) ? Kind::verdict
                                                                                              : Kind::number;
}

NetcdfType type_of(Kind kind) {
  switch (kind) {
    case Kind::number: return NetcdfType::float64;
    case Kind::variant: return NetcdfType::int32;
    case Kind::problem: return NetcdfType::int16;
    case Kind::verdict:
    case Kind::yes_or_no:
    case Kind::not_met: return NetcdfType::int8;
  }
  return NetcdfType::float64;
}

/// Unit of a fixed column by its ending; a key's own where it is one.
void describe(std::string_view name, NetcdfVariable& v) {
  for (const KeyInfo& row : all_keys())
    if (column_name(row.key) == name) {
      v.attributes.push_back({"long_name", std::string(row.help)});
      if (const auto unit = shown_unit(row.dimension); !unit.empty())
        v.attributes.push_back({"units", std::string(unit)});
      return;
    }
  for (const SweepColumn& column : sweep_columns({}, true))
    if (column.name == name) v.attributes.push_back({"long_name", column.means});
  for (const auto& [ending, unit] : {std::pair{"_mm", "mm"}, {"_deg", "deg"}, {"_m", "m"}})
    if (name.ends_with(ending)) v.attributes.push_back({"units", unit});
}

NetcdfVariable variable_of(const std::string& name, Kind kind) {
  NetcdfVariable v;
  v.name = name;
  v.type = type_of(kind);
  v.dimensions = {0};
  describe(name, v);
  const std::vector<std::int8_t> none{-1};
  const auto meanings = [&](std::string_view attribute, std::vector<std::int8_t> values, std::string words) {
    v.attributes.push_back({"_FillValue", none});
    v.attributes.push_back({std::string(attribute), std::move(values)});
    v.attributes.push_back({"flag_meanings", std::move(words)});
  };
  switch (kind) {
    case Kind::number: v.attributes.push_back({"_FillValue", no_value}); break;
    case Kind::variant: break;
    case Kind::verdict: meanings("flag_values", {0, 1, 2}, fmt::format("{}", fmt::join(verdicts, " "))); break;
    case Kind::yes_or_no: meanings("flag_values", {0, 1}, "no yes"); break;
    case Kind::not_met: {
      std::vector<std::int8_t> masks;
      std::string words;
      for (std::size_t i = 0; i < clearance_names.size(); ++i) {
        masks.push_back(static_cast<std::int8_t>(1 << i));
        words += (i > 0 ? " " : "") + column_name(clearance_names[i]);
      }
      meanings("flag_masks", masks, words);
      break;
    }
    case Kind::problem: v.attributes.push_back({"_FillValue", std::int16_t{-1}}); break;
  }
  return v;
}

/// Distinct problems in the order they come; every row in its place.
std::vector<std::string> problem_texts(const std::string& csv, const SweepManifest& manifest) {
  SweepReader reader(csv);
  const std::size_t problem = reader.column("problem");
  if (problem == SweepReader::npos) throw Error(ErrorCode::input, fmt::format("{}: has no column {}", csv, "problem"));
  std::vector<std::string> out;
  std::uint64_t rows = 0;
  for (; reader.next(); ++rows) {
    if (!reader.line_whole() || reader.field(0) != fmt::format("{}", manifest.rows.first + rows))
      throw Error(ErrorCode::input,
                  fmt::format("{}: the row of variant {} is missing or damaged", csv, manifest.rows.first + rows));
    const std::string_view text = reader.field(problem);
    if (text.empty() || out.size() == most_problem_texts || std::ranges::find(out, text) != out.end()) continue;
    out.emplace_back(out.size() + 1 == most_problem_texts ? other_problem : text);
  }
  if (rows != manifest.rows.size())
    throw Error(ErrorCode::input, fmt::format("{}: has {} rows, the sweep {}", csv, rows, manifest.rows.size()));
  return out;
}

void add_value(const SweepReader& reader, Column& column,
               const std::map<std::string, std::int16_t, std::less<>>& problems) {
  const std::string_view text = reader.field(column.place);
  switch (column.kind) {
    case Kind::number: put(column.values, reader.number(column.place).value_or(no_value)); return;
    case Kind::variant: put(column.values, static_cast<std::int32_t>(reader.number(column.place).value_or(-1))); return;
    case Kind::problem: {
      const auto known = problems.find(text);
      const auto last = static_cast<std::int16_t>(problems.size() - 1);
      put(column.values, text.empty() ? std::int16_t{-1} : known != problems.end() ? known->second : last);
      return;
    }
    case Kind::verdict: {
      const auto at = std::ranges::find(verdicts, text);
      if (at == verdicts.end() && !text.empty())
        throw Error(ErrorCode::input,
                    fmt::format("\"{}\" is no verdict of a sweep's table; it was changed", text.substr(0, 40)));
      put(column.values, static_cast<std::int8_t>(text.empty() ? -1 : at - verdicts.begin()));
      return;
    }
    case Kind::yes_or_no: put(column.values, static_cast<std::int8_t>(text.empty() ? -1 : text == "yes")); return;
    case Kind::not_met: {
      if (!reader.field(reader.column("problem")).empty()) return put(column.values, std::int8_t{-1});
      int mask = 0;
      const std::string framed = fmt::format(";{};", text);
      for (std::size_t i = 0; i < clearance_names.size(); ++i)
        if (framed.find(fmt::format(";{};", clearance_names[i])) != std::string::npos) mask |= 1 << i;
      put(column.values, static_cast<std::int8_t>(mask));
      return;
    }
  }
}

}  // namespace

std::string write_sweep_netcdf(const std::string& csv, const SweepManifest& manifest) {
  const std::vector<std::string> texts = problem_texts(csv, manifest);
  std::size_t width = 1;
  for (const std::string& text : texts) width = std::max(width, text.size());
  NetcdfLayout layout;
  // "problem_kind" for the column "problem": a variable that bears a dimension's name is its coordinate, and this is
  // none.
  layout.dimensions = {{"variant", manifest.rows.size()},
                       {"problem_kind", std::max<std::size_t>(texts.size(), 1)},
                       {"character", width}};
  layout.attributes = {{"title", std::string("peepwright sweep")},
                       {"source", "peepwright " + manifest.version},
                       {"fingerprint", manifest.fingerprint},
                       {"Conventions", std::string("CF-1.8")}};
  SweepReader reader(csv);
  std::vector<Column> columns;
  for (std::size_t k = 0; k < reader.names().size(); ++k) {
    const std::string& name = reader.names()[k];
    columns.push_back({kind_of(name), k, {}});
    layout.variables.push_back(variable_of(name, columns.back().kind));
  }
  layout.variables.push_back({"problem_text", NetcdfType::text, {1, 2}, {}, 0});

  const std::string path = csv.substr(0, csv.size() - std::string_view(".csv").size()) + ".nc";
  PlacedFile file(path);
  file.write(netcdf_header(layout), 0);
  std::string words;
  std::map<std::string, std::int16_t, std::less<>> problems;
  for (const std::string& text : texts) {
    problems.emplace(text, static_cast<std::int16_t>(problems.size()));
    words += text + std::string(width - text.size(), '\0');
  }
  file.write(words, layout.variables.back().begin);

  constexpr std::uint64_t rows_at_a_time = 1024;
  std::uint64_t written = 0, read = 0;
  const auto write_out = [&] {
    for (std::size_t k = 0; k < columns.size(); ++k) {
      file.write(columns[k].values, layout.variables[k].begin + written * size_of(layout.variables[k].type));
      columns[k].values.clear();
    }
    written = read;
  };
  while (reader.next()) {
    for (Column& column : columns) add_value(reader, column, problems);
    if (++read - written == rows_at_a_time) write_out();
  }
  write_out();
  file.finish(layout.file_size);
  return std::filesystem::path(path).filename().string();
}

}  // namespace peepwright
