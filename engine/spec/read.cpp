// SPDX-License-Identifier: GPL-3.0-or-later
// TOML to Spec. Every message carries file:line:column, the key, what is wrong and what is accepted.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>
#include <toml++/toml.h>

#include "engine/quantity/format.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {
namespace {

constexpr std::string_view uncertainty_prefix = "uncertainty.";
constexpr std::size_t longest_list = 200;
constexpr std::size_t longest_label = 1000;  // bytes

struct Entry {
  const toml::node* node;
  Location key_at, value_at;
};
/// Sorted by path, so that of two mistakes the same one is always reported.
using Entries = std::map<std::string, Entry>;

Location location(const std::string& file, const toml::source_region& at) {
  return {file, static_cast<unsigned>(at.begin.line), static_cast<unsigned>(at.begin.column)};
}

std::string_view kind_of(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string: return "text";
    case toml::node_type::integer:
    case toml::node_type::floating_point: return "a bare number";
    case toml::node_type::boolean: return "true or false";
    case toml::node_type::array: return "a list";
    case toml::node_type::table: return "a table";
    default: return "a date or time";
  }
}

[[noreturn]] void refuse(const Location& at, std::string_view path, std::string_view problem) {
  throw Error(ErrorCode::input, at, fmt::format("{}: {}", path, problem));
}

bool is_known_table(std::string_view path) {
  const auto holds = [&](std::string_view candidate) {
    return candidate.size() > path.size() && candidate.starts_with(path) && candidate[path.size()] == '.';
  };
  for (const KeyInfo& row : all_keys())
    if (holds(row.path)) return true;
  for (const TextKeyInfo& row : text_keys())
    if (holds(row.path)) return true;
  return false;
}

[[noreturn]] void refuse_unknown(const Location& at, const std::string& path) {
  const std::string shown = path.size() > 80 ? path.substr(0, 80) + "…" : path;
  const std::string_view near = nearest_path(path);
  refuse(at, shown,
         near.empty() ? "unknown key; \"peepwright keys\" lists every key"
                      : fmt::format("unknown key; did you mean {}? (\"peepwright keys\" lists every key)", near));
}

/// A later file that brings another bow must not leave the first one's readings at full draw standing.
void refuse_two_bows(std::string_view path, const Location& first, const Location& second, const Entries& entries) {
  if (path != "bow.axle_to_axle" && path != "bow.brace_height" && path != "bow.draw_length") return;
  for (const auto& [other, entry] : entries)
    if (other.starts_with("bow.full_draw.") || other.starts_with("peep.tied.") || other.starts_with("bow.cam."))
      if (entry.key_at.file == first.file && first.file != second.file)
        throw Error(ErrorCode::input, second,
                    fmt::format("{} replaces that of {}, whose {} was measured on that bow; give the files of one bow only",
                                path, first.file, other));
}

/// Leaves of the document as "a.b.c" → node. Tables that no key lives in are unknown keys themselves.
void flatten(const toml::table& table, const std::string& prefix, const std::string& file, Entries& out) {
  for (const auto& [key, node] : table) {
    const std::string path = prefix.empty() ? std::string(key.str()) : prefix + "." + std::string(key.str());
    const Location key_at = location(file, key.source());
    const std::string_view bare =
        path.starts_with(uncertainty_prefix) ? std::string_view(path).substr(uncertainty_prefix.size()) : path;
    if (const auto* inner = node.as_table()) {
      if (path != "uncertainty" && !is_known_table(bare)) refuse_unknown(key_at, path);
      flatten(*inner, path, file, out);
    } else {
      if (const auto before = out.find(path); before != out.end()) refuse_two_bows(path, before->second.key_at, key_at, out);
      out[path] = {&node, key_at, location(file, node.source())};
    }
  }
}

double quantity_of(const toml::node& node, const Location& at, std::string_view path, Dimension dimension) {
  const bool pure = dimension == Dimension::ratio || dimension == Dimension::number;
  if (pure)
    if (const auto number = node.value<double>(); number && !node.is_string() && !node.is_boolean()) return *number;
  const auto* text = node.as_string();
  if (!text) {
    const std::string_view accepted = accepted_units(dimension);
    refuse(at, path,
           pure ? fmt::format("is {}; write a number, for example {}", kind_of(node), example_value(dimension))
                : fmt::format("is {}; write a number and its unit in quotes ({}), for example {}", kind_of(node),
                              accepted, example_value(dimension)));
  }
  try {
    return parse_quantity(text->get(), dimension);
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

std::vector<Length> lengths_of(const Entry& entry, std::string_view path, Length least, Length most) {
  const auto* list = entry.node->as_array();
  if (!list)
    refuse(entry.value_at, path, fmt::format("is {}; write a list of lengths, for example [\"18 m\", \"30 m\"]",
                                             kind_of(*entry.node)));
  if (list->empty() || list->size() > longest_list)
    refuse(entry.value_at, path, fmt::format("has {} entries; accepted are 1 to {}", list->size(), longest_list));
  std::vector<Length> out;
  for (const auto& node : *list) {
    const Location at = location(entry.value_at.file, node.source());
    const Length value = Length::mm(quantity_of(node, at, path, Dimension::length));
    if (value < least || value > most)
      refuse(at, path, fmt::format("{:.6g} mm cannot be; accepted is {:.6g} to {:.6g} mm", value.mm(), least.mm(), most.mm()));
    out.push_back(value);
  }
  return out;
}

std::vector<ForceReading> force_draw_of(const Entry& entry, std::string_view path) {
  constexpr std::string_view how = "write pairs of draw and force, for example [[\"8 in\", \"12 lbf\"], [\"9 in\", \"25 lbf\"], …]";
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
      refuse(at, path, fmt::format("reading {} is {}; {}", out.size() + 1,
                                   pair ? fmt::format("a list of {}", pair->size()) : std::string(kind_of(node)), how));
    const auto part = [&](std::size_t i, Dimension dimension, double most) {
      const Location where = location(entry.value_at.file, (*pair)[i].source());
      const double value = quantity_of((*pair)[i], where, path, dimension);
      if (!(value >= 0 && value <= most))
        refuse(where, path, fmt::format("{:.6g} {} cannot be; accepted is 0 to {:.6g}", value, shown_unit(dimension), most));
      return value;
    };
    out.push_back({Length::mm(part(0, Dimension::length, info_of(Key::bow_draw_length).most)),
                   Force::n(part(1, Dimension::force, info_of(Key::bow_peak_weight).most)), at});
    if (out.size() > 1 && !(out.back().draw > out[out.size() - 2].draw))
      refuse(at, path, fmt::format("reading {} is at {:.1f} mm of draw and the one before it at {:.1f} mm; draws must rise",
                                   out.size(), out.back().draw.mm(), out[out.size() - 2].draw.mm()));
  }
  return out;
}

GapRange range_of(const Entry& entry, std::string_view path) {
  const auto values = lengths_of(entry, path, Length::mm(-20), Length::mm(50));
  if (values.size() != 2 || values[0] > values[1])
    refuse(entry.value_at, path, "write two lengths, least and most, for example [\"-1 mm\", \"3 mm\"]");
  return {values[0], values[1]};
}

/// One of a few words; the index of the one that was written.
std::size_t choice_of(const Entry& entry, std::string_view path, std::initializer_list<std::string_view> accepted) {
  const std::string& text = text_value(entry, path);
  std::size_t index = 0;
  std::string listed;
  for (const std::string_view word : accepted) {
    if (text == word) return index;
    ++index;
    listed += fmt::format("{}\"{}\"", listed.empty() ? "" : " or ", word);
  }
  refuse(entry.value_at, path, fmt::format("is \"{}\"; accepted is {}", text.substr(0, 40), listed));
}

constexpr std::string_view mark_prefix = "archer.face.scan_landmarks.";

/// Text before units are known: plain numbers count in the scan's unit, so marks are taken after all other keys.
ScanMark scan_mark_of(const Entry& entry, const std::string& path, double unit_mm) {
  constexpr std::string_view how = "write its x, y and z in the scan, for example [31.5, -12.0, 88.4] or [\"31.5 mm\", \"-12 mm\", \"88.4 mm\"]";
  const auto* list = entry.node->as_array();
  if (!list || list->size() != 3)
    refuse(entry.value_at, path, fmt::format("is {}; {}", list ? fmt::format("a list of {}", list->size()) : std::string(kind_of(*entry.node)), how));
  ScanMark mark{path.substr(mark_prefix.size()), {}, entry.value_at};
  constexpr double farthest_mm = 1e5;
  for (std::size_t i = 0; i < 3; ++i) {
    const toml::node& node = (*list)[i];
    const Location at = location(entry.value_at.file, node.source());
    const bool plain = node.is_integer() || node.is_floating_point();
    if (!plain && !node.is_string()) refuse(at, path, fmt::format("is {}; {}", kind_of(node), how));
    const double value = plain ? *node.value<double>() * unit_mm : quantity_of(node, at, path, Dimension::length);
    if (!(std::abs(value) <= farthest_mm)) refuse(at, path, fmt::format("{:.4g} mm cannot be; a scan lies within {:.0f} mm of its own origin", value, farthest_mm));
    mark.place_mm[i] = value;
  }
  return mark;
}

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
    refuse(file->second.key_at, scan_key, "needs archer.face.scan_unit beside it: \"mm\", \"cm\", \"m\" or \"in\". Mesh files do not say their unit");
  constexpr double units[] = {1, 10, 1000, unit::inch_mm};
  scan.unit_mm = units[choice_of(unit->second, unit_key, {"mm", "cm", "m", "in"})];
  for (auto it = first; it != last; ++it) {
    bool known = false;
    for (const TextKeyInfo& row : text_keys()) known |= row.path == it->first;
    if (!known) refuse_unknown(it->second.key_at, it->first);
    scan.marks.push_back(scan_mark_of(it->second, it->first, scan.unit_mm));
  }
  for (const std::string_view needed : {"pupil_left", "pupil_right", "pronasale", "sublabiale", "cheilion_left", "cheilion_right"})
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
       [&] { spec.hand = choice_of(entry, path, {"right", "left"}) == 0 ? Hand::right : Hand::left; }},
      {"archer.face.build",
       [&] {
         spec.build = choice_of(entry, path, {"adult-male", "adult-female"}) == 0 ? Build::adult_male
                                                                                  : Build::adult_female;
       }},
      {"bow.draw_length_to",
       [&] { spec.draw_length_includes_offset = choice_of(entry, path, {"pivot+1.75in", "pivot"}) == 0; }},
      {"bow.force_draw", [&] { spec.force_draw = force_draw_of(entry, path); }},
      {"peep.bores", [&] { spec.peep_bores = lengths_of(entry, path, Length::mm(0.4), Length::mm(12)); }},
      {"distances.marks", [&] { spec.mark_distances = lengths_of(entry, path, Length::m(3), Length::m(150)); }},
      {"wanted.string_nose", [&] { spec.wanted_string_nose = range_of(entry, path); }},
      {"wanted.string_mouth", [&] { spec.wanted_string_mouth = range_of(entry, path); }},
  };
  const auto found = setters.find(path);
  if (found == setters.end()) return false;
  found->second();
  return true;
}

void take_uncertainty(Spec& spec, const std::string& path, const Entry& entry) {
  const std::string_view of = std::string_view(path).substr(uncertainty_prefix.size());
  const KeyInfo* row = find_key(of);
  if (!row) refuse_unknown(entry.key_at, path);
  if (row->absence == Absence::chosen)
    refuse(entry.key_at, path, "is a choice, not a measurement, and has no uncertainty");
  const double value = quantity_of(*entry.node, entry.value_at, path, row->dimension);
  const double most = (row->most - row->least) / 2;
  if (!(value >= 0 && value <= most))
    refuse(entry.value_at, path,
           "must be a standard uncertainty of 0 or more, and less than half of the range the key accepts");
  if (row->absence != Absence::hidden && !spec.has(row->key))
    refuse(entry.key_at, path, fmt::format("gives the uncertainty of {}, which is not given itself", of));
  spec.set_uncertainty(row->key, value, /*by_person=*/true);
}

/// The TOML parser goes one call deeper for each part of a dotted key and would run out of stack on "a.a.a…". No key of
/// ours has more than five parts.
void refuse_deep_keys(const std::string& name, const std::string& text) {
  constexpr int most_dots = 40;
  unsigned line = 1;
  int dots = 0;
  char quote = 0;
  for (const char c : text) {
    if (c == '\n') {
      ++line;
      quote = 0;
    }
    if (quote != 0) {
      if (c == quote) quote = 0;
      continue;
    }
    if (c == '"' || c == '\'') quote = c;
    if (c == '.')
      ++dots;
    else if (c == '\n' || c == '=' || c == ',' || c == '{' || c == '[' || c == ']')
      dots = 0;
    if (dots > most_dots) throw Error(ErrorCode::input, {name, line, 1}, "has a key of far too many parts; is this a TOML file?");
  }
}

toml::table parse_toml(const std::string& name, const std::string& text) {
  if (text.size() > largest_spec_bytes)
    throw Error(ErrorCode::input, {name},
                fmt::format("is {} bytes; input files of up to {} bytes are read", text.size(), largest_spec_bytes));
  refuse_deep_keys(name, text);
  try {
    return toml::parse(text, name);
  } catch (const toml::parse_error& e) {
    throw Error(ErrorCode::input, location(name, e.source()), fmt::format("is not valid TOML: {}", e.description()));
  }
}

std::string slurp(const std::string& file) {
  namespace fs = std::filesystem;
  std::error_code status;
  const Location at{file};
  const fs::path path(file);
  if (!fs::exists(path, status)) throw Error(ErrorCode::input, at, "there is no such file");
  if (fs::is_directory(path, status)) throw Error(ErrorCode::input, at, "is a folder; give a TOML file");
  if (!fs::is_regular_file(path, status)) throw Error(ErrorCode::input, at, "is not a regular file; give a TOML file");
  const auto size = fs::file_size(path, status);
  if (!status && size > largest_spec_bytes)
    throw Error(ErrorCode::input, at,
                fmt::format("is {} bytes; input files of up to {} bytes are read", size, largest_spec_bytes));
  std::ifstream in(path, std::ios::binary);
  if (!in) throw Error(ErrorCode::input, at, "cannot be opened for reading");
  std::string text(static_cast<std::size_t>(size), '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (in.bad()) throw Error(ErrorCode::input, at, "cannot be read");
  text.resize(static_cast<std::size_t>(in.gcount()));
  return text;
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
    if (path.starts_with(uncertainty_prefix) || take_text_key(spec, path, entry)) continue;
    const KeyInfo* row = find_key(path);
    if (!row || row->absence == Absence::hidden) refuse_unknown(entry.key_at, path);
    spec.give(row->key, quantity_of(*entry.node, entry.value_at, path, row->dimension), entry.value_at);
  }
  // After all values: an uncertainty may stand in another file, or before its value.
  for (const auto& [path, entry] : entries)
    if (path.starts_with(uncertainty_prefix)) take_uncertainty(spec, path, entry);
  check_spec(spec);
  return spec;
}

Spec read_spec(const std::vector<std::string>& files) {
  std::vector<std::pair<std::string, std::string>> texts;
  for (const std::string& file : files) texts.emplace_back(file, slurp(file));
  return parse_spec(texts);
}

}  // namespace peepwright
