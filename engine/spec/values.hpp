// SPDX-License-Identifier: GPL-3.0-or-later
// From one entry of a document to a value. Every message carries file:line:column, the key, what is wrong and what is
// accepted. Private to the room.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

#include "engine/spec/document.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

inline constexpr std::size_t longest_label = 1000;  // bytes
inline constexpr std::string_view mark_prefix = "archer.face.scan_landmarks.";

// Each throws Error(input).

/// In the internal unit of `dimension`, with the unit it was written in.
WrittenQuantity written_of(const toml::node& node, const Location& at, std::string_view path, Dimension dimension);
/// Its value alone.
double quantity_of(const toml::node& node, const Location& at, std::string_view path, Dimension dimension);
const std::string& text_value(const Entry& entry, std::string_view path);
std::string label_of(const Entry& entry, std::string_view path);
/// `example` is what a message offers to one who wrote no list.
std::vector<Length> lengths_of(const Entry& entry, std::string_view path, Length least, Length most,
                               std::string_view example);
std::vector<ForceReading> force_draw_of(const Entry& entry, std::string_view path);
GapRange range_of(const Entry& entry, std::string_view path);
/// One of a few words; the index of the one that was written.
std::size_t choice_of(const Entry& entry, std::string_view path, std::initializer_list<std::string_view> accepted);
/// Plain numbers count in `unit_mm`, so marks are taken once the scan's unit is known.
ScanMark scan_mark_of(const Entry& entry, const std::string& path, double unit_mm);

}  // namespace peepwright
