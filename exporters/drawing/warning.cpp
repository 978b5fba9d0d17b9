// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/warning.hpp"

#include <algorithm>

namespace peepwright {
namespace {

constexpr std::string_view forbidding = "DO NOT ", not_draw = "DO NOT DRAW";

std::string sentence(std::string_view text) {
  std::string out(text);
  if (!out.empty() && out[0] >= 'a' && out[0] <= 'z') out[0] = static_cast<char>(out[0] - 'a' + 'A');
  if (!out.empty() && out.back() != '.') out += '.';
  return out;
}

}  // namespace

std::optional<Warning> warning_of(std::string_view note) {
  if (!note.starts_with(forbidding)) return std::nullopt;
  // A headline is read from afar: what is longer is told in the sentence below it.
  constexpr std::size_t longest = 70;
  constexpr std::string_view between = ": ";
  if (const std::size_t colon = note.find(between); colon <= longest)
    return Warning{std::string(note.substr(0, colon)), sentence(note.substr(colon + between.size()))};
  if (note.size() <= longest) return Warning{std::string(note), ""};
  const std::size_t word = note.find_first_of(" ,;.", forbidding.size());
  return Warning{std::string(note.substr(0, word)), sentence(note)};
}

bool forbids_drawing(const std::vector<Warning>& warnings) {
  return std::ranges::any_of(warnings, [](const Warning& w) { return w.headline.starts_with(not_draw); });
}

double warning_box(Canvas& canvas, const std::vector<Warning>& warnings, const WarningLook& look, double left,
                   double top, double right, bool draw) {
  if (warnings.empty()) return top;
  const double frame = look.frame.width_mm, inset = frame + 2 * look.size;
  TextStyle headline = look.headline, why = look.why;
  headline.size_mm *= look.size;
  why.size_mm *= look.size;
  headline.wrap_mm = why.wrap_mm = right - left - 2 * inset;
  double y = top + frame + look.size;
  const auto put = [&](const std::string& text, const TextStyle& style) {
    if (text.empty()) return;
    const TextPlace place{{left + inset, y}, Across::left, Down::top, 0};
    y = (draw ? canvas.text(text, style, place) : canvas.text_box(text, style, place)).y1;
  };
  for (const Warning& warning : warnings) {
    if (&warning != &warnings.front()) y += look.size;
    put(warning.headline, headline);
    put(warning.why, why);
  }
  y += look.size + frame;
  if (draw)
    canvas.stroke(Path::rectangle({left + frame / 2, top + frame / 2, right - frame / 2, y - frame / 2}), look.frame);
  return y;
}

}  // namespace peepwright
