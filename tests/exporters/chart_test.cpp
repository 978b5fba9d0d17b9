// SPDX-License-Identifier: GPL-3.0-or-later
// Charts: ticks are round, labels keep apart and inside whatever the data are, lines differ without colour.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "engine/quantity/error.hpp"
#include "exporters/drawing/axis.hpp"
#include "tests/exporters/chart_sample.hpp"
#include "tests/exporters/pdf_reader.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::test {
namespace {

using testing::HasSubstr;

constexpr double margin = 6;

Canvas drawn(const Chart& chart, double width, double height) {
  Canvas canvas;
  canvas.new_page({width + 2 * margin, height + 2 * margin});
  draw_chart(canvas, chart, {margin, margin, margin + width, margin + height});
  return canvas;
}

/// What is wrong with the texts of a chart; empty when nothing is.
std::string clash(const Canvas& canvas) {
  const auto& texts = canvas.texts(0);
  const PageSize size = canvas.page_size(0);
  const Box frame{margin, margin, size.width_mm - margin, size.height_mm - margin};
  if (texts.size() < 6) return "too few texts to mean anything";
  for (std::size_t i = 0; i < texts.size(); ++i) {
    if (!frame.contains(texts[i].box, 0.01)) return "\"" + texts[i].text + "\" leaves the frame";
    for (std::size_t k = i + 1; k < texts.size(); ++k)
      if (texts[i].box.overlaps(texts[k].box, 0.02))
        return "\"" + texts[i].text + "\" lies on \"" + texts[k].text + "\"";
  }
  return "";
}

int count_of(const Canvas& canvas, const std::string& words) {
  int n = 0;
  for (const TextBox& t : canvas.texts(0)) n += t.text == words;
  return n;
}

/// Every name, note and value stands on the chart once.
std::string missing(const Canvas& canvas, const Chart& chart) {
  for (const ChartSeries& s : chart.series)
    if (count_of(canvas, s.label) != 1) return s.label;
  for (const ChartBand& b : chart.bands)
    if (count_of(canvas, b.label) != 1) return b.label;
  for (const ChartNote& n : chart.notes)
    if (count_of(canvas, n.text) != 1) return n.text;
  return "";
}

TEST(Chart, LabelsKeepApartForManyDataSets) {
  int tried = 0;
  for (const double width : {80.0, 120.0, 190.0})
    for (const int lines : {1, 2, 3, 5, 8})
      for (const double apart : {0.0, 0.004, 0.03, 0.1, 0.3})
        for (const double phase : {0.0, 1.3, 2.6, 3.9, 5.2}) {
          ChartSample s;
          s.lines = lines;
          s.apart = apart;
          s.phase = phase;
          s.readings = lines == 1 || phase > 3;
          s.hatched = apart > 0.02;
          s.area = lines < 3 && phase > 2;
          s.notes = lines == 1 ? 4 : lines == 2 ? 2 : 0;
          s.rows = width > 100 ? 6 : 0;
          const Chart chart = chart_sample(s);
          const Canvas canvas = drawn(chart, width, width > 100 ? 110 : 50 + 3 * lines);
          EXPECT_EQ(clash(canvas), "") << width << " mm, " << lines << " lines, apart " << apart << ", phase " << phase;
          EXPECT_EQ(missing(canvas, chart), "")
              << width << " mm, " << lines << " lines, apart " << apart << ", phase " << phase;
          ++tried;
        }
  EXPECT_EQ(tried, 375);
}

TEST(Chart, LabelsKeepApartForEveryScale) {
  for (const double scale : {1e-30, 3e-7, 0.004, 0.7, 60.0, 99999.0, 4.7e8, 1e40})
    for (const double offset : {0.0, -0.3, 1.0, -1.0, 1e4})
      for (const double from : {0.0, -1234.5, 1e6}) {
        ChartSample s;
        s.y_scale = scale;
        s.y_offset = offset * scale;
        s.x_from = from;
        s.x_to = from + 37 * scale;
        s.notes = 2;
        EXPECT_EQ(clash(drawn(chart_sample(s), 80, 50)), "") << scale << " " << offset << " " << from;
      }
}

TEST(Chart, OneValueGapsAndLoneReadingsAreShown) {
  Chart flat;
  flat.x = {"distance", "m"};
  flat.y = {"mark", "mm"};
  flat.series.push_back({"all the same", {{1, 5}, {2, 5}, {3, 5}}, true});
  EXPECT_EQ(clash(drawn(flat, 80, 50)), "");
  Chart single = flat;
  single.series[0].points = {{2, 5}};
  EXPECT_EQ(clash(drawn(single, 80, 50)), "");
  Chart gap = flat;
  gap.series[0].points = {{1, 5}, {2, NAN}, {3, 6}, {4, 7}, {INFINITY, 8}, {5, 9}, {6, 8}};
  const auto page = read_pdf(drawn(gap, 80, 50).pdf({"", ""})).at(0);
  int strokes = 0;
  for (const Painted& p : page.paths) strokes += p.stroked && !p.filled && std::abs(p.line_width - 0.45) < 0.01;
  EXPECT_EQ(strokes, 2);  // 3 to 4 and 5 to 6; the lone point at 1 is a mark
}

TEST(Chart, LongAndForeignNamesAreShortenedNotSpilt) {
  for (const char* name :
       {"", "x", "Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichenschützenverein",
        "A rather long name of a line with the bow, the string, the season and all notes in one text", "弓道 太郎",
        "مختبر القوس", "two\nlines", "bad \xff bytes"}) {
    ChartSample s;
    s.lines = 2;
    s.rows = 3;
    s.notes = 1;
    Chart chart = chart_sample(s);
    chart.title = chart.x.name = chart.y.name = chart.series[0].label = chart.notes[0].text = chart.table[0].name =
        name;
    EXPECT_EQ(clash(drawn(chart, 120, 80)), "") << name;
  }
}

TEST(Chart, LinesDifferByDashOrMark) {
  ChartSample s;
  s.lines = 4;
  const auto page = read_pdf(drawn(chart_sample(s), 160, 100).pdf({"", ""})).at(0);
  int whole = 0, dashed = 0;
  for (const Painted& p : page.paths)
    if (p.stroked && std::abs(p.line_width - 0.45) < 0.01) ++(p.dashed ? dashed : whole);
  EXPECT_EQ(whole, 1);
  EXPECT_EQ(dashed, 3);
}

TEST(Chart, NamesStandBesideTheirLinesWhereThereIsRoom) {
  // Two lines far apart: no key, so no sample stroke of a line outside the plot, and each name nearer its own line.
  ChartSample s;
  s.lines = 2;
  s.apart = 0.5;
  const Chart chart = chart_sample(s);
  const Canvas canvas = drawn(chart, 120, 80);
  double height[2] = {0, 0}, bottom = 0;
  for (const TextBox& t : canvas.texts(0)) {
    for (int k = 0; k < 2; ++k)
      if (t.text == chart.series[k].label) height[k] = t.box.y0;
    if (t.text.starts_with("draw length")) bottom = t.box.y0;
  }
  EXPECT_LT(height[1], height[0]);  // the upper line's name is above
  EXPECT_LT(height[0], bottom);     // and neither is in a key under the axis
}

TEST(Chart, TheSameBytesEachTime) {
  ChartSample s;
  s.lines = 3;
  s.hatched = true;
  EXPECT_EQ(drawn(chart_sample(s), 100, 70).pdf({"", ""}), drawn(chart_sample(s), 100, 70).pdf({"", ""}));
}

std::string refusal(const Chart& chart, double width, double height) {
  return test::refusal([&] { drawn(chart, width, height); });
}

TEST(Chart, RefusesInWords) {
  EXPECT_THAT(refusal({}, 80, 50), HasSubstr("nothing to show"));
  Chart nothing = chart_sample({});
  for (ChartPoint& p : nothing.series[0].points) p.y = NAN;
  EXPECT_THAT(refusal(nothing, 80, 50), HasSubstr("nothing to show"));
  EXPECT_THAT(refusal(chart_sample({}), 18, 14), HasSubstr("no room"));
  ChartSample many;
  many.lines = 13;
  EXPECT_THAT(refusal(chart_sample(many), 200, 150), HasSubstr("at most 12"));
  ChartSample rows;
  rows.rows = 60;
  EXPECT_THAT(refusal(chart_sample(rows), 120, 60), HasSubstr("no room"));
  Chart huge = chart_sample({});
  huge.series[0].points[3].y = 1e200;
  EXPECT_THAT(refusal(huge, 80, 50), HasSubstr("beyond 1e100"));
}

TEST(Ticks, AreRoundAndHoldTheRange) {
  for (const double low : {-1e12, -37.0, -0.1, 0.0, 1e-9, 3.3, 99.99, 1e15})
    for (const double width : {1e-6, 0.03, 1.0, 47.0, 1e5, 3e13})
      for (int most = 3; most <= 14; ++most) {
        const double high = low + width;
        const Ticks t = round_ticks(low, high, most);
        ASSERT_GE(t.at.size(), 2U);
        ASSERT_LE(t.at.size(), static_cast<std::size_t>(most));
        const double step = (t.to - t.from) / static_cast<double>(t.at.size() - 1);
        EXPECT_LE(t.from, low + 1e-6 * step);
        EXPECT_GE(t.to, high - 1e-6 * step);
        EXPECT_EQ(std::set<std::string>(t.labels.begin(), t.labels.end()).size(), t.labels.size())
            << low << " " << width << " " << most;
        const double digit = step / std::pow(10.0, std::floor(std::log10(step) + 1e-4));
        EXPECT_TRUE(std::abs(digit - 1) < 1e-3 || std::abs(digit - 2) < 1e-3 || std::abs(digit - 5) < 1e-3) << step;
      }
}

TEST(Ticks, ByHand) {
  EXPECT_EQ(round_ticks(0, 60, 7).labels, (std::vector<std::string>{"0", "10", "20", "30", "40", "50", "60"}));
  EXPECT_EQ(round_ticks(-0.1, 0.25, 5).labels, (std::vector<std::string>{"-0.1", "0.0", "0.1", "0.2", "0.3"}));
  const Ticks large = round_ticks(0, 3e6, 5);
  EXPECT_EQ(large.exponent, 6);
  EXPECT_EQ(large.labels.back(), "3");
  EXPECT_THROW(round_ticks(NAN, 1, 5), Error);
  EXPECT_THROW(round_ticks(2, 1, 5), Error);
}

}  // namespace
}  // namespace peepwright::test
