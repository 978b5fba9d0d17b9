// SPDX-License-Identifier: GPL-3.0-or-later
// SVG in two programs that have nothing in common, librsvg and Chromium: they must show the same, letters as outlines
// or as text, and as text Chromium must show it by the font in the file.
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <sstream>

#include "engine/quantity/quantity.hpp"
#include "tests/exporters/drawing_samples.hpp"
#include "tests/exporters/pdf_reader.hpp"
#include "tests/exporters/picture.hpp"

namespace peepwright::test {
namespace {

namespace fs = std::filesystem;

/// Two pixels of a CSS pixel: 0.13 mm each. The programs smooth edges and letters differently.
constexpr int dots_per_inch = 192;
constexpr Tolerance tolerance{1, 110};
/// Of the pixels with ink: letters of 1.8 mm have strokes of two pixels, of which a few come out paler.
constexpr double most_share = 0.004;

bool have_chromium() {
  try {
    run("command -v chromium");
    return true;
  } catch (const std::runtime_error&) {
    return false;
  }
}

Picture by_librsvg(const std::string& svg) {
  const ScratchFile file(svg, ".svg");
  return read_png(run(std::string("rsvg-convert -d 192 -p 192 -b white '") + file.path() + "'"));
}

/// A file that Chromium shows. `settings` stand before the command, such as VARIABLE=value.
Picture by_chromium(const ScratchFile& file, PageSize size, const std::string& settings = "") {
  const fs::path home = file.path() + ".home";
  fs::create_directories(home);
  const auto pixels = [](double mm) { return int(std::ceil(mm / unit::inch_mm * 96)); };
  std::ostringstream command;
  // Its sandbox refuses to run as root; the only page it opens is ours.
  command << settings << " HOME='" << home.string() << "' timeout 100 chromium --headless --no-sandbox --disable-gpu"
          << " --hide-scrollbars --force-device-scale-factor=2 --user-data-dir='" << home.string() << "'"
          << " --window-size=" << pixels(size.width_mm) << ',' << pixels(size.height_mm) << " --screenshot='"
          << (home / "page.png").string() << "' 'file://" << file.path() << "'";
  run(command.str());
  const std::string png = bytes_of(home / "page.png");
  fs::remove_all(home);
  return read_png(png);
}

Picture by_chromium(const std::string& svg, PageSize size) { return by_chromium(ScratchFile(svg, ".svg"), size); }

/// With no font but those in the file. A picture is taken without waiting for fonts, unless a page hands their bytes
/// over itself: those of the style sheet's own rules.
Picture by_chromium_without_fonts(const std::string& svg, PageSize size) {
  constexpr const char* hand_over = R"(<script>
for (const style of document.querySelectorAll("style")) {
  const told = [...style.sheet.cssRules].map(rule => name => rule.style.getPropertyValue(name).replaceAll('"', ''));
  style.remove();
  for (const face of told) {
    const bytes = Uint8Array.from(atob(face("src").match(/base64,([^)]*)/)[1]), letter => letter.charCodeAt(0));
    document.fonts.add(new FontFace(face("font-family"), bytes, {weight: face("font-weight"), style: face("font-style")}));
  }
}
</script>)";
  const ScratchFile none("<?xml version=\"1.0\"?><fontconfig></fontconfig>", ".conf");
  const ScratchFile page("<!DOCTYPE html><body style=\"margin:0\">" + svg.substr(svg.find("<svg")) + hand_over,
                         ".html");
  return by_chromium(page, size, "FONTCONFIG_FILE='" + none.path() + "'");
}

testing::AssertionResult alike(Picture a, Picture b, const std::string& name) {
  // Pages are no whole number of pixels.
  for (Picture* p : {&a, &b}) {
    Picture cut{std::min(a.width, b.width), std::min(a.height, b.height), {}};
    if (std::abs(a.width - b.width) > 2 || std::abs(a.height - b.height) > 2)
      return testing::AssertionFailure() << "sizes differ: " << a.width << " x " << a.height << " and " << b.width
                                         << " x " << b.height << " pixels";
    for (int r = 0; r < cut.height; ++r)
      for (int c = 0; c < cut.width; ++c) cut.grey.push_back(p->at(c, r));
    *p = std::move(cut);
  }
  const auto ink = std::ranges::count_if(a.grey, [](unsigned char v) { return v < 128; });
  if (ink < 2000) return testing::AssertionFailure() << "only " << ink << " dark pixels";
  const Difference found = difference(a, b, tolerance);
  testing::Test::RecordProperty("share_" + name, std::to_string(double(found.pixels) / double(ink)));
  if (found.pixels <= most_share * double(ink)) return testing::AssertionSuccess();
  const fs::path to(REFERENCE_OUTPUT);
  for (const auto& [part, picture] : {std::pair<const char*, const Picture*>{".one.png", &a},
                                      {".other.png", &b},
                                      {".difference.png", &found.picture}})
    write_bytes(to / ("svg-" + name + part), write_png(*picture));
  return testing::AssertionFailure() << found.pixels << " of " << ink << " pixels differ; see "
                                     << (to / ("svg-" + name + ".difference.png")) << ", .one.png and .other.png";
}

class Svg : public testing::TestWithParam<DrawingSample> {};

TEST_P(Svg, TextShowsAsItsOutlinesDo) {
  const Canvas canvas = GetParam().draw();
  EXPECT_TRUE(
      alike(by_librsvg(canvas.svg(0)), by_librsvg(canvas.svg(0, SvgLetters::text)), GetParam().name + "-letters"));
}

TEST_P(Svg, TwoRenderersShowTheSame) {
  if (!have_chromium()) GTEST_SKIP() << "chromium is not installed, so there is nothing to compare librsvg with";
  const Canvas canvas = GetParam().draw();
  for (const SvgLetters letters : {SvgLetters::outlines, SvgLetters::text}) {
    const std::string svg = canvas.svg(0, letters);
    EXPECT_TRUE(alike(by_librsvg(svg), by_chromium(svg, canvas.page_size(0)),
                      GetParam().name + (letters == SvgLetters::text ? "-text" : "-outlines")));
  }
}

INSTANTIATE_TEST_SUITE_P(Drawings, Svg, testing::ValuesIn(drawing_samples()), test_name);

Canvas page_of_text() {
  Canvas canvas;
  canvas.new_page({120, 60});
  TextStyle plain, bold;
  bold.bold = true;
  bold.size_mm = 5;
  plain.wrap_mm = 60;
  canvas.text("Zoë <אב> & \"peep\" −3.5 mm", bold, {{10, 8}, Across::left, Down::top, 0});
  canvas.text("a wrapped text, set to the right, whose lines end in one place", plain,
              {{110, 20}, Across::right, Down::top, 0});
  canvas.text("upwards", plain, {{12, 50}, Across::left, Down::baseline, 90});
  plain.max_lines = 1;
  canvas.text("this one is much too long for the line that it is given", plain, {{20, 40}, Across::left, Down::top, 0});
  for (int i = 0; i < 8; ++i) canvas.line({20, 50.0 + i}, {110, 50.0 + i}, {0.5, {}, {}, LineEnd::butt});
  return canvas;
}

TEST(SvgText, IsTextWithItsFontsInTheFile) {
  const std::string svg = page_of_text().svg(0, SvgLetters::text), outlines = page_of_text().svg(0);
  // Hebrew is for the fallback font to show.
  for (const char* words :
       {">Zoë &lt;", "upwards</tspan>", "whose</tspan>", ">…</tspan>", "font-family: \"B612\"; font-weight: 700",
        "font-family: \"B612\"; font-weight: 400", "font-family: \"DejaVu Sans\"; font-weight: 700"})
    EXPECT_NE(svg.find(words), std::string::npos) << words;
  EXPECT_EQ(outlines.find("<text"), std::string::npos);
  EXPECT_LT(svg.size(), 120000U) << "whole fonts instead of the letters used";
  EXPECT_TRUE(svg == page_of_text().svg(0, SvgLetters::text));
}

TEST(SvgText, ShowsAlikeTurnedWrappedAndShortened) {
  const Canvas canvas = page_of_text();
  EXPECT_TRUE(alike(by_librsvg(canvas.svg(0)), by_librsvg(canvas.svg(0, SvgLetters::text)), "page-of-text-letters"));
}

TEST(SvgText, NeedsNoFontOnTheMachine) {
  if (!have_chromium()) GTEST_SKIP() << "chromium is not installed; librsvg takes installed fonts only";
  const Canvas canvas = page_of_text();
  EXPECT_TRUE(alike(by_librsvg(canvas.svg(0)),
                    by_chromium_without_fonts(canvas.svg(0, SvgLetters::text), canvas.page_size(0)),
                    "page-of-text-embedded"));
}

}  // namespace
}  // namespace peepwright::test
