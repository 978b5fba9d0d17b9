// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a printed sheet back, knowing nothing of how it was drawn: vectors out of the page's content stream,
// words from pdftotext, pixels from pdftoppm. Millimetres, from the page's lower left corner, y up.
#pragma once

#include <string>
#include <vector>

namespace peepwright::test {

struct At {
  double x = 0, y = 0;
};

struct Extent {
  double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
  void take(At p);
  [[nodiscard]] double width() const { return x1 - x0; }
  [[nodiscard]] double height() const { return y1 - y0; }
  [[nodiscard]] At centre() const { return {(x0 + x1) / 2, (y0 + y1) / 2}; }
};

/// One subpath that was painted.
struct Painted {
  std::vector<At> points;  ///< end points; curves also give their handles
  bool curved = false, closed = false, filled = false, stroked = false, dashed = false;
  double line_width = 0;
  [[nodiscard]] Extent extent() const;
};

struct Word {
  std::string text;
  Extent box;
};

struct PdfPage {
  double width = 0, height = 0;
  std::vector<Painted> paths;
  std::vector<Word> words;
};

/// Throws std::runtime_error with what is wrong.
std::vector<PdfPage> read_pdf(const std::string& pdf);

/// Greyscale picture of a page (from 1), rows from the top.
struct Raster {
  int width = 0, height = 0;
  double mm_per_pixel = 0;
  std::vector<unsigned char> grey;
  [[nodiscard]] bool dark(int column, int row) const {
    return grey[static_cast<std::size_t>(row) * width + column] < 128;
  }
};
Raster rasterise(const std::string& pdf, int page, int dots_per_inch);

/// Standard output of a command line; throws when it fails.
std::string run(const std::string& command);

/// A file that goes away with the object.
class ScratchFile {
 public:
  ScratchFile(const std::string& content, const std::string& suffix);
  ~ScratchFile();
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

}  // namespace peepwright::test
