// SPDX-License-Identifier: GPL-3.0-or-later
// What a Canvas remembers until it is written. Private to the room.
#pragma once

#include <variant>

#include "exporters/drawing/canvas.hpp"
#include "exporters/drawing/fonts.hpp"

namespace peepwright::drawing {

struct StrokePath {
  Path path;
  Stroke stroke;
};
struct FillPath {
  Path path;
  Colour colour;
};
struct HatchArea {
  Path area;
  Hatch hatch;
};
struct DrawText {
  std::string text;
  TextStyle style;
  TextPlace place;
};
using Step = std::variant<StrokePath, FillPath, HatchArea, DrawText>;

struct Page {
  PageSize size;
  std::vector<Step> steps;
  std::vector<TextBox> texts;
};

/// Upper left corner of a laid-out text relative to its anchor, before rotation.
Point corner_of(PangoLayout* layout, const TextPlace& place);
/// The layout's own origin relative to the anchor: a wrapped text that is not set left starts inside its frame.
Point origin_of(PangoLayout* layout, const TextPlace& place);

/// What a replay makes of texts.
enum class Letters { glyphs, paths, left_out };

/// Replays a page in millimetres; the context's unit must be the millimetre already.
void replay(const Page& page, const Fonts& fonts, Letters letters, cairo_t* context);

/// Style sheet (the fonts, cut down to the letters used) and text elements of a page, to stand before its "</svg>".
std::string svg_texts(const Page& page, const Fonts& fonts);

/// Sets what Cairo leaves out: print settings, exact page boxes, a repeatable file identifier.
std::string finish_pdf(const std::string& cairo_pdf, const std::vector<Page>& pages);

}  // namespace peepwright::drawing

namespace peepwright {
struct Canvas::Record {
  drawing::Fonts fonts;
  std::vector<drawing::Page> pages;
  bool text_as_paths = false;

  [[nodiscard]] drawing::Letters letters() const {
    return text_as_paths ? drawing::Letters::paths : drawing::Letters::glyphs;
  }
  drawing::Page& current();
  const drawing::Page& page(int index) const;
};
}  // namespace peepwright
