// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <rapidcheck/gtest.h>

namespace peepwright::test {

/// A random number between two bounds, fine enough to hit odd places; shrinks to the lower bound. In properties only.
inline double between(double low, double high) {
  constexpr int parts = 10000;
  return low + (high - low) * *rc::gen::inRange(0, parts + 1) / parts;
}

}  // namespace peepwright::test
