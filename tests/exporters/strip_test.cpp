// SPDX-License-Identifier: GPL-3.0-or-later
// The printed strip, read back from the file: is it true to size, and does it say what it must?
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"
#include "tests/exporters/sheet_reading.hpp"
#include "tests/exporters/strip_sample.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::test {
namespace {

using testing::DoubleNear;
using testing::ElementsAre;
using testing::HasSubstr;

constexpr double tolerance = 0.05;  // mm on paper, the project's own limit

TEST(Strip, IsOneToOneOnBothPapersForShortAndLongMarks) {
  for (const Paper paper : {Paper::a4, Paper::letter})
    for (const double mark : {60.0, 90.0, 133.3, 152.4, 211.7, 236.0, 280.0, 404.25, 731.5, 1000.0}) {
      SCOPED_TRACE(testing::Message() << mark << " mm on " << (paper == Paper::a4 ? "A4" : "Letter"));
      EXPECT_SHEET_IS_ONE_TO_ONE(strip_pdf(strip_sample(mark), paper), mark);
    }
}

TEST(Strip, OneSheetWhenItFitsElseAsManyAsItNeeds) {
  const auto sheets = [](double mark, Paper paper) { return read_pdf(strip_pdf(strip_sample(mark), paper)).size(); };
  EXPECT_EQ(sheets(133.3, Paper::a4), 1u);
  EXPECT_EQ(sheets(220, Paper::a4), 1u);
  EXPECT_EQ(sheets(280, Paper::a4), 2u);  // more than 297 mm less margins
  EXPECT_EQ(sheets(280, Paper::letter), 2u);
  EXPECT_GE(sheets(1000, Paper::letter), 4u);
}

TEST(Strip, PixelsOfTheRasterAgree) {
  for (const double mark : {90.0, 133.3, 152.4}) {
    SCOPED_TRACE(mark);
    const SheetReading r = read_raster(rasterise(strip_pdf(strip_sample(mark), Paper::a4), 1, 600));
    ASSERT_EQ(r.full_lines.size(), 2u);
    EXPECT_NEAR(r.full_lines[1] - r.full_lines[0], mark, tolerance);
    EXPECT_THAT(r.bars_across, ElementsAre(DoubleNear(100, tolerance), DoubleNear(4 * unit::inch_mm, tolerance)));
    EXPECT_THAT(r.bars_up, ElementsAre(DoubleNear(100, tolerance), DoubleNear(4 * unit::inch_mm, tolerance)));
  }
}

TEST(Strip, PaperHasItsExactSize) {
  const PdfPage a4 = read_pdf(strip_pdf(strip_sample(), Paper::a4)).at(0);
  EXPECT_NEAR(a4.width, 210, 1e-4);
  EXPECT_NEAR(a4.height, 297, 1e-4);
  const PdfPage letter = read_pdf(strip_pdf(strip_sample(), Paper::letter)).at(0);
  EXPECT_NEAR(letter.width, 8.5 * unit::inch_mm, 1e-4);
  EXPECT_NEAR(letter.height, 11 * unit::inch_mm, 1e-4);
}

TEST(Strip, APrinterThatIsOffIsCorrectedByTheInverse) {
  const double mark = 133.3;
  const std::string pdf = strip_pdf(strip_sample(mark), Paper::a4, {98.7, 101.6});
  const std::vector<PdfPage> pages = read_pdf(pdf);
  ASSERT_EQ(pages.size(), 1u);
  const SheetReading r = read_sheet(pages[0]);
  // What the printer makes of it, 0.987 and 1.016 times as large, is true again.
  EXPECT_NEAR(datum_to_mark(pages) * 1.016, mark, tolerance);
  EXPECT_THAT(r.bars_across, ElementsAre(DoubleNear(100 / 0.987, tolerance), DoubleNear(101.6 / 0.987, tolerance)));
  EXPECT_THAT(r.bars_up, ElementsAre(DoubleNear(100 / 1.016, tolerance), DoubleNear(101.6 / 1.016, tolerance)));
  EXPECT_NEAR(r.inch_ticks.at(16) - r.inch_ticks.at(0), unit::inch_mm / 1.016, tolerance);
  EXPECT_NEAR(r.cut.width() * 0.987, read_sheet(read_pdf(strip_pdf(strip_sample(), Paper::a4)).at(0)).cut.width(),
              tolerance);
  const SheetReading seen = read_raster(rasterise(pdf, 1, 600));
  ASSERT_EQ(seen.full_lines.size(), 2u);
  EXPECT_NEAR((seen.full_lines[1] - seen.full_lines[0]) * 1.016, mark, tolerance);
}

TEST(Strip, TheWorstCorrectionsStillStayInsideTheMargins) {
  for (const double x : {90.0, 110.0})
    for (const double y : {90.0, 110.0}) {
      for (const PdfPage& page : read_pdf(strip_pdf(strip_sample(280), Paper::a4, {x, y})))
        for (const Painted& p : page.paths) {
          const Extent e = p.extent();
          EXPECT_GE(e.x0, 9.99);
          EXPECT_GE(e.y0, 9.99);
          EXPECT_LE(e.x1, page.width - 9.99);
          EXPECT_LE(e.y1, page.height - 9.99);
        }
    }
}

/// The closed curve that is `width` by `height`, if the page has one about this place.
bool has_outline(const PdfPage& page, At centre, double width, double height) {
  for (const Painted& p : page.paths) {
    const Extent e = p.extent();
    if (p.curved && p.closed && p.stroked && std::abs(e.width() - width) < tolerance &&
        std::abs(e.height() - height) < tolerance &&
        std::hypot(e.centre().x - centre.x, e.centre().y - centre.y) < tolerance)
      return true;
  }
  return false;
}

TEST(Strip, PeepBoreNockTieInAndBandAreTrueToSize) {
  const PdfPage page = read_pdf(strip_pdf(strip_sample(), Paper::letter)).at(0);
  const SheetReading r = read_sheet(page);
  ASSERT_EQ(r.full_lines.size(), 2u);
  const At mark{r.cut.centre().x, r.full_lines[1]};
  EXPECT_TRUE(has_outline(page, mark, 4.8, 4.8)) << "bore";
  EXPECT_TRUE(has_outline(page, mark, 9, 10)) << "body";
  int nocks = 0, ties = 0, bands = 0;
  for (const Painted& p : page.paths) {
    const Extent e = p.extent();
    const double middle = e.centre().y - mark.y;
    nocks += p.curved && std::abs(e.height() - 6.8) < tolerance && std::abs(e.y1 - r.full_lines[0]) < tolerance;
    ties += p.curved && p.stroked && std::abs(e.height() - 9) < tolerance &&
            std::abs(std::abs(middle) - 5 - 4.5) < tolerance;
    bands += p.closed && p.stroked && !p.curved && std::abs(e.height() - 2 * 2.4) < tolerance &&
             std::abs(middle) < tolerance;
  }
  EXPECT_EQ(nocks, 1);
  EXPECT_EQ(ties, 2);
  EXPECT_EQ(bands, 1);
}

/// All words of a page, spaced by one blank, in reading order of the text columns.
std::string all_text(const std::string& pdf, int page) {
  const ScratchFile file(pdf, ".pdf");
  const std::string n = std::to_string(page);
  std::string raw = run("pdftotext -raw -enc UTF-8 -f " + n + " -l " + n + " '" + file.path() + "' -");
  const std::string unbreakable = "\u00A0";
  for (std::size_t at; (at = raw.find(unbreakable)) != std::string::npos;) raw.replace(at, unbreakable.size(), " ");
  std::istringstream words(raw);
  std::string out;
  for (std::string word; words >> word;) out += word + " ";
  return out;
}

TEST(Strip, EverySheetSaysWhatItMust) {
  const StripData data = strip_sample(280);
  const std::string pdf = strip_pdf(data, Paper::a4);
  for (int page = 1; page <= 2; ++page) {
    const std::string text = all_text(pdf, page);
    for (const std::string& caution : data.cautions) EXPECT_THAT(text, HasSubstr(caution)) << page;
    for (const char* words :
         {"280.0 mm", "11 1/32 in", "± 2.4 mm", "100 mm", "4 in", "without scaling", "--bar-measured-x",
          "--bar-measured-y", "peepwright verify", "peepwright 0.1.0", "3 May", "measured at full draw", "atch line A",
          "an arrow nocked", "Sample archer sample bow right-handed"})
      EXPECT_THAT(text, HasSubstr(words)) << page;
  }
  EXPECT_THAT(all_text(pdf, 1), HasSubstr("sheet 1 of 2"));
  EXPECT_THAT(all_text(pdf, 2), HasSubstr("sheet 2 of 2"));
}

TEST(Strip, TheWantedUnitComesFirst) {
  StripData data = strip_sample(152.4);
  const auto order = [&](PaperUnits units) {
    data.units = units;
    const std::string text = all_text(strip_pdf(data, Paper::letter), 1);
    return text.find("6 in (152.4 mm)") < text.size() ? 'i' : text.find("152.4 mm (6 in)") < text.size() ? 'm' : '?';
  };
  EXPECT_EQ(order(PaperUnits::inches), 'i');
  EXPECT_EQ(order(PaperUnits::millimetres), 'm');
}

std::string refusal(const StripData& data, const PrinterCorrection& correction = {}) {
  return test::refusal([&] { strip_pdf(data, Paper::a4, correction); });
}

TEST(Strip, RefusesWhatCannotBeAStrip) {
  EXPECT_THAT(refusal(strip_sample(), {89.9, 100}), HasSubstr("across the page is 89.90 mm"));
  EXPECT_THAT(refusal(strip_sample(), {100, 110.1}), HasSubstr("up the page is 110.10 mm"));
  EXPECT_EQ(refusal(strip_sample(), {90, 110}), "accepted");
  EXPECT_THAT(refusal(strip_sample(), {NAN, 100}), HasSubstr("must be between 90.0 mm and 110.0 mm"));
  double StripData::*const fields[] = {&StripData::mark_mm,
                                       &StripData::expanded_uncertainty_mm,
                                       &StripData::nock_height_mm,
                                       &StripData::string_diameter_mm,
                                       &StripData::peep_body_length_along_string_mm,
                                       &StripData::peep_body_width_mm,
                                       &StripData::bore_mm,
                                       &StripData::tie_span_mm};
  for (const auto field : fields)
    for (const double bad : {-1.0, double(NAN), double(INFINITY), -double(INFINITY), 1e300}) {
      StripData data = strip_sample();
      data.*field = bad;
      EXPECT_THAT(refusal(data), HasSubstr("must be between")) << bad;
      EXPECT_THROW(strip_dxf(data), Error);
    }
  StripData low = strip_sample(41);
  low.tie_span_mm = 35;
  EXPECT_THAT(refusal(low), HasSubstr("shorten the tie-in span"));
  StripData wordy = strip_sample();
  for (int i = 0; i < 200; ++i) wordy.cautions.push_back(wordy.cautions.back());
  EXPECT_THAT(refusal(wordy), HasSubstr("no room for all its texts"));
}

}  // namespace
}  // namespace peepwright::test
