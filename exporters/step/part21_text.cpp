// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/step/part21_text.hpp"

#include <fmt/format.h>

#include <iterator>
#include <optional>

namespace peepwright {
namespace {

struct Letter {
  char32_t code = 0;
  std::size_t bytes = 0;  ///< as it stands in the text, line ends among them
  bool broken = false;    ///< by a line end
};

/// The letter of more than one byte that begins at `text`'s first; nothing if there is none.
std::optional<Letter> letter_at(std::string_view text) {
  const auto first = static_cast<unsigned char>(text[0]);
  const int more = first >= 0xf0 && first < 0xf5   ? 3
                   : first >= 0xe0 && first < 0xf0 ? 2
                   : first >= 0xc2 && first < 0xe0 ? 1
                                                   : 0;
  if (more == 0) return std::nullopt;
  Letter out{static_cast<char32_t>(first & (0x3f >> more)), 1};
  for (int k = 0; k < more; ++k) {
    for (; out.bytes < text.size() && text[out.bytes] == '\n'; ++out.bytes) out.broken = true;
    if (out.bytes == text.size() || (static_cast<unsigned char>(text[out.bytes]) & 0xc0) != 0x80) return std::nullopt;
    out.code = out.code << 6 | (static_cast<unsigned char>(text[out.bytes++]) & 0x3f);
  }
  return out;
}

}  // namespace

std::string part21_text(std::string_view text) {
  fmt::memory_buffer out;
  out.reserve(text.size());
  while (!text.empty()) {
    if (static_cast<unsigned char>(text[0]) < 0x80) {
      out.push_back(text[0]);
      text.remove_prefix(1);
      continue;
    }
    const auto letter = letter_at(text);
    if (!letter) out.push_back('?');
    else if (letter->code < 0x10000)
      fmt::format_to(std::back_inserter(out), "\\X2\\{:04X}\\X0\\", static_cast<unsigned>(letter->code));
    else fmt::format_to(std::back_inserter(out), "\\X4\\{:08X}\\X0\\", static_cast<unsigned>(letter->code));
    if (letter && letter->broken) out.push_back('\n');
    text.remove_prefix(letter ? letter->bytes : 1);
  }
  return fmt::to_string(out);
}

}  // namespace peepwright
