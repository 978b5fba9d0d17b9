// SPDX-License-Identifier: GPL-3.0-or-later
// TOML files as a flat list of keys and where each stands. Private to the room.
#pragma once

#include <toml++/toml.h>

#include <array>
#include <map>
#include <string>
#include <string_view>

#include "engine/quantity/error.hpp"

namespace peepwright {

inline constexpr std::string_view uncertainty_prefix = "uncertainty.";

struct Entry {
  const toml::node* node;
  Location key_at, value_at;
  std::string instead_of;  ///< the file whose value it replaced, if any
};

/// Each bow has its own.
inline constexpr std::array<std::string_view, 3> bow_numbers{"bow.axle_to_axle", "bow.brace_height", "bow.draw_length"};

/// "a.b.c" to its node; sorted by path, so that of two mistakes the same one is always reported.
using Entries = std::map<std::string, Entry>;

Location location(const std::string& file, const toml::source_region& at);

/// "text", "a bare number" …
std::string_view kind_of(const toml::node& node);

[[noreturn]] void refuse(const Location& at, std::string_view path, std::string_view problem);
/// Names the known key that is most like `path`.
[[noreturn]] void refuse_unknown(const Location& at, const std::string& path);
/// The same of a path with a value; one that names a table is told which keys it has.
[[noreturn]] void refuse_value_or_unknown(const Entry& entry, const std::string& path);

/// All of a regular file of `largest_spec_bytes` at most. Throws Error(input).
std::string text_of_file(const std::string& file);

/// Throws Error(input) with the place of a mistake.
toml::table parse_toml(const std::string& name, const std::string& text);

/// Adds the leaves of the document, which must outlive `out`; a later file replaces keys of an earlier one. Tables that
/// no key lives in are unknown keys themselves.
void flatten(const toml::table& table, const std::string& prefix, const std::string& file, Entries& out);

}  // namespace peepwright
