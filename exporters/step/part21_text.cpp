// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/step/part21_text.hpp"

#include <fmt/format.h>

#include <iterator>
#include <string>

#include "engine/quantity/utf8.hpp"

namespace peepwright {
namespace {

struct Found {
  utf8::Letter letter;
  std::size_t bytes = 0;  ///< as it stands in the text, line ends among them
  bool broken = false;    ///< by a line end
};

/// The letter that begins at `text`'s first byte.
Found letter_at(std::string_view text) {
  Found out;
  std::string whole;
  for (const std::size_t wanted = utf8::bytes_of_letter(text[0]); out.bytes < text.size() && whole.size() < wanted;
       ++out.bytes) {
    if (text[out.bytes] == '\n') out.broken = true;
    else whole += text[out.bytes];
  }
  if (!whole.empty()) out.letter = utf8::first_letter(whole);
  return out.letter.valid ? out : Found{{}, 1, false};
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
    const auto [letter, bytes, broken] = letter_at(text);
    const auto code = static_cast<unsigned>(letter.code);
    if (!letter.valid) out.push_back('?');
    else if (code < 0x10000) fmt::format_to(std::back_inserter(out), "\\X2\\{:04X}\\X0\\", code);
    else fmt::format_to(std::back_inserter(out), "\\X4\\{:08X}\\X0\\", code);
    if (broken) out.push_back('\n');
    text.remove_prefix(bytes);
  }
  return fmt::to_string(out);
}

}  // namespace peepwright
