// SPDX-License-Identifier: GPL-3.0-or-later
// The one error type. What a user can mend is an Error; anything else that escapes is a fault of ours.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>
#include <string_view>

namespace peepwright {

/// Why something was refused. The command line turns it into the exit code.
enum class ErrorCode {
  input = 2,     ///< what the user gave is wrong; nothing was written
  write = 3,     ///< a result could not be written
  internal = 4,  ///< a fault of ours
};

/// Where in the user's files the trouble is. `line` and `column` count from 1; 0 means unknown.
struct Location {
  std::string file;
  unsigned line = 0;
  unsigned column = 0;

  /// "bow.toml:12:3", or the file alone, or "" when nothing is known.
  [[nodiscard]] std::string text() const;
};

/// `text` as a message quotes it: of more than `longest` bytes the start alone, ended between two letters of UTF-8, and
/// "…"; control characters, which could do anything to a terminal, as "?".
std::string quoted_start(std::string_view text, std::size_t longest);

/// One complete message for a person: where, what is wrong, what is accepted.
class Error : public std::runtime_error {
 public:
  Error(ErrorCode code, const std::string& message) : std::runtime_error(message), code_(code) {}
  Error(ErrorCode code, const Location& where, const std::string& message);

  [[nodiscard]] ErrorCode code() const noexcept { return code_; }

 private:
  ErrorCode code_;
};

}  // namespace peepwright
