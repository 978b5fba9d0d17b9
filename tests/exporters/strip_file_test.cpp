// SPDX-License-Identifier: GPL-3.0-or-later
// The files as files: print settings, fonts, repeatable bytes, SVG and DXF read back.
#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <map>
#include <optional>
#include <set>
#include <sstream>

#include "engine/quantity/error.hpp"
#include "tests/exporters/sheet_reading.hpp"
#include "tests/exporters/strip_sample.hpp"

namespace peepwright::test {
namespace {

using testing::HasSubstr;
using testing::StartsWith;

/// Sets an environment variable for the life of the object.
class Environment {
 public:
  Environment(const char* name, const std::string& value) : name_(name) {
    if (const char* old = std::getenv(name)) old_ = old;
    setenv(name, value.c_str(), 1);
  }
  ~Environment() { old_ ? setenv(name_, old_->c_str(), 1) : unsetenv(name_); }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;

 private:
  const char* name_;
  std::optional<std::string> old_;
};

TEST(StripPdf, AsksViewersNotToScale) {
  EXPECT_THAT(strip_pdf(strip_sample(), Paper::a4), HasSubstr("/PrintScaling /None"));
}

TEST(StripPdf, EveryFontIsEmbedded) {
  const ScratchFile file(strip_pdf(strip_sample(), Paper::a4), ".pdf");
  std::istringstream lines(run("pdffonts '" + file.path() + "'"));
  int fonts = 0;
  for (std::string line; std::getline(lines, line);) {
    if (line.find("B612") == std::string::npos) {
      EXPECT_TRUE(line.starts_with("name") || line.starts_with("---")) << "a foreign font: " << line;
      continue;
    }
    ++fonts;
    EXPECT_THAT(line, HasSubstr(" yes yes yes ")) << "embedded, subset, Unicode";
  }
  EXPECT_GE(fonts, 2);
}

TEST(StripFiles, SameBytesTwiceAndInAnotherProcess) {
  const StripData data = strip_sample();
  const std::map<std::string, std::string> here = {
      {"pdf", strip_pdf(data, Paper::a4)}, {"svg", strip_svg(data, Paper::a4).at(0)}, {"dxf", strip_dxf(data)}};
  EXPECT_EQ(here.at("pdf"), strip_pdf(data, Paper::a4));
  EXPECT_EQ(here.at("svg"), strip_svg(data, Paper::a4).at(0));
  EXPECT_EQ(here.at("dxf"), strip_dxf(data));
  for (const auto& [kind, bytes] : here) {
    EXPECT_GT(bytes.size(), 2000u);
    EXPECT_TRUE(run("'" STRIP_WRITER "' " + kind) == bytes) << kind;
    // Another home, time zone, set of fonts and decimal comma (where the locale is installed) change nothing.
    EXPECT_TRUE(run("HOME=/nonexistent TZ=Asia/Tokyo LC_ALL=de_DE.UTF-8 FONTCONFIG_FILE=/dev/null '" STRIP_WRITER "' " +
                    kind) == bytes)
        << kind;
  }
}

TEST(StripFiles, TheDateComesFromOutside) {
  const auto dated = [](const std::string& pdf) {
    const ScratchFile file(pdf, ".pdf");
    return run("TZ=UTC pdfinfo -isodates '" + file.path() + "'");
  };
  EXPECT_THAT(dated(strip_pdf(strip_sample(), Paper::a4)), HasSubstr("1980-01-01T00:00:00Z"));
  const Environment epoch("SOURCE_DATE_EPOCH", "1000000000");
  EXPECT_THAT(dated(strip_pdf(strip_sample(), Paper::a4)), HasSubstr("2001-09-09T01:46:40Z"));
}

TEST(StripFiles, AMissingFontIsSaidInWords) {
  const Environment nowhere("PEEPWRIGHT_FONT_DIR", "/nonexistent");
  try {
    strip_pdf(strip_sample(), Paper::a4);
    FAIL() << "accepted";
  } catch (const Error& e) {
    EXPECT_EQ(e.code(), ErrorCode::input);
    EXPECT_THAT(e.what(), HasSubstr("\"/nonexistent\""));
    EXPECT_THAT(e.what(), HasSubstr("PEEPWRIGHT_FONT_DIR"));
  }
}

TEST(StripSvg, IsInMillimetresAndOneFileASheet) {
  const std::vector<std::string> sheets = strip_svg(strip_sample(280), Paper::a4);
  ASSERT_EQ(sheets.size(), 2u);
  for (const std::string& svg : sheets)
    EXPECT_THAT(svg.substr(0, 300), HasSubstr(" width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""));
}

TEST(StripSvg, AnotherReaderFindsTheSameSizes) {
  const ScratchFile svg(strip_svg(strip_sample(152.4), Paper::letter).at(0), ".svg");
  const PdfPage page = read_pdf(run("rsvg-convert -f pdf '" + svg.path() + "'")).at(0);
  EXPECT_NEAR(page.width, 215.9, 0.2);  // the reader rounds the page to whole points
  EXPECT_NEAR(datum_to_mark({page}), 152.4, 0.05);
}

/// Collects what dxflib's reader finds.
class DxfContent : public DL_CreationAdapter {
 public:
  struct Polyline {
    std::string layer;
    bool closed = false;
    Extent extent;
    int bulges = 0;
  };
  std::map<std::string, int> settings;
  std::set<std::string> layers;
  std::map<std::string, std::vector<Extent>> lines;
  std::map<std::string, std::vector<DL_CircleData>> circles;
  std::vector<Polyline> polylines;
  std::vector<std::string> texts;

  void setVariableInt(const std::string& name, int value, int) override { settings[name] = value; }
  void addLayer(const DL_LayerData& layer) override { layers.insert(layer.name); }
  void addLine(const DL_LineData& l) override {
    Extent e;
    e.take({l.x1, l.y1});
    e.take({l.x2, l.y2});
    lines[attributes.getLayer()].push_back(e);
  }
  void addCircle(const DL_CircleData& c) override { circles[attributes.getLayer()].push_back(c); }
  void addPolyline(const DL_PolylineData& p) override {
    polylines.push_back({attributes.getLayer(), (p.flags & 1) != 0, {}, 0});
  }
  void addVertex(const DL_VertexData& v) override {
    polylines.back().extent.take({v.x, v.y});
    polylines.back().bulges += v.bulge != 0;
  }
  void addText(const DL_TextData& t) override { texts.push_back(t.text); }
};

TEST(StripDxf, ReadsBackInMillimetresWithClosedOutlines) {
  StripData data = strip_sample(404.25);
  data.bow = "Zoë 50 %% \\P";
  std::istringstream in(strip_dxf(data));
  DxfContent dxf;
  ASSERT_TRUE(DL_Dxf().in(in, &dxf));
  EXPECT_EQ(dxf.settings.at("$INSUNITS"), 4);     // millimetres
  EXPECT_EQ(dxf.settings.at("$MEASUREMENT"), 1);  // metric
  ASSERT_EQ(dxf.lines["DATUM"].size(), 1u);
  ASSERT_EQ(dxf.lines["MARK"].size(), 1u);
  EXPECT_DOUBLE_EQ(dxf.lines["DATUM"][0].y0, 0);
  EXPECT_DOUBLE_EQ(dxf.lines["MARK"][0].y0, 404.25);
  EXPECT_DOUBLE_EQ(dxf.lines["MARK"][0].height(), 0);
  ASSERT_EQ(dxf.circles["PEEP"].size(), 1u);
  EXPECT_DOUBLE_EQ(dxf.circles["PEEP"][0].cy, 404.25);
  EXPECT_DOUBLE_EQ(dxf.circles["PEEP"][0].radius, 2.4);
  std::map<std::string, int> closed;
  for (const auto& p : dxf.polylines) {
    EXPECT_TRUE(p.closed) << p.layer;
    ++closed[p.layer];
    if (p.layer == "BAND") {
      EXPECT_NEAR(p.extent.height(), 4.8, 1e-9);
      EXPECT_NEAR(p.extent.centre().y, 404.25, 1e-9);
    }
    if (p.layer == "PEEP") {
      EXPECT_NEAR(p.extent.width(), 9, 1e-9);
      EXPECT_NEAR(p.extent.height(), 10, 1e-9);
      EXPECT_EQ(p.bulges, 4);
    }
    if (p.layer == "NOCK") {
      EXPECT_NEAR(p.extent.y1, 0, 1e-9);
      EXPECT_NEAR(p.extent.height(), 6.8, 1e-9);
    }
  }
  for (const auto& [layer, count] :
       std::map<std::string, int>{{"BAND", 1}, {"PEEP", 1}, {"NOCK", 1}, {"CUT", 1}, {"TIE_IN", 2}})
    EXPECT_EQ(closed[layer], count) << layer;
  for (const char* layer : {"CUT", "FOLD", "SCALE_MM", "SCALE_INCH", "TEXT"})
    EXPECT_TRUE(dxf.layers.contains(layer)) << layer;
  EXPECT_THAT(dxf.texts, testing::Contains(HasSubstr("404.2 mm")));
  EXPECT_THAT(dxf.texts, testing::Contains(HasSubstr("Zo\\U+00EB 50 % %")));
  double top = 0;
  for (const Extent& e : dxf.lines["SCALE_MM"]) top = std::max(top, e.y1);
  EXPECT_GT(top, 404.25);
}

}  // namespace
}  // namespace peepwright::test
