// SPDX-License-Identifier: GPL-3.0-or-later
// Grey pictures, and how far two of them are apart.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "exporters/drawing/path.hpp"

namespace peepwright::test {

struct Picture {
  int width = 0, height = 0;
  std::vector<unsigned char> grey;  ///< rows from the top, 255 is white

  [[nodiscard]] unsigned char at(int column, int row) const {
    return grey[std::size_t(row) * std::size_t(width) + std::size_t(column)];
  }
  /// Paints a box white, mm on the page.
  void blank(const Box& box, double dots_per_inch);
};

/// On white, where the file is transparent. Throws std::runtime_error for bytes that are no PNG.
Picture read_png(const std::string& bytes);
/// In 16 shades, which compress well.
std::string write_png(const Picture& picture);

/// What counts as another pixel: a grey that is outside of what the other picture has within `pixels` around it by more
/// than `levels`, either way round. So an edge may move by `pixels` and its smoothing differ.
struct Tolerance {
  int pixels = 1;
  int levels = 40;
};

struct Difference {
  int pixels = 0;   ///< that differ
  Picture picture;  ///< the first, faint, with these in black
};

/// Pictures of other sizes differ everywhere beyond the smaller one.
Difference difference(const Picture& a, const Picture& b, const Tolerance& tolerance);

/// A whole file; nothing where there is none.
std::string bytes_of(const std::filesystem::path& file);
/// Makes the folder where it is missing.
void write_bytes(const std::filesystem::path& file, const std::string& bytes);

}  // namespace peepwright::test
