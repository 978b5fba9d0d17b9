// SPDX-License-Identifier: GPL-3.0-or-later
// Trying what may not be possible.
#pragma once

#include <optional>
#include <type_traits>

#include "engine/quantity/error.hpp"

namespace peepwright {

/// What `act` returns, or nothing where its numbers cannot be (Error(input)). A fault of ours is thrown on.
template <class Act>
std::optional<std::invoke_result_t<const Act&>> if_possible(const Act& act) {
  try {
    return act();
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    return std::nullopt;
  }
}

}  // namespace peepwright
