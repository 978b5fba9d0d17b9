// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/measure_sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "engine/quantity/error.hpp"

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

// The keys that the face, the bow's size and the string's angle follow from: a new one wants a place on the sheet.
TEST(MeasureSheet, LeavesNoMeasureOfTheFaceOut) {
  for (const KeyInfo& row : all_keys())
    if (row.path.starts_with("archer.face.") && row.dimension == Dimension::length && row.absence != Absence::hidden) {
      EXPECT_THAT(numbered_measures(), ::testing::Contains(row.key)) << row.path;
    }
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

TEST(MeasureSheet, IsTheSameEachTimeAndRefusesOtherPaper) {
  EXPECT_EQ(measure_sheet({"a4", "v"}).svg(0), measure_sheet({"a4", "v"}).svg(0));
  EXPECT_THROW(measure_sheet({"a5", "v"}), Error);
}

}  // namespace
}  // namespace peepwright
