// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/error.hpp"

namespace peepwright {

std::string Location::text() const {
  if (file.empty() || line == 0) return file;
  std::string out = file + ":" + std::to_string(line);
  if (column != 0) out += ":" + std::to_string(column);
  return out;
}

namespace {
/// Messages quote what stands in files: a zero would end them, an escape could do anything to a terminal.
std::string with_place(const Location& where, const std::string& message) {
  const std::string place = where.text();
  std::string out = place.empty() ? message : place + ": " + message;
  for (char& c : out)
    if ((static_cast<unsigned char>(c) < 0x20 && c != '\n') || c == 0x7f) c = '?';
  return out;
}
}  // namespace

Error::Error(ErrorCode code, const Location& where, const std::string& message)
    : std::runtime_error(with_place(where, message)), code_(code) {}

}  // namespace peepwright
