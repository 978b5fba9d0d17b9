// SPDX-License-Identifier: GPL-3.0-or-later
// What a user is told when something cannot be.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "engine/quantity/error.hpp"

namespace peepwright::test {

/// The message of the Error that `act` throws, which must be of this code; "accepted" when it throws none.
template <class Act>
std::string refusal(const Act& act, ErrorCode code = ErrorCode::input) {
  try {
    act();
  } catch (const Error& e) {
    EXPECT_EQ(e.code(), code) << e.what();
    return e.what();
  }
  return "accepted";
}

}  // namespace peepwright::test
