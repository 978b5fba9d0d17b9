// SPDX-License-Identifier: GPL-3.0-or-later
// TOML to Spec.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <functional>

#include "engine/quantity/format.hpp"
#include "engine/spec/values.hpp"

namespace peepwright {
namespace {

/// The scan's keys go together. Removes what it took.
void take_scan(Spec& spec, Entries& entries) {
  constexpr std::string_view scan_key = "archer.face.scan", unit_key = "archer.face.scan_unit";
  const auto file = entries.find(std::string(scan_key)), unit = entries.find(std::string(unit_key));
  auto first = entries.lower_bound(std::string(mark_prefix)), last = first;
  while (last != entries.end() && last->first.starts_with(mark_prefix)) ++last;
  if (file == entries.end()) {
    const auto orphan = unit != entries.end() ? unit : first;
    if (unit != entries.end() || first != last)
      refuse(orphan->second.key_at, orphan->first, "is given without archer.face.scan, the file it belongs to");
    return;
  }
  ScanSource scan;
  const std::string& name = text_value(file->second, scan_key);
  if (name.empty() || name.size() > longest_label) refuse(file->second.value_at, scan_key, "is not a file's name");
  scan.where = file->second.value_at;
  scan.name = name;
  scan.file = (std::filesystem::path(scan.where.file).parent_path() / name).string();
  if (unit == entries.end())
    refuse(file->second.key_at, scan_key,
           "needs archer.face.scan_unit beside it: \"mm\", \"cm\", \"m\" or \"in\". Mesh files do not say their unit");
  constexpr double units[] = {1, 10, 1000, unit::inch_mm};
  scan.unit_mm = units[choice_of(unit->second, unit_key, {"mm", "cm", "m", "in"})];
  for (auto it = first; it != last; ++it) {
    bool known = false;
    for (const TextKeyInfo& row : text_keys()) known |= row.path == it->first;
    if (!known) refuse_unknown(it->second.key_at, it->first);
    scan.marks.push_back(scan_mark_of(it->second, it->first, scan.unit_mm));
  }
  for (const std::string_view needed :
       {"pupil_left", "pupil_right", "pronasale", "sublabiale", "cheilion_left", "cheilion_right"})
    if (std::ranges::find(scan.marks, needed, &ScanMark::name) == scan.marks.end())
      refuse(file->second.key_at, scan_key, fmt::format("needs {}{} = [x, y, z] beside it", mark_prefix, needed));
  spec.scan = std::move(scan);
  entries.erase(first, last);
  entries.erase(file);
  entries.erase(unit);
}

bool take_text_key(Spec& spec, const std::string& path, const Entry& entry) {
  const std::map<std::string_view, std::function<void()>> setters{
      {"archer.label", [&] { spec.archer_label = label_of(entry, path); }},
      {"bow.label", [&] { spec.bow_label = label_of(entry, path); }},
      {"arrow.label", [&] { spec.arrow_label = label_of(entry, path); }},
      {"archer.hand",
       [&] {
         spec.hand = choice_of(entry, path, {"right", "left"}) == 0 ? Hand::right : Hand::left;
       }},
      {"archer.face.build",
       [&] {
         spec.build =
             choice_of(entry, path, {"adult-male", "adult-female"}) == 0 ? Build::adult_male : Build::adult_female;
       }},
      {"bow.draw_length_to",
       [&] {
         spec.draw_length_includes_offset = choice_of(entry, path, {"pivot+1.75in", "pivot"}) == 0;
       }},
      {"bow.force_draw", [&] { spec.force_draw = force_draw_of(entry, path); }},
      {"peep.bores",
       [&] {
         spec.peep_bores = lengths_of(entry, path, Length::mm(0.4), Length::mm(12), "[\"1/8 in\", \"3/16 in\"]");
       }},
      {"distances.marks",
       [&] { spec.mark_distances = lengths_of(entry, path, Length::m(3), Length::m(150), "[\"18 m\", \"30 m\"]"); }},
      {"wanted.string_nose", [&] { spec.wanted_string_nose = range_of(entry, path); }},
      {"wanted.string_mouth", [&] { spec.wanted_string_mouth = range_of(entry, path); }},
  };
  const auto found = setters.find(path);
  if (found == setters.end()) return false;
  found->second();
  return true;
}

/// One uncertainty for all readings of the draw-force table, the one measured input that is a list.
void take_force_draw_uncertainty(Spec& spec, const std::string& path, const Entry& entry) {
  const double value = quantity_of(*entry.node, entry.value_at, path, Dimension::force);
  constexpr double most_n = 50;
  if (!(value > 0 && value <= most_n))
    refuse(entry.value_at, path,
           fmt::format("{} cannot be the standard uncertainty of a reading; accepted is more than 0 to {}",
                       shown_text(value, Dimension::force), shown_text(most_n, Dimension::force)));
  if (spec.force_draw.empty())
    refuse(entry.key_at, path, "gives the uncertainty of bow.force_draw, which is not given itself");
  spec.force_draw_uncertainty = Force::n(value);
}

void take_uncertainty(Spec& spec, const std::string& path, const Entry& entry) {
  const std::string_view of = std::string_view(path).substr(uncertainty_prefix.size());
  if (of == "bow.force_draw") {
    take_force_draw_uncertainty(spec, path, entry);
    return;
  }
  const KeyInfo* row = find_key(of);
  if (!row) refuse_value_or_unknown(entry, path);
  if (row->absence == Absence::chosen)
    refuse(entry.key_at, path, "is a choice, not a measurement, and has no uncertainty");
  const double value = quantity_of(*entry.node, entry.value_at, path, row->dimension);
  const double most = (row->most - row->least) / 2;
  if (!(value >= 0 && value <= most))
    refuse(entry.value_at, path,
           "must be a standard uncertainty of 0 or more, and less than half of the range the key accepts");
  const bool by_scan = spec.scan && spec.scan->gives(row->key);
  if (row->absence != Absence::hidden && !spec.has(row->key) && !by_scan)
    refuse(entry.key_at, path, fmt::format("gives the uncertainty of {}, which is not given itself", of));
  spec.set_uncertainty(row->key, value, /*by_person=*/true);
}

/// Two files that each tell a bow are one too many, as "my-fit/*.toml" brings them about: says whose numbers count, and
/// what of the former bow stands among them.
std::string two_bows(const Entries& entries) {
  for (const std::string_view number : bow_numbers) {
    const auto found = entries.find(std::string(number));
    if (found == entries.end() || found->second.instead_of.empty()) continue;
    const std::string &later = found->second.key_at.file, &former = found->second.instead_of;
    if (later == former) continue;
    std::string left;
    for (const auto& [path, entry] : entries)
      if (path.starts_with("bow.") && path != "bow.label" && entry.key_at.file == former)
        left += (left.empty() ? "" : ", ") + path;
    return fmt::format("{} is of {}, which came after {}{}", number, later, former,
                       left.empty() ? "; nothing of that one's bow is left"
                                    : fmt::format("; of that one's bow there remain {}: if these are two bows, give "
                                                  "the files of one",
                                                  left));
  }
  return {};
}

}  // namespace

Spec parse_spec(const std::vector<std::pair<std::string, std::string>>& texts) {
  if (texts.empty()) throw Error(ErrorCode::input, "no input file was given");
  std::vector<toml::table> documents;
  documents.reserve(texts.size());
  Entries entries;
  for (const auto& [name, text] : texts) {
    documents.push_back(parse_toml(name, text));
    flatten(documents.back(), "", name, entries);
  }
  Spec spec;
  take_scan(spec, entries);
  for (const auto& [path, entry] : entries) {
    if (path == "uncertainty") refuse_value_or_unknown(entry, path);
    if (path.starts_with(uncertainty_prefix) || take_text_key(spec, path, entry)) continue;
    const KeyInfo* row = find_key(path);
    if (!row || row->absence == Absence::hidden) refuse_value_or_unknown(entry, path);
    const auto [value, unit] = written_of(*entry.node, entry.value_at, path, row->dimension);
    spec.give(row->key, value, entry.value_at, unit);
  }
  // After all values: an uncertainty may stand in another file, or before its value.
  for (const auto& [path, entry] : entries)
    if (path.starts_with(uncertainty_prefix)) take_uncertainty(spec, path, entry);
  check_spec(spec);
  spec.two_bows = two_bows(entries);
  spec.suit_assumptions();
  return spec;
}

Spec read_spec(const std::vector<std::string>& files) {
  std::vector<std::pair<std::string, std::string>> texts;
  texts.reserve(files.size());
  for (const std::string& file : files) texts.emplace_back(file, text_of_file(file));
  return parse_spec(texts);
}

}  // namespace peepwright
