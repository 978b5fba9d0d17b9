// SPDX-License-Identifier: GPL-3.0-or-later
// One drawing of every kind, as the program makes them; the version that they name is not in them.
#pragma once

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

}  // namespace peepwright::test
