// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers of the JSON files. Private to the room.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>

#include "engine/quantity/quantity.hpp"

namespace peepwright {

/// Results to a billionth: more digits are noise of the solver and may differ between machines.
inline nlohmann::ordered_json json_num(double value) {
  constexpr double digits = 1e9;
  const double rounded = std::round(value * digits) / digits;
  return rounded == 0 ? 0.0 : rounded;  // no -0
}

inline nlohmann::ordered_json json_deg(double rad) { return json_num(degrees(rad)); }

}  // namespace peepwright
