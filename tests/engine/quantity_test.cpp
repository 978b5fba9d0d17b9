// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/quantity.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/quantity/edits.hpp"
#include "engine/quantity/format.hpp"
#include "engine/quantity/paper_text.hpp"
#include "engine/quantity/parse.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using testing::HasSubstr;

std::string refusal(std::string_view text, Dimension dimension) {
  return test::refusal([&] { parse_quantity(text, dimension); });
}

TEST(ParseLength, ReadsEveryWayAShopWritesIt) {
  const struct {
    std::string_view text;
    double mm;
  } cases[] = {{"33 1/4 in", 33.25 * 25.4},
               {"3-7/8in", 3.875 * 25.4},
               {"7/8 in", 0.875 * 25.4},
               {"95 mm", 95},
               {"9.5 cm", 95},
               {"0.5 m", 500},
               {"20 yd", 18288},
               {"60ft", 60 * 304.8},
               {"33.25\"", 33.25 * 25.4},
               {" 6 3/4  in ", 6.75 * 25.4},
               {"-1/2 in", -12.7},
               {"+3 mm", 3},
               {".5 in", 12.7},
               {"1e2 mm", 100},
               {"50 metres", 50000},
               {"6 inches", 152.4},
               {"33½ in", 33.5 * 25.4},
               {"6 ¾ in.", 6.75 * 25.4},
               {"⅞ in", 0.875 * 25.4},
               {"3/8 in", 0.375 * 25.4},
               {"20 yds", 18288}};
  for (const auto& c : cases) EXPECT_DOUBLE_EQ(parse_quantity(c.text, Dimension::length), c.mm) << c.text;
}

// As people paste it from a page, a letter or a telephone.
TEST(ParseLength, ReadsTypographicSigns) {
  const struct {
    std::string_view text;
    double inches;
  } cases[] = {{"33 1/4 ″", 33.25},
               {"33 1/4”", 33.25},
               {"33 1/4''", 33.25},
               {"33 1⁄4 in", 33.25},
               {"33¼ in", 33.25},
               {"33 ⅝″", 33.625},
               {"2’", 24},
               {"2'", 24},
               {"2′ 9″", 33},
               {"2' 9 1/4\"", 33.25},
               {"2’ 9¼”", 33.25},
               {"2 ft 9 1/4 in", 33.25},
               {"2ft 9in", 33},
               {"33\u00A01/4\u00A0in", 33.25},
               {"33\u202F1/4\u2009in", 33.25},
               {"-2' 3\"", -27},
               {"\u22121/2 in", -0.5},
               {"2'9''", 33}};
  for (const auto& c : cases) EXPECT_DOUBLE_EQ(parse_quantity(c.text, Dimension::length), c.inches * 25.4) << c.text;
}

TEST(ParseLength, FeetAndInchesAreWholeFeetAndLessThanAFootOfInches) {
  for (const auto* text : {"2' 12\"", "2.5 ft 3 in", "1/2 ft 3 in", "2' 9", "2' 9 mm", "2' -3\"", "2 m 3 in",
                           "2 in 3 in", "2' 9' 3\"", "2\" 3'", "2' 9,5\"", "''", "'", "2'''", "¼5 in", "1/¼ in"})
    EXPECT_NE(refusal(text, Dimension::length), "accepted") << text;
  EXPECT_THAT(refusal("2' 13\"", Dimension::length), HasSubstr("less than 12 inches"));
  EXPECT_THAT(refusal("2' 9", Dimension::length), HasSubstr("feet and then no inches"));
}

// A space left out makes 4 7/8 in an inch more.
TEST(ParseLength, AFractionOfOneOrMoreIsRefusedWithWhatMayBeMeant) {
  const struct {
    std::string_view text, meant;
  } cases[] = {{"47/8 in", "\"4 7/8 in\""},    {"47⁄8”", "\"4 7/8 \""},        {"4715/16 in", "\"47 15/16 in\""},
               {"33 5/4 in", "\"34 1/4 in\""}, {"33-5/4 in", "\"34 1/4 in\""}, {"8/8 in", "\"1 in\""},
               {"40/8 in", "\"5 in\""},        {"9/8 ft", "\"1 1/8 ft\""}};
  for (const auto& c : cases) {
    const std::string said = refusal(c.text, Dimension::length);
    EXPECT_THAT(said, HasSubstr("fraction of one or more")) << c.text;
    EXPECT_THAT(said, HasSubstr(c.meant)) << c.text;
  }
}

TEST(ParseLength, NumbersBeyondAllNumbersAreSaidToBeTooLarge) {
  EXPECT_THAT(refusal("1e999 mm", Dimension::length), HasSubstr("is too large"));
  EXPECT_THAT(refusal("1e308 yd", Dimension::length), HasSubstr("is too large"));
  EXPECT_THAT(refusal("1e-999 mm", Dimension::length), HasSubstr("too near zero"));
}

TEST(ParseLength, TheUnitItWasWrittenInComesBack) {
  EXPECT_EQ(parse_written("33 1/4 inches", Dimension::length).unit, "in");
  EXPECT_EQ(parse_written("2' 9\"", Dimension::length).unit, "in");
  EXPECT_EQ(parse_written("20 yards", Dimension::length).unit, "yd");
  EXPECT_EQ(parse_written("60 lbs", Dimension::force).unit, "lbf");
  EXPECT_EQ(text_as_written(parse_quantity("60 yd", Dimension::length), Dimension::length, "yd"), "60 yd (54864 mm)");
  EXPECT_EQ(text_as_written(60, Dimension::length, "mm"), "60 mm");
  EXPECT_EQ(text_as_written(60, Dimension::length, ""), "60 mm");
  EXPECT_EQ(range_as_written(508, 1397, Dimension::length, "in"), "20 in to 55 in (508 mm to 1397 mm)");
  EXPECT_EQ(range_as_written(15, 300, Dimension::length, "in"), "0.5906 in to 11.81 in (15 mm to 300 mm)");
}

TEST(ParseLength, RefusesWithWhatIsWrongAndWhatIsAccepted) {
  EXPECT_THAT(refusal("95", Dimension::length), HasSubstr("has no unit"));
  EXPECT_THAT(refusal("95", Dimension::length), HasSubstr("mm, cm, m, in, ft, yd"));
  EXPECT_THAT(refusal("9,5 cm", Dimension::length), HasSubstr("use a point"));
  EXPECT_THAT(refusal("95 kg", Dimension::length), HasSubstr("\"kg\""));
  EXPECT_THAT(refusal("", Dimension::length), HasSubstr("is empty"));
  EXPECT_THAT(refusal("in", Dimension::length), HasSubstr("does not start with a number"));
  for (const auto* text : {"1/0 in", "33 5/4 in", "nan mm", "inf mm", "1e999 mm", "--3 mm", "3 1/2/4 in", "3 1/ in",
                           "0x10 mm", "1.2.3 mm", "12 34 mm", "\xff mm"})
    EXPECT_NE(refusal(text, Dimension::length), "accepted") << text;
}

TEST(ParseOther, EachDimensionHasItsUnits) {
  EXPECT_DOUBLE_EQ(parse_quantity("180 deg", Dimension::angle), std::numbers::pi);
  EXPECT_DOUBLE_EQ(parse_quantity("78.5°", Dimension::angle), 78.5 * std::numbers::pi / 180);
  EXPECT_DOUBLE_EQ(parse_quantity("350 gr", Dimension::mass), 350 * 64.79891e-6);
  EXPECT_DOUBLE_EQ(parse_quantity("25 g", Dimension::mass), 0.025);
  EXPECT_DOUBLE_EQ(parse_quantity("280 ft/s", Dimension::speed), 280 * 0.3048);
  EXPECT_DOUBLE_EQ(parse_quantity("60 lbf", Dimension::force), 60 * 0.45359237 * 9.80665);
  EXPECT_DOUBLE_EQ(parse_quantity("60 lbs", Dimension::force), 60 * 0.45359237 * 9.80665);
  EXPECT_DOUBLE_EQ(parse_quantity("60#", Dimension::force), 60 * 0.45359237 * 9.80665);
  EXPECT_NE(refusal("60#", Dimension::mass), "accepted");  // pounds of what?
  EXPECT_DOUBLE_EQ(parse_quantity("80 %", Dimension::ratio), 0.8);
  EXPECT_DOUBLE_EQ(parse_quantity("0.8", Dimension::ratio), 0.8);
  EXPECT_NE(refusal("350 mm", Dimension::mass), "accepted");
}

TEST(Parse, AMessageQuotesNoControlCharacters) {
  for (const std::string_view text : {std::string_view("\0an \0-", 6), std::string_view("3 \x1b[2J")}) {
    try {
      parse_quantity(text, Dimension::length);
      ADD_FAILURE() << "accepted";
    } catch (const Error& e) {
      const std::string said = e.what();
      EXPECT_NE(said.find("write a number and its unit"), std::string::npos) << said;
      for (const char c : said) EXPECT_GE(static_cast<unsigned char>(c), 0x20) << said;
    }
  }
}

TEST(Parse, AQuoteEndsBetweenLetters) {
  EXPECT_EQ(quoted_start("Pfeil", 5), "Pfeil");
  EXPECT_EQ(quoted_start("Pfeile", 5), "Pfeil…");
  EXPECT_EQ(quoted_start("aéb", 2), "a…");  // é is two bytes
  EXPECT_EQ(quoted_start("aéb", 3), "aé…");
  EXPECT_EQ(quoted_start("弓弓", 5), "弓…");        // three bytes each
  EXPECT_EQ(quoted_start("\x80\x80\x80", 2), "…");  // no letter at all
  EXPECT_EQ(quoted_start("a\nb\x1b", 9), "a\nb?");
  EXPECT_EQ(quoted_start("", 3), "");
}

TEST(Edits, CountLettersAndNeighboursChangedOver) {
  EXPECT_EQ(edits("fit", "fit"), 0U);
  EXPECT_EQ(edits("fti", "fit"), 1U);
  EXPECT_EQ(edits("axle_to_axel", "axle_to_axle"), 1U);
  EXPECT_EQ(edits("foo", "fit"), 2U);
  EXPECT_EQ(edits("", "fit"), 3U);
  EXPECT_EQ(edits("sweeps", "sweep"), 1U);
}

TEST(Format, InchesAreTheNearestThirtySecondReduced) {
  EXPECT_EQ(inches_text(Length::in(6.25)), "6 1/4 in");
  EXPECT_EQ(inches_text(Length::in(0.09)), "3/32 in");
  EXPECT_EQ(inches_text(Length::in(-0.5)), "-1/2 in");
  EXPECT_EQ(inches_text(Length::in(5.99)), "6 in");
  EXPECT_EQ(inches_text(Length::mm(-0.01)), "0 in");
}

TEST(Format, NoNegativeZero) {
  EXPECT_EQ(number_text(-0.04, 1), "0.0");
  EXPECT_EQ(mm_text(Length::mm(-0.06)), "-0.1 mm");
}

TEST(PaperText, PutsTheWantedUnitFirst) {
  EXPECT_EQ(fine_text(-1.14, PaperUnits::millimetres), "-1.1 mm");
  EXPECT_EQ(fine_text(-1.14, PaperUnits::inches), "-0.04 in (-1.1 mm)");
  EXPECT_EQ(fine_text(2.54, PaperUnits::inches, 2, true), "+0.100 in (+2.54 mm)");
  EXPECT_EQ(fine_text(-0.01, PaperUnits::inches, 1, true), "0.00 in (0.0 mm)");
  EXPECT_EQ(distance_text(54.864, PaperUnits::inches), "60 yd");
  EXPECT_EQ(distance_text(22.86, PaperUnits::millimetres), "22.9 m");
  EXPECT_EQ(both_distance_text(54.864, PaperUnits::inches), "60 yd (54.86 m)");
  EXPECT_EQ(both_distance_text(54.864, PaperUnits::millimetres), "54.86 m");
  EXPECT_EQ(shown_in(25.4, "mm", PaperUnits::inches).unit, "in");
  EXPECT_DOUBLE_EQ(shown_in(25.4, "mm", PaperUnits::inches).value, 1);
  EXPECT_DOUBLE_EQ(shown_in(0.9144, "m", PaperUnits::inches).value, 1);
  EXPECT_DOUBLE_EQ(shown_in(0.3048, "m/s", PaperUnits::inches).value, 1);
  EXPECT_NEAR(shown_in(6.479891, "g", PaperUnits::inches).value, 100, 1e-9);
  EXPECT_EQ(shown_in(3, "deg", PaperUnits::inches).unit, "deg");
  EXPECT_EQ(shown_in(3, "mm", PaperUnits::millimetres).value, 3);
}

TEST(PaperText, TellsBoresApartThatARulerDoesNot) {
  EXPECT_EQ(bore_text(Length::mm(4.33), PaperUnits::millimetres), "4.33 mm (0.170 in)");
  EXPECT_EQ(bore_text(Length::in(5.0 / 32), PaperUnits::millimetres), "3.97 mm (5/32 in)");
  EXPECT_EQ(bore_text(Length::in(11.0 / 64), PaperUnits::inches), "11/64 in (4.37 mm)");
  EXPECT_EQ(bore_text(Length::in(0.25), PaperUnits::inches), "1/4 in (6.35 mm)");
}

TEST(Format, ExactTextReadsBackToTheSameNumber) {
  for (const double mm : {0.1, 844.55, 1.0 / 3, 98.425, 1e-7, 12345678.9})
    EXPECT_EQ(parse_quantity(exact_text(mm, Dimension::length), Dimension::length), mm);
}

}  // namespace
}  // namespace peepwright
