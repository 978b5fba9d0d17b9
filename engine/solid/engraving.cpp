// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/engraving.hpp"

#include <array>

namespace peepwright::solid {
namespace {

enum Segment : unsigned {
  top = 1,
  upper_right = 2,
  lower_right = 4,
  bottom = 8,
  lower_left = 16,
  upper_left = 32,
  middle = 64
};

unsigned segments_of(char c) {
  constexpr std::array<unsigned, 10> digits{top | upper_right | lower_right | bottom | lower_left | upper_left,
                                            upper_right | lower_right,
                                            top | upper_right | middle | lower_left | bottom,
                                            top | upper_right | middle | lower_right | bottom,
                                            upper_left | middle | upper_right | lower_right,
                                            top | upper_left | middle | lower_right | bottom,
                                            top | upper_left | middle | lower_right | bottom | lower_left,
                                            top | upper_right | lower_right,
                                            top | upper_right | lower_right | bottom | lower_left | upper_left | middle,
                                            top | upper_right | lower_right | bottom | upper_left | middle};
  if (c >= '0' && c <= '9') return digits[static_cast<std::size_t>(c - '0')];
  if (c == 'P') return top | upper_left | upper_right | middle | lower_left;
  if (c == 'E') return top | upper_left | middle | lower_left | bottom;
  return 0;
}

double width_of(char c, const Lettering& l) { return c == '.' ? l.stroke_mm : l.width_mm; }

}  // namespace

double text_width(std::string_view text, const Lettering& l) {
  double width = 0;
  for (const char c : text) width += width_of(c, l) + l.gap_mm;
  return text.empty() ? 0 : width - l.gap_mm;
}

std::vector<Stroke> text_strokes(std::string_view text, const Lettering& l) {
  // Upright strokes stop short of the level ones.
  const double apart = 0.3 * l.stroke_mm, s = l.stroke_mm, w = l.width_mm, h = l.height_mm, half = h / 2;
  const std::array<Stroke, 7> places{{{0, w, h - s, h},
                                      {w - s, w, half + s / 2 + apart, h - s - apart},
                                      {w - s, w, s + apart, half - s / 2 - apart},
                                      {0, w, 0, s},
                                      {0, s, s + apart, half - s / 2 - apart},
                                      {0, s, half + s / 2 + apart, h - s - apart},
                                      {0, w, half - s / 2, half + s / 2}}};
  std::vector<Stroke> out;
  double at = 0;
  for (const char c : text) {
    const auto put = [&](Stroke stroke) {
      out.push_back({at + stroke.left, at + stroke.right, stroke.low, stroke.high});
    };
    if (c == '.') put({0, s, 0, s});
    for (std::size_t k = 0; k < places.size(); ++k)
      if (segments_of(c) >> k & 1) put(places[k]);
    at += width_of(c, l) + l.gap_mm;
  }
  return out;
}

}  // namespace peepwright::solid
