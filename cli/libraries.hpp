// SPDX-License-Identifier: GPL-3.0-or-later
// The libraries that peepwright is built with, and their versions.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace peepwright::cli {

struct Library {
  std::string_view name;
  std::string version;  ///< of the library in use where it can tell, else of the headers compiled in
};

std::vector<Library> libraries();

/// What --version says: "peepwright 0.1.0", then a line for each library. No newline at the end.
std::string version_text();

}  // namespace peepwright::cli
