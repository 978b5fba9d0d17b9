// SPDX-License-Identifier: GPL-3.0-or-later
// The little of ZIP that a 3MF package needs: deflated entries, a fixed date, one directory.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace peepwright::zip {

using Entry = std::pair<std::string, std::string>;  ///< name, content

/// Entries in the order given. Same entries, same bytes.
std::string pack(const std::vector<Entry>& entries);

/// What pack made, unpacked by its directory and checked against its check sums. Throws Error(internal).
std::vector<Entry> unpack(const std::string& archive);

}  // namespace peepwright::zip
