// SPDX-License-Identifier: GPL-3.0-or-later
// Text layout with our own fonts only, so that what else a machine has installed cannot move a line break.
// Private to the room: this header shows Pango.
#pragma once

#include <pango/pangocairo.h>

#include <memory>
#include <string>

#include "exporters/drawing/canvas.hpp"

namespace peepwright::drawing {

template <auto release>
struct Release {
  template <class T>
  void operator()(T* p) const {
    release(p);
  }
};
template <class T>
using Handle = std::unique_ptr<T, Release<g_object_unref>>;

/// Layout units in a millimetre: Pango keeps 1/1024 of a unit, so a tenth of a millimetre is fine enough.
inline constexpr double units_per_mm = 10;

class Fonts {
 public:
  Fonts();
  ~Fonts();
  Fonts(const Fonts&) = delete;
  Fonts& operator=(const Fonts&) = delete;

  /// Laid out in units_per_mm; the same for every output. Characters without a font become "?",
  /// a hyphen before a number a minus sign.
  [[nodiscard]] Handle<PangoLayout> layout(const std::string& clean_text, const TextStyle& style, Across across) const;
  /// Whether a font has this character (or it needs none).
  [[nodiscard]] bool knows(const std::string& character) const;

 private:
  std::string folders_;
  PangoFontMap* map_;  ///< lent, see FontMaps
  Handle<PangoContext> context_;
};

TextSize size_of(PangoLayout* layout);

/// Calls `act(character)` for every character of a UTF-8 text.
template <class Act>
void each_character(const std::string& text, const Act& act) {
  for (const char* p = text.c_str(); *p != '\0'; p = g_utf8_next_char(p))
    act(std::string(p, static_cast<std::size_t>(g_utf8_next_char(p) - p)));
}

}  // namespace peepwright::drawing
