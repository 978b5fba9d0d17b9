// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/utf8.hpp"

#include <gtest/gtest.h>

#include <string>

#include "engine/quantity/xml_text.hpp"

namespace peepwright {
namespace {

// Numbers and bytes: The Unicode Standard, table 3-7; RFC 3629.
TEST(Utf8, FirstLetterIsTheOneThatStandsThere) {
  const struct {
    std::string text;
    char32_t code;
    std::size_t bytes;
  } letters[] = {{"a", 'a', 1},
                 {std::string(1, '\0'), 0, 1},
                 {"\x7f", 0x7F, 1},
                 {"\xc2\x80", 0x80, 2},
                 {"\xc3\xb6", 0xF6, 2},
                 {"\xdf\xbf", 0x7FF, 2},
                 {"\xe0\xa0\x80", 0x800, 3},
                 {"\xe5\xbc\x93", 0x5F13, 3},
                 {"\xed\x9f\xbf", 0xD7FF, 3},
                 {"\xee\x80\x80", 0xE000, 3},
                 {"\xef\xbf\xbf", 0xFFFF, 3},
                 {"\xf0\x90\x80\x80", 0x10000, 4},
                 {"\xf0\x9f\x98\x80", 0x1F600, 4},
                 {"\xf4\x8f\xbf\xbf", 0x10FFFF, 4}};
  for (const auto& [text, code, bytes] : letters)
    for (const char* after : {"", "z", "\xc3\xb6", "\x80"}) {
      const utf8::Letter letter = utf8::first_letter(text + after);
      EXPECT_TRUE(letter.valid) << std::hex << unsigned(code);
      EXPECT_EQ(unsigned(letter.code), unsigned(code));
      EXPECT_EQ(letter.bytes, bytes);
      EXPECT_EQ(utf8::bytes_of_letter(text[0]), bytes);
      EXPECT_EQ(utf8::letters_in(text), 1U);
    }
}

TEST(Utf8, WhatIsNoLetterIsOneByteLong) {
  for (const std::string text : {"\x80",
                                 "\xbf",  // goes on with nothing
                                 "\xc3",
                                 "\xe5\xbc",
                                 "\xf0\x9f\x98",  // cut short by the end
                                 "\xc3z",
                                 "\xe5\xbcz",
                                 "\xe5z\x93",  // by another letter
                                 "\xc3\xc3\xb6",
                                 "\xf0\x9f\x98\xf0",  // by one of several bytes
                                 "\xc0\xaf",
                                 "\xc1\xbf",
                                 "\xe0\x80\xaf",  // longer than need be
                                 "\xe0\x9f\xbf",
                                 "\xf0\x8f\xbf\xbf",  // just so
                                 "\xed\xa0\x80",
                                 "\xed\xbf\xbf",  // halves of surrogate pairs
                                 "\xf4\x90\x80\x80",
                                 "\xf5\x80\x80\x80",  // beyond the last letter
                                 "\xfe",
                                 "\xff",
                                 "\xf8\x88\x80\x80\x80"}) {
    const utf8::Letter letter = utf8::first_letter(text);
    EXPECT_FALSE(letter.valid) << ::testing::PrintToString(text);
    EXPECT_EQ(unsigned(letter.code), 0xFFFDU);
    EXPECT_EQ(letter.bytes, 1U);
  }
}

TEST(Utf8, LettersAreCountedByWhereTheyBegin) {
  EXPECT_EQ(utf8::letters_in(""), 0U);
  EXPECT_EQ(utf8::letters_in("a\xc3\xb6\xe5\xbc\x93\xf0\x9f\x98\x80z"), 5U);
  EXPECT_TRUE(utf8::begins_letter('\xc3'));
  EXPECT_FALSE(utf8::begins_letter('\xb6'));
}

TEST(XmlText, HasNoMarkupInIt) {
  EXPECT_EQ(xml_text("5 < 6 & \"7\" > '8' \xc3\xb6"), "5 &lt; 6 &amp; &quot;7&quot; &gt; '8' \xc3\xb6");
  EXPECT_EQ(xml_text("&amp;"), "&amp;amp;");
}

}  // namespace
}  // namespace peepwright
