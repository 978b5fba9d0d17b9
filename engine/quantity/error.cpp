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
std::string with_place(const Location& where, const std::string& message) {
  const std::string place = where.text();
  return place.empty() ? message : place + ": " + message;
}
}  // namespace

Error::Error(ErrorCode code, const Location& where, const std::string& message)
    : std::runtime_error(with_place(where, message)), code_(code) {}

}  // namespace peepwright
