// SPDX-License-Identifier: GPL-3.0-or-later
// Specs written as their files are, and what is said of those that are refused.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/spec/spec.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::test {

/// The least that a bow's file says.
constexpr std::string_view whole_bow = R"([bow]
axle_to_axle = "33 1/4 in"
brace_height = "6 3/4 in"
draw_length = "29 1/2 in"
)";

inline Spec parse(const std::string& text) { return parse_spec({{"a.toml", text}}); }

/// Why these files, as name and text, are no spec.
inline std::string refusal_of(const std::vector<std::pair<std::string, std::string>>& texts) {
  return refusal([&] { parse_spec(texts); });
}
inline std::string refusal_of(const std::string& text) { return refusal_of({{"a.toml", text}}); }

}  // namespace peepwright::test
