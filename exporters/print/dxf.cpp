// SPDX-License-Identifier: GPL-3.0-or-later
#include <dxflib/dl_dxf.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <set>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"
#include "engine/quantity/utf8.hpp"
#include "exporters/print/sheet.hpp"

namespace peepwright {
namespace print {
namespace {

/// The library writes to a file only; this keeps the text in memory, with numbers that no locale touches.
class MemoryWriter : public DL_WriterA {
 public:
  MemoryWriter() : DL_WriterA("/dev/null", DL_Codes::AC1015) {}
  void dxfReal(int code, double value) const override { dxfString(code, number(value)); }
  void dxfInt(int code, int value) const override { dxfString(code, fmt::format("{}", value)); }
  void dxfHex(int code, int value) const override { dxfString(code, fmt::format("{:X}", value)); }
  void dxfString(int code, const char* value) const override { dxfString(code, std::string(value)); }
  void dxfString(int code, const std::string& value) const override {
    fmt::format_to(std::back_inserter(text_), "{:3}\n{}\n", code, value);
  }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  static std::string number(double v) {
    const std::string shortest = fmt::format("{}", v == 0 ? 0.0 : v);  // no "-0"
    return shortest.find_first_of(".en") == std::string::npos ? shortest + ".0" : shortest;
  }
  mutable std::string text_;
};

/// Letters beyond ASCII as the format's \U+ codes, and no accidental control codes.
std::string dxf_text(const std::string& words) {
  const std::string clean = clean_text(words);
  std::string out;
  for (std::string_view rest = clean; !rest.empty();) {
    const utf8::Letter letter = utf8::first_letter(rest);
    if (letter.code < 0x80) {
      out += rest[0] == '\n' || rest[0] == '\\' ? ' ' : rest[0];
      if (rest[0] == '^' || rest.starts_with("%%")) out += ' ';
    } else {
      out += letter.code < 0x10000 ? fmt::format("\\U+{:04X}", static_cast<unsigned>(letter.code)) : std::string("?");
    }
    rest.remove_prefix(letter.bytes);
  }
  return out;
}

/// CAD programs set text in fonts of their own: 0.7 em a letter is on the wide side.
std::string cut_to(const std::string& words, double room, double size, bool drop) {
  const auto letters = static_cast<std::size_t>(std::max(0.0, room / (0.7 * size)));
  std::string clean = clean_text(words);
  std::size_t count = 0, end = 0;
  for (std::size_t i = 0; i < clean.size(); ++i) {
    if (utf8::begins_letter(clean[i]) && ++count + 2 == letters) end = i;
  }
  if (count <= letters) return clean;
  return drop || letters < 4 ? std::string() : clean.substr(0, end) + "...";
}

class Drawing {
 public:
  Drawing(const Layout& layout, const std::vector<Shape>& shapes) : layout_(layout), shapes_(shapes) {}

  std::string write() {
    header();
    tables();
    blocks();
    out_.sectionEntities();
    for (const Shape& shape : shapes_)
      if (!shape.element->layer.empty()) entity(shape);
    out_.sectionEnd();
    dxf_.writeObjects(out_);
    dxf_.writeObjectsEnd(out_);
    out_.dxfEOF();
    return out_.text();
  }

 private:
  static DL_Attributes on(const std::string& layer) { return {layer, 256, -1, "BYLAYER", 1.0}; }

  void header() {
    dxf_.writeHeader(out_);
    const auto whole = [&](const char* name, int value) {
      out_.dxfString(9, name);
      out_.dxfInt(70, value);
    };
    whole("$INSUNITS", 4);     // millimetres
    whole("$MEASUREMENT", 1);  // metric
    whole("$LUNITS", 2);       // decimal
    out_.sectionEnd();
  }

  void tables() {
    out_.sectionTables();
    dxf_.writeVPort(out_);
    out_.tableLinetypes(3);
    for (const char* name : {"BYBLOCK", "BYLAYER", "CONTINUOUS"})
      dxf_.writeLinetype(out_, DL_LinetypeData(name, name, 0, 0, 0.0));
    out_.tableEnd();

    std::set<std::string> layers;
    for (const Shape& shape : shapes_)
      if (!shape.element->layer.empty()) layers.insert(shape.element->layer);
    out_.tableLayers(static_cast<int>(layers.size()) + 1);
    int colour = 7;
    dxf_.writeLayer(out_, DL_LayerData("0", 0), DL_Attributes("", colour, -1, "CONTINUOUS", 1.0));
    for (const std::string& layer : layers) {
      colour = colour % 7 + 1;
      dxf_.writeLayer(out_, DL_LayerData(layer, 0), DL_Attributes("", colour, -1, "CONTINUOUS", 1.0));
    }
    out_.tableEnd();

    out_.tableStyle(1);
    // Only under this very name does the library remember the style for the dimension style's reference to it;
    // under any other it writes an uninitialised number there.
    dxf_.writeStyle(out_, DL_StyleData("Standard", 0, 0.0, 1.0, 0.0, 0, 2.5, "txt", ""));
    out_.tableEnd();
    dxf_.writeView(out_);
    dxf_.writeUcs(out_);
    out_.tableAppid(1);
    dxf_.writeAppid(out_, "ACAD");
    out_.tableEnd();
    dxf_.writeDimStyle(out_, 1, 1, 1, 1, 1);
    dxf_.writeBlockRecord(out_);
    out_.tableEnd();
    out_.sectionEnd();
  }

  void blocks() {
    out_.sectionBlocks();
    for (const char* name : {"*Model_Space", "*Paper_Space", "*Paper_Space0"}) {
      dxf_.writeBlock(out_, DL_BlockData(name, 0, 0.0, 0.0, 0.0));
      dxf_.writeEndBlock(out_, name);
    }
    out_.sectionEnd();
  }

  void entity(const Shape& shape) {
    const Element& e = *shape.element;
    const auto& p = shape.points;
    switch (shape.kind) {
      case Element::Kind::line:
        dxf_.writeLine(out_, DL_LineData(p[0].x, p[0].y, 0, p[1].x, p[1].y, 0), on(e.layer));
        break;
      case Element::Kind::polyline: polyline(p, e.closed, 0, e.layer); break;
      case Element::Kind::box: box(shape); break;
      case Element::Kind::circle:
        dxf_.writeCircle(out_, DL_CircleData(p[0].x, p[0].y, 0, shape.radius), on(e.layer));
        break;
      case Element::Kind::text: label(shape); break;
      case Element::Kind::scale: break;
    }
  }

  /// `bulge` of every second side, from the first; it makes a quarter circle of it when it is tan(π/8).
  void polyline(const std::vector<Point>& points, bool closed, double bulge, const std::string& layer) {
    dxf_.writePolyline(out_, DL_PolylineData(static_cast<int>(points.size()), 0, 0, closed ? 1 : 0), on(layer));
    for (std::size_t i = 0; i < points.size(); ++i)
      dxf_.writeVertex(out_, DL_VertexData(points[i].x, points[i].y, 0, i % 2 == 0 ? bulge : 0));
    dxf_.writePolylineEnd(out_);
  }

  void box(const Shape& shape) {
    const Point a = shape.points[0], b = shape.points[1];
    const double x0 = std::min(a.x, b.x), x1 = std::max(a.x, b.x), y0 = std::min(a.y, b.y), y1 = std::max(a.y, b.y);
    if (!(x1 > x0 && y1 > y0)) return;  // a band of no height, a tie-in of no length
    const double r = std::min(shape.radius, std::min(x1 - x0, y1 - y0) / 2);
    if (r > 0) {
      polyline({{x1 - r, y0},
                {x1, y0 + r},
                {x1, y1 - r},
                {x1 - r, y1},
                {x0 + r, y1},
                {x0, y1 - r},
                {x0, y0 + r},
                {x0 + r, y0}},
               true, std::tan(std::numbers::pi / 8), shape.element->layer);
    } else {
      polyline({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true, 0, shape.element->layer);
    }
  }

  void label(const Shape& shape) {
    const Element& e = *shape.element;
    const bool of_scale = e.kind == Element::Kind::scale;
    const Across across = of_scale ? (e.direction > 0 ? Across::left : Across::right) : e.across;
    const Down down = of_scale ? Down::middle : e.down;
    const double size = named(layout_.styles, e.style).size_mm;
    const std::string words = dxf_text(shape.room > 0 ? cut_to(shape.text, shape.room, size, e.drop) : shape.text);
    if (words.empty()) return;
    const int h = across == Across::left ? 0 : across == Across::centre ? 1 : 2;
    const int v = down == Down::baseline ? 0 : down == Down::bottom ? 1 : down == Down::middle ? 2 : 3;
    const Point at = shape.points[0];
    constexpr double capital = 0.72;  // letter height of the layout's em
    dxf_.writeText(out_,
                   DL_TextData(at.x, at.y, 0, at.x, at.y, 0, size * capital, 1.0, 0, h, v, words, "Standard",
                               e.rotation * unit::degree_rad),
                   on(e.layer));
  }

  const Layout& layout_;
  const std::vector<Shape>& shapes_;
  DL_Dxf dxf_;
  MemoryWriter out_;
};

}  // namespace
}  // namespace print

std::string strip_dxf(const StripData& data) {
  using namespace print;
  check_strip(data, {});
  const Layout& layout = strip_layout();
  Tile tile;
  tile.start = tile.match_low = evaluate(layout.start, names_for(layout, data, nullptr));
  tile.end = tile.match_high = strip_end(layout, data);
  const std::vector<Shape> shapes =
      shapes_for(layout, names_for(layout, data, &tile), tile, words_for(data, tile, "", {}),
                 [&](const std::string& condition) { return holds(condition, tile, data, {}); });
  return Drawing(layout, shapes).write();
}

}  // namespace peepwright
