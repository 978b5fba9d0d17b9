// SPDX-License-Identifier: GPL-3.0-or-later
// UTF-8 (RFC 3629), letter by letter.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace peepwright::utf8 {

/// Whether a letter, or a byte that is none, begins here; false for the bytes that go on with one.
constexpr bool begins_letter(char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U; }

/// How many letters `text` has, where it is UTF-8.
constexpr std::size_t letters_in(std::string_view text) {
  return static_cast<std::size_t>(std::ranges::count_if(text, begins_letter));
}

/// How many bytes a letter has that begins with `first`; 0 where none does.
constexpr std::size_t bytes_of_letter(char first) {
  const auto byte = static_cast<unsigned char>(first);
  return byte < 0x80U ? 1U : byte < 0xC2U ? 0U : byte < 0xE0U ? 2U : byte < 0xF0U ? 3U : byte < 0xF5U ? 4U : 0U;
}

struct Letter {
  char32_t code = 0xFFFD;  ///< the replacement character where there is no letter
  std::size_t bytes = 1;   ///< to go on by
  bool valid = false;
};

/// The letter that `text`, which is not empty, begins with. A byte that begins none, a letter cut short, one in more
/// bytes than it needs, half of a surrogate pair: no letter, of one byte.
constexpr Letter first_letter(std::string_view text) {
  const std::size_t bytes = bytes_of_letter(text.front());
  if (bytes == 0 || bytes > text.size()) return {};
  char32_t code = static_cast<unsigned char>(text.front()) & (bytes == 1 ? 0x7FU : 0x7FU >> bytes);
  for (const char next : text.substr(1, bytes - 1)) {
    if (begins_letter(next)) return {};
    code = code << 6U | (static_cast<unsigned char>(next) & 0x3FU);
  }
  constexpr char32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  if (code < least[bytes] || code > 0x10FFFF || (code >= 0xD800 && code < 0xE000)) return {};
  return {code, bytes, true};
}

}  // namespace peepwright::utf8
