// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/warnings.hpp"

#include <algorithm>
#include <utility>

#include "exporters/view/look.hpp"

namespace peepwright {
namespace {

/// With a capital and a full stop.
std::string sentence(std::string note) {
  if (!note.empty() && note[0] >= 'a' && note[0] <= 'z') note[0] = static_cast<char>(note[0] - 'a' + 'A');
  return note + ".";
}

}  // namespace

std::vector<Warning> warnings_of(const FitReport& report, PaperUnits units) {
  std::vector<Warning> out;
  for (const std::string& note : notes_in(report, units))
    if (auto warning = warning_of(without_keys(note))) out.push_back(std::move(*warning));
  std::stable_partition(out.begin(), out.end(), [](const Warning& w) { return forbids_drawing({w}); });
  return out;
}

std::vector<Warning> warnings_of_two(const std::vector<Warning>& a, const std::vector<Warning>& b) {
  const auto has = [](const std::vector<Warning>& all, const Warning& one) {
    return std::ranges::any_of(all, [&](const Warning& w) { return w.headline == one.headline && w.why == one.why; });
  };
  std::vector<Warning> drawing, shooting;  // what forbids the more stands first
  const auto add = [&](const char* letter, const Warning& w) {
    (forbids_drawing({w}) ? drawing : shooting).push_back({letter + w.headline, w.why});
  };
  for (const Warning& w : a) add(has(b, w) ? "A and B: " : "A: ", w);
  for (const Warning& w : b)
    if (!has(a, w)) add("B: ", w);
  drawing.insert(drawing.end(), shooting.begin(), shooting.end());
  return drawing;
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
