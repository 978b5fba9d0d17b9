// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_merge.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "exporters/sweep/sweep_csv.hpp"
#include "exporters/sweep/sweep_file.hpp"

namespace peepwright {
namespace {

struct Part {
  std::string csv, header;
  SweepManifest manifest;
};

[[noreturn]] void refuse(const std::string& message) { throw Error(ErrorCode::input, message); }

Part part_of(const std::string& csv) {
  constexpr std::string_view ending = ".csv";
  if (!csv.ends_with(ending)) refuse(fmt::format("{}: is no .csv; give the tables that --part wrote", csv));
  Part part{csv, "", read_manifest(csv.substr(0, csv.size() - ending.size()) + ".json")};
  if (!part.manifest.complete || csv.ends_with(".partial.csv"))
    refuse(fmt::format("{}: is not finished; go on with it by --resume", csv));
  part.header = SweepReader(csv).header();
  return part;
}

void check_together(const std::vector<Part>& parts) {
  const Part& first = parts.front();
  for (const Part& p : parts) {
    if (p.manifest.version != first.manifest.version)
      refuse(fmt::format("{} is by peepwright {}, {} by {}", first.csv, first.manifest.version, p.csv,
                         p.manifest.version));
    if (p.manifest.fingerprint != first.manifest.fingerprint || p.manifest.variants != first.manifest.variants ||
        p.header != first.header)
      refuse(fmt::format("{} and {} are parts of different sweeps: their files or options differ", first.csv, p.csv));
    if (p.manifest.parts != first.manifest.parts)
      refuse(fmt::format("{} is one of {} parts, {} one of {}: they overlap", first.csv, first.manifest.parts, p.csv,
                         p.manifest.parts));
  }
  for (std::uint64_t number = 1, i = 0; number <= first.manifest.parts; ++number, ++i) {
    if (i >= parts.size() || parts[i].manifest.part > number)
      refuse(fmt::format("part {} of {} is missing", number, first.manifest.parts));
    if (parts[i].manifest.part < number)
      refuse(fmt::format("{} and {} are both part {} of {}", parts[i - 1].csv, parts[i].csv, number - 1,
                         first.manifest.parts));
  }
  if (parts.size() > first.manifest.parts)
    refuse(fmt::format("{} and {} are both part {} of {}", parts[parts.size() - 2].csv, parts.back().csv,
                       parts.back().manifest.part, first.manifest.parts));
}

/// Every row of a part in its place, none more, none less.
void check_rows(const Part& part) {
  SweepReader reader(part.csv);
  std::uint64_t next = part.manifest.rows.first;
  while (reader.next()) {
    if (!reader.line_whole() || next == part.manifest.rows.last || reader.field(0) != fmt::format("{}", next))
      refuse(
          fmt::format("{}: variant {} is damaged or not where it should be; compute this part again", part.csv, next));
    ++next;
  }
  if (next != part.manifest.rows.last)
    refuse(fmt::format("{}: has {} of {} rows; compute this part again", part.csv, next - part.manifest.rows.first,
                       part.manifest.rows.size()));
}

}  // namespace

MergedSweep merge_sweeps(const std::vector<std::string>& csvs, const std::string& folder) {
  if (csvs.empty()) refuse("no part was given");
  std::vector<Part> parts;
  parts.reserve(csvs.size());
  for (const std::string& csv : csvs) parts.push_back(part_of(csv));
  std::ranges::stable_sort(parts, {}, [](const Part& p) { return p.manifest.part; });
  check_together(parts);
  for (const Part& part : parts) check_rows(part);

  SweepManifest whole = parts.front().manifest;
  whole.part = whole.parts = 1;
  whole.rows = {0, whole.variants};
  whole.complete = false;
  // A merge that was broken off is gone on with; there is nothing to ask. What cannot be looked into is no such folder:
  // whoever begins in it says why.
  std::error_code status;
  const bool begun =
      std::filesystem::exists(std::filesystem::path(folder) / (sweep_stem(1, 1) + ".partial.json"), status);
  SweepFile file(folder, whole, parts.front().header + "\n",
                 begun ? SweepFile::Start::resume : SweepFile::Start::fresh);
  constexpr std::size_t piece = 1 << 20;
  for (const Part& part : parts) {
    SweepReader reader(part.csv);
    std::string text;
    std::uint64_t next = part.manifest.rows.first;
    while (reader.next()) {
      if (next++ < file.next()) continue;
      text += reader.line() + "\n";
      if (text.size() < piece) continue;
      file.append(text, next);
      text.clear();
    }
    if (!text.empty()) file.append(text, next);
  }
  file.finish();
  return {file.path(), whole};
}

}  // namespace peepwright
