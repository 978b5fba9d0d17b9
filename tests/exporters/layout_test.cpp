// SPDX-License-Identifier: GPL-3.0-or-later
// The strip's layout is data: what a wrong layout file is told, and that a changed one changes the paper.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/quantity/error.hpp"
#include "exporters/print/sheet.hpp"
#include "tests/exporters/strip_sample.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::print {
std::string_view strip_toml();
}

namespace peepwright::test {
namespace {

using testing::HasSubstr;

std::string with(const std::string& from, const std::string& to) {
  std::string text(print::strip_toml());
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string refusal(const std::string& toml) {
  return test::refusal(
      [&] { print::draw_sheets(print::parse_layout(toml, "mine.toml"), strip_sample(280), "a4", {}); });
}

TEST(Layout, TheBuiltInOneIsGood) { EXPECT_EQ(refusal(std::string(print::strip_toml())), "accepted"); }

TEST(Layout, MistakesAreToldWithTheirPlace) {
  EXPECT_THAT(refusal(with("margin = 10", "margin = \"10\"")), HasSubstr("mine.toml:"));
  EXPECT_THAT(refusal(with("overlap = 24", "overlapp = 24")), HasSubstr("\"overlap\" is missing"));
  EXPECT_THAT(refusal(with("match_step = 10", "match_step = 10\ncolour = 3")), HasSubstr("unknown key \"colour\""));
  EXPECT_THAT(refusal(with("pen = \"mark\"", "pen = \"marc\"")), HasSubstr("\"marc\" is not defined"));
  EXPECT_THAT(refusal(with("kind = \"circle\"", "kind = \"ring\"")), HasSubstr("\"ring\" is none of: line, polyline"));
  EXPECT_THAT(refusal(with("[0, \"mark\"]", "[0, \"marc\"]")), HasSubstr("nothing is called \"marc\""));
  EXPECT_THAT(refusal(with("text = \"{version}\"", "text = \"{versoin}\"")), HasSubstr("does not have"));
  EXPECT_THAT(refusal(with("when = \"tiled\"", "when = \"tilled\"")), HasSubstr("\"tilled\" is unknown"));
  EXPECT_THAT(refusal("margin = = 3"), HasSubstr("mine.toml:1:"));
  EXPECT_THAT(refusal(""), HasSubstr("\"margin\" is missing"));
  EXPECT_THAT(refusal(with("[paper]", "paper = 3\n[papers]")), HasSubstr("a table is wanted"));
}

TEST(Layout, NoSingleLostLineCrashesIt) {
  const std::string whole(print::strip_toml());
  int tried = 0;
  for (std::size_t at = 0; at < whole.size(); at = whole.find('\n', at) + 1, ++tried) {
    std::string less = whole;
    less.erase(at, whole.find('\n', at) + 1 - at);
    try {
      print::draw_sheets(print::parse_layout(less, "mine.toml"), strip_sample(280), "a4", {});
    } catch (const Error& e) {
      EXPECT_EQ(e.code(), ErrorCode::input) << e.what();
    }
  }
  EXPECT_GT(tried, 300);
}

TEST(Layout, ANewPaperNeedsNoCode) {
  const auto layout = print::parse_layout(
      with("[paper]", "[paper]\nlegal = { width = \"8.5 in\", height = \"14 in\", label = \"Legal\" }"), "mine.toml");
  const Canvas canvas = print::draw_sheets(layout, strip_sample(280), "legal", {});
  EXPECT_EQ(canvas.page_count(), 1);
  EXPECT_DOUBLE_EQ(canvas.page_size(0).height_mm, Length::in(14).mm());
}

TEST(Expression, Reads) {
  const print::Names names = {{"a", 3}, {"b_2", -4}};
  const struct {
    const char* text;
    double value;
  } cases[] = {
      {"1", 1},         {"-a", -3}, {"a + b_2 * 2", -5}, {"(a + 1) / 8", 0.5}, {"max(a, b_2) - min(a, b_2)", 7},
      {" 2 * -a ", -6}, {".5", 0.5}};
  for (const auto& c : cases) EXPECT_DOUBLE_EQ(print::evaluate(c.text, names), c.value) << c.text;
  for (const char* bad : {"", "a +", "c", "(a", "a a", "1/0", "max(a)", "min 3", "a $", "1e999",
                          "((((((((((((((((((((((((((((((((((((((((((((((((((((1"})
    EXPECT_THROW(print::evaluate(bad, names), Error) << bad;
}

TEST(Tiles, MatchLinesKeepAwayFromThePeepAndPiecesOverlap) {
  const auto& layout = print::strip_layout();
  for (double mark = 40; mark < 1000; mark += 7.3) {
    const StripData data = strip_sample(mark);
    const auto tiles = print::plan_tiles(layout, data, 259.4);
    for (std::size_t i = 0; i < tiles.size(); ++i) {
      EXPECT_LE(tiles[i].end - tiles[i].start, 259.4 + 1e-9);
      if (i == 0) continue;
      EXPECT_DOUBLE_EQ(tiles[i].match_low, tiles[i - 1].match_high);
      EXPECT_GT(tiles[i - 1].end - tiles[i].start, 10);
      EXPECT_GT(std::abs(tiles[i].match_low - mark), 14.5) << "through the peep or its tie-in";
    }
    EXPECT_GT(tiles.back().end, mark + 14);
  }
}

}  // namespace
}  // namespace peepwright::test
