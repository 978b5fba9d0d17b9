// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers of the JSON files. Private to the room.
#pragma once

#include <nlohmann/json.hpp>

#include "engine/quantity/format.hpp"

namespace peepwright {

inline nlohmann::ordered_json json_num(double value) { return to_billionth(value); }

inline nlohmann::ordered_json json_deg(double rad) { return json_num(degrees(rad)); }

}  // namespace peepwright
