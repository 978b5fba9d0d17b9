// SPDX-License-Identifier: GPL-3.0-or-later
// A page of a drawing read back: its strokes and its labels.
#pragma once

#include <string>
#include <vector>

#include "exporters/drawing/canvas.hpp"
#include "exporters/drawing/segment.hpp"
#include "tests/exporters/pdf_reader.hpp"

namespace peepwright::test {

/// Everything that is stroked on a page, straight pieces, page mm from the upper left corner.
inline std::vector<Segment> strokes_of(const PdfPage& page) {
  std::vector<Segment> out;
  for (const Painted& path : page.paths) {
    if (!path.stroked) continue;
    for (std::size_t i = 1; i < path.points.size(); ++i)
      out.push_back({{path.points[i - 1].x, page.height - path.points[i - 1].y},
                     {path.points[i].x, page.height - path.points[i].y}});
  }
  return out;
}

/// The first line of the label whose second line begins with `words`.
inline std::string labelled(const Canvas& canvas, const std::string& words) {
  const auto& texts = canvas.texts(0);
  for (std::size_t i = 1; i < texts.size(); ++i)
    if (texts[i].text.starts_with(words)) return texts[i - 1].text;
  return "no such label";
}

}  // namespace peepwright::test
