// SPDX-License-Identifier: GPL-3.0-or-later
// What every target promises.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "engine/quantity/error.hpp"

namespace peepwright::fuzz {

/// Fails in a way that a fuzzer and a test both see, with assertions or without.
inline void require(bool holds, const char* what) {
  if (holds) return;
  std::fputs(what, stderr);
  std::abort();
}

/// A refusal is fine when it is the user's mistake and says something; anything else that is thrown brings the target
/// down.
template <class Work>
bool accepted(Work&& work) {
  try {
    work();
    return true;
  } catch (const Error& e) {
    require(e.code() == ErrorCode::input, e.what());
    require(std::string_view(e.what()).size() > 10, "a refusal without words\n");
    require(std::string_view(e.what()).size() < 20000, "a refusal as long as what it refuses\n");
    return false;
  }
}

}  // namespace peepwright::fuzz
