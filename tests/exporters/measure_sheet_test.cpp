// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/measure_sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/quantity/error.hpp"
#include "tests/exporters/view_reading.hpp"

namespace peepwright {
namespace {

TEST(MeasureSheet, ShowsEveryMeasureOnceInThePictureAndOnceInTheList) {
  const Canvas sheet = measure_sheet({"a4", "peepwright"});
  ASSERT_EQ(sheet.page_count(), 1);
  for (std::size_t i = 0; i < numbered_measures().size(); ++i) {
    const auto says = [&](const std::string& text) {
      return std::ranges::count_if(sheet.texts(0), [&](const TextBox& t) { return t.text == text; });
    };
    EXPECT_EQ(says(std::to_string(i + 1)), 2) << i + 1;
    EXPECT_EQ(says(std::string(info_of(numbered_measures()[i]).path)), 1);
  }
  const std::set<Key> different(numbered_measures().begin(), numbered_measures().end());
  EXPECT_EQ(different.size(), numbered_measures().size());
}

TEST(MeasureSheet, AsksForAnEyeThatSettledClosed) {
  const Canvas sheet = measure_sheet({"letter", "peepwright"});
  std::string all;
  for (const TextBox& text : sheet.texts(0)) all += text.text + "\n";
  EXPECT_THAT(all, ::testing::HasSubstr("settled upright with eyes closed"));
  EXPECT_THAT(all, ::testing::HasSubstr("Eyes closed: finger off the trigger"));
}

// The keys that the face, the bow's size and the string's angle follow from: a new one wants a place on the sheet.
TEST(MeasureSheet, LeavesNoMeasureOfTheFaceOut) {
  for (const KeyInfo& row : all_keys())
    if (row.path.starts_with("archer.face.") && row.dimension == Dimension::length && row.absence != Absence::hidden) {
      EXPECT_THAT(numbered_measures(), ::testing::Contains(row.key)) << row.path;
    }
  // Whether the arrow is long enough to be drawn is known by no other measure.
  EXPECT_THAT(numbered_measures(), ::testing::Contains(Key::arrow_length));
}

TEST(MeasureSheet, HasNoTextOnAnother) {
  for (const char* paper : {"a4", "letter"}) {
    const Canvas sheet = measure_sheet({paper, "peepwright"});
    const auto& texts = sheet.texts(0);
    const Box page{0, 0, sheet.page_size(0).width_mm, sheet.page_size(0).height_mm};
    for (std::size_t i = 0; i < texts.size(); ++i) {
      EXPECT_TRUE(page.contains(texts[i].box, -5)) << texts[i].text;
      for (std::size_t j = 0; j < i; ++j)
        EXPECT_FALSE(texts[i].box.overlaps(texts[j].box)) << paper << ": " << texts[i].text << " on " << texts[j].text;
    }
  }
}

/// The numbers beside the face stand each right of its own line, in the lines' order and nearer to it than to any
/// other.
TEST(MeasureSheet, NumbersSideBySideStandOnOneSideOfTheirLines) {
  for (const char* paper : {"a4", "letter"}) {
    const Canvas sheet = measure_sheet({paper, "peepwright"});
    std::vector<double> uprights;
    for (const Segment& s : test::strokes_of(test::read_pdf(sheet.pdf({})).at(0)))
      if (std::abs(s.a.x - s.b.x) < 1e-3 && std::abs(s.a.y - s.b.y) > 6 && s.a.x > 70 && s.a.x < 115 && s.a.y < 102)
        uprights.push_back(s.a.x);
    std::ranges::sort(uprights);
    const std::vector<std::string> numbers{"6", "8", "10", "11", "12"};
    ASSERT_GE(uprights.size(), numbers.size());
    double last = 0;
    for (const std::string& number : numbers) {
      const auto text = std::ranges::find(sheet.texts(0), number, &TextBox::text);
      ASSERT_NE(text, sheet.texts(0).end());
      SCOPED_TRACE(number + " on " + paper);
      const auto own =
          std::ranges::find_if(uprights, [&](double x) { return text->box.x0 - x > 0.5 && text->box.x0 - x < 2; });
      ASSERT_NE(own, uprights.end()) << "stands right of no line: " << text->box.x0;
      EXPECT_GT(*own, last);
      last = *own;
      for (const double x : uprights)
        if (x > *own + 0.5) {
          EXPECT_GT(x - text->box.x1, 1.1 * (text->box.x0 - *own)) << "as near to the next line";
        }
    }
  }
}

TEST(MeasureSheet, IsTheSameEachTimeAndRefusesOtherPaper) {
  EXPECT_EQ(measure_sheet({"a4", "v"}).svg(0), measure_sheet({"a4", "v"}).svg(0));
  EXPECT_THROW(measure_sheet({"a5", "v"}), Error);
}

}  // namespace
}  // namespace peepwright
