// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/canvas.hpp"

#include <cairo-svg.h>
#include <cairo.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <locale>
#include <optional>
#include <set>
#include <sstream>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"
#include "exporters/drawing/fonts.hpp"
#include "tests/exporters/pdf_reader.hpp"

namespace peepwright::test {
namespace {

using testing::HasSubstr;

Canvas page(double width = 100, double height = 80, bool text_as_paths = false) {
  Canvas canvas(text_as_paths);
  canvas.new_page({width, height});
  return canvas;
}

PdfPage read_back(const Canvas& canvas) { return read_pdf(canvas.pdf({"test", "test"})).at(0); }

TEST(Canvas, ShapesComeBackFromThePdfInMillimetres) {
  Canvas canvas = page();
  canvas.stroke(Path::rectangle({10, 10, 40, 25}), {0.5, {}, {}, LineEnd::butt});
  canvas.stroke(Path::circle({60, 40}, 5), {});
  canvas.line({10, 70}, {90, 70}, {0.3, {}, {2, 1}, LineEnd::butt});
  canvas.fill(Path::polyline({{70, 10}, {80, 10}, {75, 20}}, true), Colour{});
  const PdfPage read = read_back(canvas);
  ASSERT_EQ(read.paths.size(), 4u);
  const Extent box = read.paths[0].extent();
  EXPECT_NEAR(box.x0, 10, 0.005);
  EXPECT_NEAR(box.y1, 70, 0.005);  // y up: 80 − 10
  EXPECT_NEAR(box.width(), 30, 0.005);
  EXPECT_NEAR(box.height(), 15, 0.005);
  EXPECT_NEAR(read.paths[0].line_width, 0.5, 0.005);
  EXPECT_NEAR(read.paths[1].extent().width(), 10, 0.01);
  EXPECT_TRUE(read.paths[2].dashed);
  EXPECT_TRUE(read.paths[3].filled);
}

TEST(Canvas, ACircleIsRoundWithinTwoMicrometres) {
  Canvas canvas = page();
  canvas.stroke(Path::circle({50, 40}, 5), {});
  const PdfPage read = read_back(canvas);
  const auto& p = read.paths.at(0).points;
  double worst = 0;
  for (std::size_t i = 0; i + 3 < p.size(); i += 3)
    for (double t = 0; t <= 1; t += 0.05) {
      const double u = 1 - t;
      const auto at = [&](auto axis) {
        return u * u * u * p[i].*axis + 3 * u * u * t * p[i + 1].*axis + 3 * u * t * t * p[i + 2].*axis +
               t * t * t * p[i + 3].*axis;
      };
      worst = std::max(worst, std::abs(std::hypot(at(&At::x) - 50, at(&At::y) - 40) - 5));
    }
  EXPECT_LT(worst, 0.004);
}

TEST(Canvas, AnchorsAndRotationPutTheBoxWhereTheyShould) {
  const Canvas canvas = page();
  const TextStyle style;
  const TextSize size = canvas.measure("Nock", style);
  EXPECT_GT(size.width, 5);
  EXPECT_NEAR(size.height, style.size_mm * style.line_spacing, 0.01);
  const Box right = canvas.text_box("Nock", style, {{50, 40}, Across::right, Down::bottom, 0});
  EXPECT_NEAR(right.x1, 50, 1e-9);
  EXPECT_NEAR(right.y1, 40, 1e-9);
  EXPECT_NEAR(right.width(), size.width, 1e-9);
  const Box up = canvas.text_box("Nock", style, {{50, 40}, Across::left, Down::top, 90});
  EXPECT_NEAR(up.y1, 40, 1e-9);  // reads upwards from the anchor
  EXPECT_NEAR(up.height(), size.width, 1e-9);
  EXPECT_NEAR(up.x0, 50, 1e-9);
  const Box line = canvas.text_box("Nock", style, {{50, 40}, Across::left, Down::baseline, 0});
  EXPECT_NEAR(line.y0, 40 - size.baseline, 1e-9);
}

TEST(Canvas, TheBoxHoldsTheInk) {
  for (const double turn : {0.0, 90.0, 180.0, -90.0, 30.0})
    for (const Across across : {Across::left, Across::centre, Across::right}) {
      Canvas canvas = page(100, 100);
      TextStyle style;
      style.size_mm = 4;
      style.wrap_mm = 22;
      const Box box = canvas.text("Åg peep sight tie-in", style, {{50, 50}, across, Down::middle, turn});
      const Raster raster = rasterise(canvas.pdf({}), 1, 300);
      int dark = 0;
      for (int row = 0; row < raster.height; ++row)
        for (int column = 0; column < raster.width; ++column) {
          if (!raster.dark(column, row)) continue;
          ++dark;
          const double x = (column + 0.5) * raster.mm_per_pixel, y = (row + 0.5) * raster.mm_per_pixel;
          ASSERT_TRUE(box.contains({x, y, x, y}, 0.3)) << turn << " " << x << " " << y;
        }
      EXPECT_GT(dark, 500);
    }
}

TEST(Canvas, TextWrapsAndIsShortened) {
  const Canvas canvas = page();
  TextStyle style;
  style.wrap_mm = 40;
  const std::string text = "A text that is much too long for the little room that it is given on this small page";
  const TextSize all = canvas.measure(text, style);
  EXPECT_GT(all.lines, 3);
  EXPECT_LE(all.width, 40);
  EXPECT_FALSE(all.shortened);
  style.max_lines = 2;
  const TextSize cut = canvas.measure(text, style);
  EXPECT_EQ(cut.lines, 2);
  EXPECT_TRUE(cut.shortened);
  EXPECT_LE(cut.width, 40);
}

/// A PNG as Cairo, by libpng, reads it: width, height and 0xRRGGBB of each pixel.
struct Picture {
  int columns = 0, rows = 0;
  std::vector<std::uint32_t> pixels;
};

Picture read_png(const std::string& bytes) {
  std::string_view rest = bytes;
  cairo_surface_t* surface = cairo_image_surface_create_from_png_stream(
      [](void* from, unsigned char* to, unsigned count) {
        auto& left = *static_cast<std::string_view*>(from);
        if (left.size() < count) return CAIRO_STATUS_READ_ERROR;
        std::copy_n(left.begin(), count, to);
        left.remove_prefix(count);
        return CAIRO_STATUS_SUCCESS;
      },
      &rest);
  EXPECT_EQ(cairo_surface_status(surface), CAIRO_STATUS_SUCCESS);
  EXPECT_TRUE(rest.empty());
  Picture out{cairo_image_surface_get_width(surface), cairo_image_surface_get_height(surface), {}};
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.columns; ++x) {
      std::uint32_t pixel = 0;
      std::memcpy(&pixel, cairo_image_surface_get_data(surface) + y * cairo_image_surface_get_stride(surface) + 4 * x,
                  4);
      out.pixels.push_back(pixel & 0xffffff);
    }
  cairo_surface_destroy(surface);
  return out;
}

TEST(Canvas, RefusesPicturesOfNoSizeOrABoundlessOne) {
  const Canvas canvas = page(50, 20);
  for (const double dots_per_inch : {0.0, -10.0, 1e9, double(NAN)})
    EXPECT_THROW((void)canvas.png(0, dots_per_inch), Error);
}

TEST(Canvas, PicturesHoldTheirPixelsGreyAndColoured) {
  for (const Colour paint : {Colour{0.2, 0.2, 0.2}, Colour{1, 0, 0.2}}) {
    Canvas canvas = page(50, 20);
    canvas.fill(Path::rectangle({0, 0, 25, 20}), paint);
    const std::string bytes = canvas.png(0, 2 * unit::inch_mm);  // two pixels a millimetre
    const Picture read = read_png(bytes);
    ASSERT_EQ(read.columns, 100);
    ASSERT_EQ(read.rows, 40);
    const auto byte = [](double v) { return static_cast<std::uint32_t>(std::lround(255 * v)); };
    const std::uint32_t wanted = byte(paint.r) << 16 | byte(paint.g) << 8 | byte(paint.b);
    for (int y = 0; y < read.rows; ++y)
      for (int x = 0; x < read.columns; ++x)
        ASSERT_EQ(read.pixels[static_cast<std::size_t>(y * read.columns + x)], x < 50 ? wanted : 0xffffff)
            << x << ", " << y;
    EXPECT_EQ(bytes.at(25), paint.r == paint.g ? '\0' : '\2');  // colour type: grey or red-green-blue
  }
}

/// A circle of radius 5 about (20, 20) as Cairo's own SVG surface writes it: how far its curves leave the circle, mm.
struct SvgCircle {
  double worst_mm = 0;
  std::string text;
};

SvgCircle svg_circle(std::optional<double> tolerance, bool millimetres) {
  SvgCircle out;
  cairo_surface_t* surface = cairo_svg_surface_create_for_stream(
      [](void* to, const unsigned char* data, unsigned count) {
        static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), count);
        return CAIRO_STATUS_SUCCESS;
      },
      &out.text, 40, 40);
  if (millimetres) cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_MM);
  cairo_t* context = cairo_create(surface);
  if (tolerance) cairo_set_tolerance(context, *tolerance);
  cairo_arc(context, 20, 20, 5, 0, 2 * M_PI);
  cairo_stroke(context);
  cairo_destroy(context);
  cairo_surface_finish(surface);
  cairo_surface_destroy(surface);

  const std::size_t from = out.text.find(" d=\"") + 4;
  std::istringstream path(out.text.substr(from, out.text.find('"', from) - from));
  path.imbue(std::locale::classic());
  std::vector<Point> p;
  for (std::string word; path >> word;) {
    if (word == "M" && !p.empty()) break;
    if (word == "M" || word == "C" || word == "Z" || word == "L") continue;
    double y = 0;
    path >> y;
    p.push_back({std::stod(word), y});
  }
  for (std::size_t i = 0; i + 3 < p.size(); i += 3)
    for (double t = 0; t <= 1; t += 0.05) {
      const double u = 1 - t;
      const Point at =
          (u * u * u) * p[i] + (3 * u * u * t) * p[i + 1] + (3 * u * t * t) * p[i + 2] + (t * t * t) * p[i + 3];
      out.worst_mm = std::max(out.worst_mm, std::abs(std::hypot(at.x - 20, at.y - 20) - 5));
    }
  return out;
}

// What Cairo (1.16.0) does, where our canvas leans on it or works around it.
TEST(CairoAssumptions, CirclesAreTenthsOfAMillimetreOffUnlessToldOtherwise) {
  EXPECT_GT(svg_circle({}, true).worst_mm, 0.05);
  EXPECT_LT(svg_circle(0.001, true).worst_mm, 0.003);
}

TEST(CairoAssumptions, SvgIsInPointsUnlessToldOtherwise) {
  EXPECT_THAT(svg_circle(0.001, false).text, HasSubstr("width=\"40pt\" height=\"40pt\""));
  EXPECT_THAT(svg_circle(0.001, true).text, HasSubstr("width=\"40mm\" height=\"40mm\""));
}

TEST(Canvas, LettersAsPathsNeedNoFont) {
  for (const bool as_paths : {false, true}) {
    Canvas canvas = page(100, 80, as_paths);
    canvas.text("Peep", {}, {{10, 10}});
    const ScratchFile file(canvas.pdf({}), ".pdf");
    const bool has_font = run("pdffonts '" + file.path() + "'").find("B612") != std::string::npos;
    EXPECT_EQ(has_font, !as_paths);
    EXPECT_EQ(read_back(canvas).paths.size() >= 4, as_paths);
  }
}

TEST(Canvas, AHatchStaysInsideItsArea) {
  Canvas canvas = page();
  const Box area{20, 20, 60, 50};
  Hatch hatch;
  hatch.spacing_mm = 2;
  canvas.hatch(Path::rectangle(area), hatch);
  const Raster raster = rasterise(canvas.pdf({}), 1, 200);
  int dark = 0;
  for (int row = 0; row < raster.height; ++row)
    for (int column = 0; column < raster.width; ++column) {
      if (!raster.dark(column, row)) continue;
      ++dark;
      const double x = (column + 0.5) * raster.mm_per_pixel, y = (row + 0.5) * raster.mm_per_pixel;
      ASSERT_TRUE(area.contains({x, y, x, y}, 0.2));
    }
  // Lines 0.25 mm wide every 2 mm ink an eighth of the area.
  const double share = dark * raster.mm_per_pixel * raster.mm_per_pixel / (area.width() * area.height());
  EXPECT_NEAR(share, 0.125, 0.04);
}

TEST(Canvas, RefusesNonsense) {
  Canvas none;
  EXPECT_THROW(none.line({0, 0}, {1, 1}, {}), Error);
  EXPECT_THROW(none.pdf({}), Error);
  EXPECT_THROW(none.svg(0), Error);
  for (const double bad : {0.0, -5.0, double(NAN), double(INFINITY), 1e9})
    EXPECT_THROW(none.new_page({bad, 100}), Error) << bad;
  Canvas canvas = page();
  EXPECT_THROW(canvas.line({NAN, 0}, {1, 1}, {}), Error);
  EXPECT_THROW(canvas.line({0, 0}, {1, 1}, {0, {}, {}, LineEnd::butt}), Error);
  EXPECT_THROW(canvas.line({0, 0}, {1, 1}, {0.2, {}, {0, 0}, LineEnd::butt}), Error);
  EXPECT_THROW(canvas.hatch(Path::circle({5, 5}, 2), {0, 45, {}}), Error);
  TextStyle style;
  style.size_mm = 0;
  EXPECT_THROW(canvas.text("x", style, {}), Error);
  EXPECT_THROW(canvas.svg(7), Error);
}

TEST(Canvas, ACharacterWithoutAFontIsAQuestionMarkAndTold) {
  EXPECT_EQ(not_drawable("peep 弓道弓 Zoë"), "弓道");
  EXPECT_EQ(not_drawable("Zoë Ωλ Жук אב ½ −3°"), "");
  EXPECT_EQ(not_drawable("plain"), "");
  const Canvas canvas = page();
  const TextStyle style;
  EXPECT_EQ(canvas.measure("弓 Zoë", style).width, canvas.measure("? Zoë", style).width);
  Canvas drawn = page();
  drawn.text("弓 Zoë", style, {{10, 10}});
  const auto words = read_back(drawn).words;
  ASSERT_EQ(words.size(), 2u);
  EXPECT_EQ(words[0].text, "?");
}

TEST(Canvas, AHyphenThatBeginsANumberIsAMinusSign) {
  Canvas canvas = page();
  canvas.text("-1.6 a-2 (-3) --mark -x 2026-01-02", {}, {{5, 10}});
  std::string words;
  for (const Word& word : read_back(canvas).words) words += word.text + " ";
  EXPECT_EQ(words, "−1.6 a-2 (−3) --mark -x 2026-01-02 ");
}

TEST(Canvas, PicturesWithoutColourAreGrey) {
  const auto colour_type = [](const std::string& png) { return int(png.at(25)); };  // IHDR, ISO/IEC 15948, 11.2.2
  Canvas canvas = page();
  canvas.line({10, 10}, {90, 70}, {});
  EXPECT_EQ(colour_type(canvas.png(0, 60)), 0);
  const Raster before = rasterise(canvas.pdf({}), 1, 60);
  EXPECT_GT(std::ranges::count_if(before.grey, [](unsigned char v) { return v < 128; }), 50);
  canvas.fill(Path::rectangle({20, 20, 30, 30}), {0.9, 0.1, 0.1});
  EXPECT_EQ(colour_type(canvas.png(0, 60)), 2);
}

TEST(Canvas, SvgLettersStayTextOnRequest) {
  Canvas canvas = page();
  canvas.text("Peep <אב> & 3", {}, {{10, 10}});
  const std::string text = canvas.svg(0, SvgLetters::text), outlines = canvas.svg(0);
  EXPECT_THAT(text, HasSubstr(">Peep &lt;</tspan>"));
  EXPECT_THAT(text, HasSubstr("@font-face { font-family: \"B612\";"));
  EXPECT_THAT(text, HasSubstr("@font-face { font-family: \"DejaVu Sans\";"));
  EXPECT_EQ(outlines.find("<text"), std::string::npos);
  EXPECT_EQ(text, canvas.svg(0, SvgLetters::text));
}

TEST(Canvas, CleansTexts) {
  EXPECT_EQ(clean_text("a\tb\x01"
                       "c\nd"),
            "a b c\nd");
  EXPECT_EQ(clean_text(std::string("a\xff") + "b"),
            "a\xEF\xBF\xBD"
            "b");
  EXPECT_EQ(clean_text("Zoë 弓"), "Zoë 弓");
  EXPECT_EQ(clean_text(""), "");
}

// Pango's own threads look fonts up in a map while it goes: none may go, and another drawing takes it over.
TEST(Fonts, AMapIsKeptAndLentToOneDrawingAtATime) {
  const auto map_of = [](const drawing::Fonts& fonts) {
    return pango_context_get_font_map(pango_layout_get_context(fonts.layout("x", {}, Across::left).get()));
  };
  {
    const drawing::Fonts a, b;
    EXPECT_NE(map_of(a), map_of(b));
  }
  std::set<const PangoFontMap*> maps;
  for (int i = 0; i < 50; ++i) maps.insert(map_of(drawing::Fonts()));
  EXPECT_LT(maps.size(), 10u);  // as many as this process drew with at once
}

}  // namespace
}  // namespace peepwright::test
