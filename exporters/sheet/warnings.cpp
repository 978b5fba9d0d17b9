// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/warnings.hpp"

#include <algorithm>

#include "exporters/view/look.hpp"

namespace peepwright {
namespace {

bool of_key(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.'; }

bool is_key(std::string_view word) {
  return find_key(word) != nullptr ||
         std::ranges::any_of(text_keys(), [&](const auto& key) { return key.path == word; });
}

/// "arrow.length" as "arrow length", "archer.face.eye_to_arrow" as "eye to arrow": a path is made of trade terms, and
/// in the middle of a sentence these read better than a key's whole meaning.
std::string named(std::string_view path) {
  for (const std::string_view group : {"archer.face.", "archer."})
    if (path.starts_with(group)) {
      path.remove_prefix(group.size());
      break;
    }
  std::string out(path);
  std::ranges::replace_if(
      out, [](char c) { return c == '.' || c == '_'; }, ' ');
  return out;
}

std::string with_named_keys(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at;
    while (end < text.size() && of_key(text[end])) ++end;
    std::string_view word = text.substr(at, end - at);
    while (word.ends_with('.')) word.remove_suffix(1);  // of the sentence
    if (is_key(word)) out += named(word);
    else out += word;
    at += word.size();
    if (word.empty()) out += text[at++];
  }
  return out;
}

/// With a capital and a full stop.
std::string sentence(std::string note) {
  if (!note.empty() && note[0] >= 'a' && note[0] <= 'z') note[0] = static_cast<char>(note[0] - 'a' + 'A');
  return note + ".";
}

}  // namespace

std::vector<Warning> warnings_of(const FitReport& report, PaperUnits units) {
  std::vector<Warning> out;
  for (const std::string& note : notes_in(report, units))
    if (auto warning = warning_of(with_named_keys(note))) out.push_back(std::move(*warning));
  std::ranges::stable_partition(out, [](const Warning& w) { return forbids_drawing({w}); });
  return out;
}

std::vector<std::string> plain_notes(const FitReport& report, PaperUnits units) {
  std::vector<std::string> out;
  for (const std::string& note : notes_in(report, units))
    if (!warning_of(note)) out.push_back(sentence(without_keys(note)));
  return out;
}

std::string hold_before_drawing(const std::vector<Warning>& warnings) {
  if (warnings.empty()) return "";
  return view::drawing_look().text(forbids_drawing(warnings) ? "hold_drawing" : "hold_shooting").front();
}

}  // namespace peepwright
