// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/error.hpp"

#include <algorithm>

#include "engine/quantity/utf8.hpp"

namespace peepwright {

std::string Location::text() const {
  if (file.empty() || line == 0) return file;
  std::string out = file + ":" + std::to_string(line);
  if (column != 0) out += ":" + std::to_string(column);
  return out;
}

namespace {

/// Messages quote what stands in files: a zero would end them, an escape could do anything to a terminal.
std::string harmless(std::string text) {
  for (char& c : text)
    if ((static_cast<unsigned char>(c) < 0x20 && c != '\n') || c == 0x7f) c = '?';
  return text;
}

std::string with_place(const Location& where, const std::string& message) {
  const std::string place = where.text();
  return harmless(place.empty() ? message : place + ": " + message);
}

}  // namespace

std::string quoted_start(std::string_view text, std::size_t longest) {
  std::size_t end = std::min(longest, text.size());
  while (end > 0 && end < text.size() && !utf8::begins_letter(text[end])) --end;
  return harmless(std::string(text.substr(0, end))) + (end < text.size() ? "…" : "");
}

Error::Error(ErrorCode code, const Location& where, const std::string& message)
    : std::runtime_error(with_place(where, message)), code_(code) {}

}  // namespace peepwright
