// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers and text of the JSON files. Private to the room.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "engine/quantity/format.hpp"

namespace peepwright {

inline nlohmann::ordered_json json_num(double value) { return to_billionth(value); }

inline nlohmann::ordered_json json_deg(double rad) { return json_num(degrees(rad)); }

/// The file's bytes. Names of files need not be UTF-8, which JSON is: what is none becomes U+FFFD.
inline std::string json_text(const nlohmann::ordered_json& json) {
  return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace peepwright
