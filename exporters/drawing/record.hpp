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
struct PushClip {
  Path area;
};
struct PopClip {};
using Step = std::variant<StrokePath, FillPath, HatchArea, DrawText, PushClip, PopClip>;

struct Page {
  PageSize size;
  std::vector<Step> steps;
  std::vector<TextBox> texts;
  int open_clips = 0;
};

/// Upper left corner of a laid-out text relative to its anchor, before rotation.
Point corner_of(PangoLayout* layout, const TextPlace& place);

/// Replays a page in millimetres; the context's unit must be the millimetre already.
void replay(const Page& page, const Fonts& fonts, bool text_as_paths, cairo_t* context);

/// Sets what Cairo leaves out: print settings, exact page boxes, a repeatable file identifier.
std::string finish_pdf(const std::string& cairo_pdf, const std::vector<Page>& pages);

}  // namespace peepwright::drawing

namespace peepwright {
struct Canvas::Record {
  drawing::Fonts fonts;
  std::vector<drawing::Page> pages;
  bool text_as_paths = false;

  drawing::Page& current();
  const drawing::Page& page(int index) const;
};
}  // namespace peepwright
