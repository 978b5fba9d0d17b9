// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/spec/document.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <vector>

#include "engine/spec/spec.hpp"

namespace peepwright {
namespace {

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

/// What may stand in the table `path`, each by its own last name; empty for what is no table.
std::vector<std::string> keys_of_table(std::string_view path) {
  std::vector<std::string> out;
  const auto take = [&](std::string_view candidate) {
    if (candidate.size() <= path.size() || !candidate.starts_with(path) || candidate[path.size()] != '.') return;
    const std::string_view rest = candidate.substr(path.size() + 1);
    std::string name(rest.substr(0, rest.find('.')));
    if (std::ranges::find(out, name) == out.end()) out.push_back(std::move(name));
  };
  for (const TextKeyInfo& row : text_keys()) take(row.path);
  for (const KeyInfo& row : all_keys())
    if (row.absence != Absence::hidden) take(row.path);
  return out;
}

/// A later file that brings another bow must not leave standing what was read on the first one: at full draw, while it
/// was drawn, or on its cams. All that a sweep over bows refuses (SweepPlan) is among it.
void refuse_two_bows(std::string_view path, const Location& first, const Location& second, const Entries& entries) {
  if (std::ranges::find(bow_numbers, path) == bow_numbers.end()) return;
  for (const auto& [other, entry] : entries)
    if (other == "bow.force_draw" || other.starts_with("bow.full_draw.") || other.starts_with("peep.tied.") ||
        other.starts_with("bow.cam."))
      if (entry.key_at.file == first.file && first.file != second.file)
        throw Error(
            ErrorCode::input, second,
            fmt::format("{} replaces that of {}, whose {} was measured on that bow; give the files of one bow only",
                        path, first.file, other));
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
    if (c == '.') ++dots;
    else if (c == '\n' || c == '=' || c == ',' || c == '{' || c == '[' || c == ']') dots = 0;
    if (dots > most_dots)
      throw Error(ErrorCode::input, {name, line, 1}, "has a key of far too many parts; is this a TOML file?");
  }
}

/// By its mark at the front, or by a zero in the place of every other letter.
bool looks_like_utf16(std::string_view text) {
  if (text.starts_with("\xff\xfe") || text.starts_with("\xfe\xff")) return true;
  const auto zero = [&](std::size_t i) { return text[i] == '\0'; };
  return text.size() >= 4 && zero(0) == zero(2) && zero(1) == zero(3) && zero(0) != zero(1);
}

}  // namespace

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

void refuse(const Location& at, std::string_view path, std::string_view problem) {
  throw Error(ErrorCode::input, at, fmt::format("{}: {}", path, problem));
}

void refuse_unknown(const Location& at, const std::string& path) {
  const std::string shown = quoted_start(path, 80);
  const bool of_uncertainty = path.starts_with(uncertainty_prefix);
  const std::string_view prefix = of_uncertainty ? uncertainty_prefix : "";
  const std::string_view near = nearest_path(std::string_view(path).substr(prefix.size()));
  refuse(at, shown,
         near.empty()
             ? "unknown key; \"peepwright keys\" lists every key"
             : fmt::format("unknown key; did you mean {}{}? (\"peepwright keys\" lists every key)", prefix, near));
}

void refuse_value_or_unknown(const Entry& entry, const std::string& path) {
  const bool of_uncertainty = path.starts_with(uncertainty_prefix);
  const std::vector<std::string> keys = keys_of_table(of_uncertainty ? path.substr(uncertainty_prefix.size()) : path);
  if (path == "uncertainty")
    refuse(entry.key_at, path,
           "is a table; its keys are those of all measured values, as in uncertainty.bow.brace_height");
  if (keys.empty()) refuse_unknown(entry.key_at, path);
  refuse(entry.key_at, path, fmt::format("is a table; its keys are {}", fmt::join(keys, ", ")));
}

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
      const auto before = out.find(path);
      if (before != out.end()) refuse_two_bows(path, before->second.key_at, key_at, out);
      out[path] = {&node, key_at, location(file, node.source()), before == out.end() ? "" : before->second.key_at.file};
    }
  }
}

/// What to do about the parser's finding, which is in the language of the format.
std::string_view remedy_for(std::string_view finding) {
  struct Known {
    std::string_view words, remedy;
  };
  static constexpr std::array known{
      Known{"utf-8", "save the file as UTF-8"},
      Known{"cannot redefine", "a key stands once in a file"},
      Known{"parsing string", "a text ends with the quote it began with, on the same line"},
      Known{"table header", "a table's name stands in brackets, [bow]"},
      Known{"expected '='", "a line is a key, =, and its value, or a table's name in brackets"},
      Known{"parsing",
            "a value with a unit, or a text, stands in quotes, \"6 3/4 in\", with no inch sign inside them"}};
  const auto found = std::ranges::find_if(known, [&](const Known& k) { return finding.find(k.words) != finding.npos; });
  return found == known.end() ? "see the examples" : found->remedy;
}

toml::table parse_toml(const std::string& name, const std::string& text) {
  if (text.size() > largest_spec_bytes)
    throw Error(ErrorCode::input, {name},
                fmt::format("is {} bytes; input files of up to {} bytes are read", text.size(), largest_spec_bytes));
  if (looks_like_utf16(text))
    throw Error(ErrorCode::input, {name}, "is not UTF-8 text but looks like UTF-16; save it as UTF-8");
  refuse_deep_keys(name, text);
  try {
    return toml::parse(text, name);
  } catch (const toml::parse_error& e) {
    throw Error(ErrorCode::input, location(name, e.source()),
                fmt::format("is not valid TOML: {}; {}", e.description(), remedy_for(e.description())));
  }
}

std::string text_of_file(const std::string& file) {
  namespace fs = std::filesystem;
  std::error_code status;
  const Location at{file};
  const fs::path path(file);
  if (!fs::exists(path, status))
    throw Error(ErrorCode::input, at, status ? "cannot be reached: " + status.message() : "there is no such file");
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

}  // namespace peepwright
