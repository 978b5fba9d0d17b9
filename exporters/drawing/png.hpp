// SPDX-License-Identifier: GPL-3.0-or-later
// PNG (ISO/IEC 15948) of line drawings. Inside this room only.
#pragma once

#include <string>

namespace peepwright::drawing {

/// Rows of 32-bit pixels in the machine's byte order, 0x__RRGGBB each; a row begins `stride` bytes after the last.
struct Pixels {
  const unsigned char* data = nullptr;
  int columns = 0, rows = 0, stride = 0;
};

/// Eight bits a colour, no alpha; one channel where all is grey. Cairo's own writer tries every filter on every row, which line drawings do not gain
/// from, and takes ten times as long.
std::string png_bytes(const Pixels& pixels);

}  // namespace peepwright::drawing
