// SPDX-License-Identifier: GPL-3.0-or-later
// Texts of the sheet never lie on each other or leave the margins, whatever the labels and sizes are.
#include <gtest/gtest.h>

#include <algorithm>

#include "exporters/print/sheet.hpp"
#include "tests/exporters/strip_sample.hpp"

namespace peepwright::test {
namespace {

const char* const titles[] = {
    "",
    "A",
    "Sample archer · sample bow",
    "A rather long label of an archer whose club, class, bow, string, season and notes all went into one line of text",
    "Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichenschützenverein",
    "Þórdís Ærøskøbing-Östergård · 37¼″",
    "Ελένη Παπαδοπούλου",
    "弓道 太郎",
    "קשת ירוקה",
    "مختبر القوس",
    "🏹🏹🏹",
    "two\nlines\tand a tab",
    "bad \xff\xfe bytes",
    "{mark} {nothing} } {",
    "%s %n <b>&amp;</b> \\U+0041",
    "e\u0301\u0301\u0301\u0301 combining"};

std::string clash(const Canvas& canvas, double margin) {
  for (int page = 0; page < canvas.page_count(); ++page) {
    const auto& texts = canvas.texts(page);
    if (texts.size() < 30) return "too few texts to mean anything";
    const PageSize size = canvas.page_size(page);
    const Box inside{margin, margin, size.width_mm - margin, size.height_mm - margin};
    for (std::size_t i = 0; i < texts.size(); ++i) {
      if (!inside.contains(texts[i].box, 0.05)) return "\"" + texts[i].text + "\" leaves the margins";
      for (std::size_t k = i + 1; k < texts.size(); ++k)
        if (texts[i].box.overlaps(texts[k].box, 0.02))
          return "\"" + texts[i].text + "\" lies on \"" + texts[k].text + "\"";
    }
  }
  return "";
}

std::string clash_of(const StripData& data, const char* paper, const PrinterCorrection& correction = {}) {
  return clash(print::draw_sheets(print::strip_layout(), data, paper, correction), print::strip_layout().margin);
}

TEST(StripTexts, KeepApartForEveryLabel) {
  for (const char* title : titles)
    for (const char* paper : {"a4", "letter"})
      for (const double mark : {52.0, 133.3, 280.0}) {
        StripData data = strip_sample(mark);
        data.archer = data.bow = title;
        EXPECT_EQ(clash_of(data, paper), "") << title << " " << paper << " " << mark;
        data.how_found = data.date = data.version = title;
        EXPECT_EQ(clash_of(data, paper), "") << "everywhere " << title << " " << paper << " " << mark;
      }
}

TEST(StripTexts, KeepApartForEverySize) {
  for (double mark = 40; mark <= 1000; mark = mark * 1.037 + 0.3)
    for (const double uncertainty : {0.0, 0.4, 3.0, 18.0}) {
      StripData data = strip_sample(mark);
      data.expanded_uncertainty_mm = uncertainty;
      data.units = uncertainty < 1 ? PaperUnits::inches : PaperUnits::millimetres;
      EXPECT_EQ(clash_of(data, "letter"), "") << mark << " ± " << uncertainty;
    }
}

TEST(StripTexts, NoLabelLiesOnTheHatchingOfAWideBand) {
  const auto labels = [](double uncertainty) {
    StripData data = strip_sample(133.3);
    data.expanded_uncertainty_mm = uncertainty;
    const Canvas sheets = print::draw_sheets(print::strip_layout(), data, "a4", {});
    return std::ranges::count(sheets.texts(0), "tie-in", &TextBox::text);
  };
  EXPECT_EQ(labels(3), 2);
  EXPECT_EQ(labels(18), 0);
}

TEST(StripTexts, KeepApartAtTheEndsOfEveryRange) {
  int tried = 0;
  for (const double mark : {60.0, 100.0, 333.0})
    for (const double nock : {2.0, 25.0})
      for (const double string : {0.5, 6.0})
        for (const double length : {2.0, 40.0})
          for (const double width : {2.0, 18.0})
            for (const double tie : {0.0, 34.0}) {
              StripData data = strip_sample(mark);
              data.nock_height_mm = nock;
              data.string_diameter_mm = string;
              data.peep_body_length_along_string_mm = length;
              data.peep_body_width_mm = width;
              data.bore_mm = 1;
              data.tie_span_mm = tie;
              if (mark - length / 2 - tie < 5) continue;
              ++tried;
              EXPECT_EQ(clash_of(data, "a4", {tie > 0 ? 90.0 : 110.0, string < 1 ? 110.0 : 90.0}), "")
                  << mark << " " << nock << " " << string << " " << length << " " << width << " " << tie;
            }
  EXPECT_GT(tried, 80);
}

TEST(StripTexts, ALongTitleIsShortenedAndStillThere) {
  StripData data = strip_sample();
  data.bow = std::string(300, 'W') + " end";
  const Canvas canvas = print::draw_sheets(print::strip_layout(), data, "a4", {});
  int found = 0;
  for (const TextBox& t : canvas.texts(0)) found += t.text == data.bow;
  EXPECT_EQ(found, 3);  // beside the strip, and on it below and above the peep
}

}  // namespace
}  // namespace peepwright::test
