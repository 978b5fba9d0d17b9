// SPDX-License-Identifier: GPL-3.0-or-later
// A look at a PLY file's header before the reader sees it. Inside this room only.
#pragma once

#include <string>
#include <string_view>

namespace peepwright::scan {

/// Why the reader must not be given these bytes, in words; empty when it may. The reader believes what a header says: a
/// count in it can be any number, a list's length can ask for any memory, a coordinate of another type ends the
/// program.
std::string ply_trouble(std::string_view bytes);

}  // namespace peepwright::scan
