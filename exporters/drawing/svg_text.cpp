// SPDX-License-Identifier: GPL-3.0-or-later
// Texts of an SVG that stay texts. Cairo's SVG has outlines only, so the text elements are written here.
#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <hb-subset.h>
#include <pango/pangofc-font.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "engine/quantity/error.hpp"
#include "engine/quantity/xml_text.hpp"
#include "exporters/drawing/record.hpp"

namespace peepwright::drawing {
namespace {

constexpr double mm_per_unit = 1 / (units_per_mm * PANGO_SCALE);

/// A face as a style sheet tells it from others.
struct FaceName {
  std::string family;
  bool bold = false, italic = false;
  auto operator<=>(const FaceName&) const = default;
};

struct Face {
  std::string file;
  unsigned index = 0;
  std::set<gunichar> letters;
};

using Blob = std::unique_ptr<hb_blob_t, Release<hb_blob_destroy>>;
using FontFace = std::unique_ptr<hb_face_t, Release<hb_face_destroy>>;
using SubsetInput = std::unique_ptr<hb_subset_input_t, Release<hb_subset_input_destroy>>;

/// The font file cut down to the letters that are used, kerning kept.
std::string subset(const Face& face) {
  const Blob file(hb_blob_create_from_file_or_fail(face.file.c_str()));
  if (!file) throw Error(ErrorCode::internal, "drawing: the font " + face.file + " could not be read.");
  const FontFace whole(hb_face_create(file.get(), face.index));
  const SubsetInput input(hb_subset_input_create_or_fail());
  for (const gunichar letter : face.letters) hb_set_add(hb_subset_input_unicode_set(input.get()), letter);
  const FontFace part(hb_subset_or_fail(whole.get(), input.get()));
  if (!part) throw Error(ErrorCode::internal, "drawing: the font " + face.file + " could not be cut down.");
  const Blob bytes(hb_face_reference_blob(part.get()));
  unsigned length = 0;
  const char* data = hb_blob_get_data(bytes.get(), &length);
  return {data, length};
}

std::string base64(const std::string& bytes) {
  gchar* text = g_base64_encode(reinterpret_cast<const guchar*>(bytes.data()), bytes.size());
  std::string out = text;
  g_free(text);
  return out;
}

class TextWriter {
 public:
  explicit TextWriter(const Fonts& fonts) : fonts_(fonts) {}

  void write(const DrawText& t) {
    const auto layout = fonts_.layout(t.text, t.style, t.place.across);
    const Point origin = origin_of(layout.get(), t.place);
    PangoLayoutIter* line = pango_layout_get_iter(layout.get());
    do {
      PangoRectangle box;
      pango_layout_iter_get_line_extents(line, nullptr, &box);
      Point at = origin + mm_per_unit * Point{double(box.x), double(pango_layout_iter_get_baseline(line))};
      std::string runs;
      for (const GSList* r = pango_layout_iter_get_line_readonly(line)->runs; r != nullptr; r = r->next) {
        const auto& run = *static_cast<const PangoLayoutRun*>(r->data);
        runs += run_element(layout.get(), run, at, r->next == nullptr);
        at.x += pango_glyph_string_get_width(run.glyphs) * mm_per_unit;
      }
      if (!runs.empty()) elements_ += element(t, runs);
    } while (pango_layout_iter_next_line(line) != 0);
    pango_layout_iter_free(line);
  }

  [[nodiscard]] std::string take() const {
    std::string style;
    for (const auto& [name, face] : faces_)
      style += fmt::format(
          "@font-face {{ font-family: \"{}\"; font-weight: {}; font-style: {}; src: url(\"data:font/otf;base64,{}\"); "
          "}}\n",
          name.family, name.bold ? 700 : 400, name.italic ? "italic" : "normal", base64(subset(face)));
    return "<style type=\"text/css\">\n" + style + "</style>\n<g text-rendering=\"geometricPrecision\">\n" + elements_ +
           "</g>\n";
  }

 private:
  std::string run_element(PangoLayout* layout, const PangoLayoutRun& run, Point at, bool last) {
    const PangoItem& item = *run.item;
    const bool ellipsis = (item.analysis.flags & PANGO_ANALYSIS_FLAG_IS_ELLIPSIS) != 0;
    std::string text = ellipsis ? "…" : std::string(pango_layout_get_text(layout) + item.offset, item.length);
    // The space that a line was broken at is no part of it: a program that keeps the length would stretch the rest.
    int width = pango_glyph_string_get_width(run.glyphs);
    for (int glyph = run.glyphs->num_glyphs; last && glyph > 0 && text.ends_with(' '); text.pop_back())
      width -= run.glyphs->glyphs[--glyph].geometry.width;
    if (text.empty()) return {};
    const double width_mm = width * mm_per_unit;
    PangoFontDescription* told = pango_font_describe_with_absolute_size(item.analysis.font);
    const FaceName name{pango_font_description_get_family(told),
                        pango_font_description_get_weight(told) >= PANGO_WEIGHT_BOLD,
                        pango_font_description_get_style(told) != PANGO_STYLE_NORMAL};
    const double size_mm = pango_font_description_get_size(told) * mm_per_unit;
    pango_font_description_free(told);
    Face& face = faces_[name];
    if (face.file.empty()) {
      FcPattern* pattern = pango_fc_font_get_pattern(PANGO_FC_FONT(item.analysis.font));
      FcChar8* file = nullptr;
      int index = 0;
      FcPatternGetString(pattern, FC_FILE, 0, &file);
      FcPatternGetInteger(pattern, FC_INDEX, 0, &index);
      face = {reinterpret_cast<const char*>(file), static_cast<unsigned>(index), {}};
    }
    for (const char* p = text.c_str(); *p != '\0'; p = g_utf8_next_char(p)) face.letters.insert(g_utf8_get_char(p));
    // The length that was laid out holds the place where a program takes another font all the same.
    return fmt::format(
        "<tspan x=\"{:.4f}\" y=\"{:.4f}\" font-family=\"'{}', sans-serif\" font-size=\"{:.4f}\"{}{}{}>{}</tspan>", at.x,
        at.y, name.family, size_mm, name.bold ? " font-weight=\"700\"" : "",
        name.italic ? " font-style=\"italic\"" : "",
        width_mm > 0 ? fmt::format(" textLength=\"{:.4f}\"", width_mm) : "", xml_text(text));
  }

  static std::string element(const DrawText& t, const std::string& runs) {
    const auto byte = [](double share) { return static_cast<int>(std::lround(255 * std::clamp(share, 0.0, 1.0))); };
    const Colour c = t.style.colour;
    return fmt::format(
        "<text xml:space=\"preserve\" fill=\"#{:02x}{:02x}{:02x}\" transform=\"translate({:.4f} "
        "{:.4f}){}\">{}</text>\n",
        byte(c.r), byte(c.g), byte(c.b), t.place.at.x, t.place.at.y,
        t.place.rotation_deg != 0 ? fmt::format(" rotate({:.4f})", -t.place.rotation_deg) : "", runs);
  }

  const Fonts& fonts_;
  std::map<FaceName, Face> faces_;
  std::string elements_;
};

}  // namespace

std::string svg_texts(const Page& page, const Fonts& fonts) {
  TextWriter writer(fonts);
  for (const Step& step : page.steps)
    if (const auto* text = std::get_if<DrawText>(&step)) writer.write(*text);
  return writer.take();
}

}  // namespace peepwright::drawing
