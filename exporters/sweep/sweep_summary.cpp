// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_summary.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright {
namespace {

/// Grids of more values than this, and hypercubes, are summed up over so many equal pieces of the range.
constexpr std::uint64_t most_groups = 100, pieces = 40;

std::int64_t group_of(const SweepManifest& manifest, const SweepManifest::Axis& axis, double value) {
  // Bounded before they are whole numbers: a table and its description may come from anywhere.
  if (manifest.latin_points == 0 && axis.values <= most_groups)
    return axis.step > 0 ? std::llround(std::clamp<double>((value - axis.from) / axis.step, 0, most_groups)) : 0;
  const double share = axis.to > axis.from ? (value - axis.from) / (axis.to - axis.from) : 0;
  return static_cast<std::int64_t>(std::clamp<double>(share * static_cast<double>(pieces), 0, pieces - 1));
}

struct Places {
  std::size_t mark, uncertainty, height, longest, forward, up, clears, not_met, problem;
  std::vector<std::size_t> gaps, axes;
};

Places places_in(const SweepReader& reader, const SweepManifest& manifest, const std::string& csv) {
  const auto place = [&](const std::string& name) {
    const std::size_t at = reader.column(name);
    if (at == SweepReader::npos) throw Error(ErrorCode::input, fmt::format("{}: has no column {}", csv, name));
    return at;
  };
  Places p{place("mark_mm"),
           reader.column("mark_uncertainty_mm"),
           place("peep_height_mm"),
           place("longest_m"),
           place("head_forward_mm"),
           place("head_up_mm"),
           place("clears"),
           place("not_met"),
           place("problem"),
           {},
           {}};
  for (const std::string_view name : clearance_names) {
    std::string column(name);
    std::ranges::replace(column, '-', '_');
    p.gaps.push_back(place(column + "_mm"));
  }
  for (const auto& axis : manifest.axes) p.axes.push_back(place(axis.column));
  return p;
}

/// What one solved row adds to each group it belongs to.
struct RowNumbers {
  std::uint64_t variant = 0;
  bool solved = false, clear = false;
  double mark = 0, longest = 0;
  std::optional<double> uncertainty;
};

void add_to(SweepGroup& group, double key, const RowNumbers& row) {
  group.key_sum += key;
  ++group.tried;
  if (!row.solved) return;
  group.clear += row.clear;
  group.mark.add(row.mark, row.variant);
  group.longest.add(row.longest, row.variant);
  if (row.uncertainty) group.uncertainty.add(*row.uncertainty, row.variant);
}

}  // namespace

void Extent::add(double value, std::uint64_t variant) {
  if (count == 0 || value < least) least = value, least_at = variant;
  if (count == 0 || value > most) most = value, most_at = variant;
  sum += value;
  ++count;
}

SweepSummary summarise(const std::string& csv, const SweepManifest& manifest) {
  SweepSummary out;
  out.manifest = manifest;
  out.clearances.resize(clearance_names.size());
  out.by_axis.resize(manifest.axes.size());
  SweepReader reader(csv);
  const Places at = places_in(reader, manifest, csv);
  while (reader.next()) {
    const std::uint64_t variant = manifest.rows.first + out.rows;
    if (!reader.line_whole() || reader.field(0) != fmt::format("{}", variant))
      throw Error(ErrorCode::input, fmt::format("{}: the row of variant {} is missing or damaged", csv, variant));
    ++out.rows;
    RowNumbers row;
    row.variant = variant;
    if (const std::string_view problem = reader.field(at.problem); !problem.empty()) {
      const auto known = out.problems.find(std::string(problem));
      if (known != out.problems.end()) ++known->second;
      else if (out.problems.size() < SweepSummary::most_problems) out.problems.emplace(problem, 1);
    } else {
      row.solved = true;
      row.clear = reader.field(at.clears) == "yes";
      row.mark = reader.number(at.mark).value_or(no_value);
      row.longest = reader.number(at.longest).value_or(no_value);
      if (at.uncertainty != SweepReader::npos) row.uncertainty = reader.number(at.uncertainty);
      ++out.solved;
      out.clear += row.clear;
      const double height = reader.number(at.height).value_or(no_value);
      out.mark.add(row.mark, variant);
      out.height.add(height, variant);
      out.longest.add(row.longest, variant);
      out.forward.add(reader.number(at.forward).value_or(no_value), variant);
      out.up.add(reader.number(at.up).value_or(no_value), variant);
      out.longest_by_height[std::llround(height)].add(row.longest, variant);
      const std::string_view not_met = reader.field(at.not_met);
      std::size_t missed = 0;
      for (std::size_t i = 0; i < clearance_names.size(); ++i) {
        out.clearances[i].gap.add(reader.number(at.gaps[i]).value_or(no_value), variant);
        const bool unmet =
            fmt::format(";{};", not_met).find(fmt::format(";{};", clearance_names[i])) != std::string::npos;
        out.clearances[i].not_met += unmet;
        missed += unmet;
      }
      if (missed > out.worst_count) out.worst_count = missed, out.worst_at = variant;
    }
    std::vector<std::int64_t> groups;
    for (std::size_t k = 0; k < manifest.axes.size(); ++k) {
      const auto value = reader.number(at.axes[k]);
      if (!value) break;
      groups.push_back(group_of(manifest, manifest.axes[k], *value));
      add_to(out.by_axis[k][groups.back()], *value, row);
    }
    if (groups.size() >= 2) add_to(out.by_two[{groups[0], groups[1]}], 0, row);
  }
  if (out.rows != manifest.rows.size())
    throw Error(ErrorCode::input, fmt::format("{}: has {} rows, the sweep {}", csv, out.rows, manifest.rows.size()));
  return out;
}

}  // namespace peepwright
