// SPDX-License-Identifier: GPL-3.0-or-later
// One drawing of every kind, as the program makes them; the version that they name is not in them.
#pragma once

#include <gtest/gtest.h>

#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright::test {

struct DrawingSample {
  std::string name;  ///< of its reference, without its ending
  std::function<Canvas()> draw;
};
inline void PrintTo(const DrawingSample& sample, std::ostream* out) { *out << sample.name; }

const std::vector<DrawingSample>& drawing_samples();

/// The sample's name as a test may be called.
std::string test_name(const testing::TestParamInfo<DrawingSample>& sample);

}  // namespace peepwright::test
