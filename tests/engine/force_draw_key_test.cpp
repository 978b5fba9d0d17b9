// SPDX-License-Identifier: GPL-3.0-or-later
// bow.force_draw: a list of pairs, and what people do to it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/spec/spec.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::StartsWith;

std::string bow_with(const std::string& table, const std::string& more = "") {
  return "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"7 in\"\ndraw_length = \"29 in\"\nforce_draw = " + table +
         "\n" + more;
}

// Brace 7 in and 1 3/4 in more: draws count from 8.75 to 29 in.
constexpr std::string_view good =
    R"([["9 in", "3 lbf"], ["13 in", "31 lbf"], ["17 in", "57 lbf"], ["21 in", "58 lbf"], ["25 in", "30 lbf"], ["28 1/2 in", "15 lbf"]])";

std::string replaced(std::string_view what, std::string_view with) {
  std::string out(good);
  out.replace(out.find(what), what.size(), with);
  return out;
}

std::string refusal(const std::string& text) {
  return test::refusal([&] { parse_spec({{"a.toml", text}}); });
}

TEST(ForceDrawKey, IsReadInItsUnits) {
  const Spec spec = parse_spec({{"a.toml", bow_with(std::string(good))}});
  ASSERT_EQ(spec.force_draw.size(), 6U);
  EXPECT_DOUBLE_EQ(spec.force_draw[1].draw.in(), 13);
  EXPECT_DOUBLE_EQ(spec.force_draw[1].force.lbf(), 31);
  EXPECT_DOUBLE_EQ(spec.to_pivot(spec.force_draw[0].draw).in(), 7.25);
  EXPECT_EQ(spec.force_draw[0].where.text(), "a.toml:5:15");
  EXPECT_EQ(refusal(bow_with(replaced("\"31 lbf\"", "\"137.9 N\""))), "accepted");
}

TEST(ForceDrawKey, CountsAsTheDrawLengthDoes) {
  const std::string pivot =
      bow_with(R"([["8 in", "12 lbf"], ["12 in", "40 lbf"], ["16 in", "58 lbf"], ["20 in", "55 lbf"],
    ["24 in", "30 lbf"], ["27 in", "15 lbf"]])");
  // To the pivot these reach full draw, at 27 1/4 in; counted with 1 3/4 in they do not, and the message says why.
  EXPECT_THAT(refusal(pivot), AllOf(HasSubstr("ends at 685.8 mm (27 in), full draw is at 736.6 mm (29 in)"),
                                    HasSubstr("plus 1 3/4 in")));
  std::string told = pivot;
  told.replace(told.find("29 in"), 5, "27 in");
  told += "draw_length_to = \"pivot\"\n";
  EXPECT_EQ(refusal(told), "accepted");
  EXPECT_DOUBLE_EQ(parse_spec({{"a.toml", told}}).to_pivot(Length::in(8)).in(), 8);
}

TEST(ForceDrawKey, EachMistakeHasItsPlaceAndRemedy) {
  const struct {
    std::string table, part;
  } cases[] = {
      {"\"8 in\"", "a.toml:5:14: bow.force_draw: is text; write pairs of draw and force"},
      {"[]", "has 0 readings; accepted are 6 to 200"},
      {R"([["9 in", "3 lbf"], ["13 in", "31 lbf"], ["17 in", "57 lbf"], ["21 in", "58 lbf"], ["25 in", "30 lbf"]])",
       "has 5 readings"},
      {replaced(R"(["13 in", "31 lbf"])", R"(["17 1/2 in", "31 lbf"])"), "draws must rise"},
      {replaced("17 in", "13 in"),
       "reading 3 is at 330.2 mm (13 in) of draw and the one before it at 330.2 mm (13 in); draws must rise"},
      {replaced(R"("31 lbf")", R"("31 kg")"),
       "a.toml:5:44: bow.force_draw: \"31 kg\" has a unit that does not fit here"},
      {replaced(R"("13 in")", R"("13 lbf")"),
       "a.toml:5:35: bow.force_draw: \"13 lbf\" has a unit that does not fit here"},
      {replaced(R"("31 lbf")", "31"), "is a bare number"},
      {replaced(R"("31 lbf")", R"("-31 lbf")"), "cannot be; accepted is 0 lbf to"},
      {replaced(R"("31 lbf")", R"("3100 lbf")"), "cannot be"},
      {replaced(R"(["13 in", "31 lbf"])", R"("13 in")"), "reading 2 is text"},
      {replaced(R"("31 lbf")", R"("31 lbf", "1 lbf")"), "reading 2 is a list of 3"},
      {replaced(R"(, ["28 1/2 in", "15 lbf"])", R"(, ["26 in", "25 lbf"])"), "read on to full draw"},
      {replaced("9 in", "4 in"), "is not between brace, 222.2 mm (8 3/4 in), and full draw, 736.6 mm (29 in)"},
      {replaced("28 1/2 in", "31 in"), "is not between brace"},
  };
  for (const auto& c : cases)
    EXPECT_THAT(refusal(bow_with(c.table)),
                AllOf(StartsWith("a.toml:"), HasSubstr("bow.force_draw: "), HasSubstr(c.part)));
}

TEST(ForceDrawKey, ItsReadingsHaveOneUncertainty) {
  const auto with = [](const std::string& value) {
    return bow_with(std::string(good), "[uncertainty.bow]\nforce_draw = " + value + "\n");
  };
  EXPECT_FALSE(parse_spec({{"a.toml", bow_with(std::string(good))}}).force_draw_uncertainty);
  const Spec spec = parse_spec({{"a.toml", with("\"1 lbf\"")}});
  ASSERT_TRUE(spec.force_draw_uncertainty);
  EXPECT_DOUBLE_EQ(spec.force_draw_uncertainty->lbf(), 1);
  EXPECT_THAT(refusal(with("\"0 N\"")), AllOf(StartsWith("a.toml:7:14: uncertainty.bow.force_draw: 0 N cannot be"),
                                              HasSubstr("more than 0 to 50 N")));
  EXPECT_THAT(refusal(with("\"300 N\"")), HasSubstr("300 N cannot be"));
  EXPECT_THAT(refusal(with("\"1 mm\"")), HasSubstr("has a unit that does not fit here"));
  EXPECT_THAT(refusal("[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"7 in\"\ndraw_length = \"29 in\"\n"
                      "[uncertainty.bow]\nforce_draw = \"1 N\"\n"),
              HasSubstr("gives the uncertainty of bow.force_draw, which is not given itself"));
}

TEST(ForceDrawKey, StandsWithCatalogueNumbersAndWithoutCams) {
  const std::string cams =
      "[bow.cam]\nstring_radius = \"42 mm\"\nstring_eccentricity = \"16 mm\"\nstring_angle = \"-40 deg\"\n"
      "cable_radius = \"20 mm\"\ncable_eccentricity = \"17 mm\"\ncable_angle = \"-30 deg\"\n";
  EXPECT_THAT(refusal(bow_with(std::string(good), cams)), HasSubstr("both fix the cams"));
  EXPECT_THAT(refusal("[bow]\ndraw_length = \"29 in\"\nforce_draw = " + std::string(good) +
                      "\n[bow.full_draw]\nstring_angle = \"85 deg\"\n"),
              HasSubstr("needs bow.axle_to_axle"));
}

}  // namespace
}  // namespace peepwright
