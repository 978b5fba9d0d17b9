// SPDX-License-Identifier: GPL-3.0-or-later
// One large file that is written here and there, and appears when it is whole.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace peepwright {

/// Written as PATH.partial beside its place; gone again unless it is finished. Every step throws Error(write).
class PlacedFile {
 public:
  explicit PlacedFile(std::string path);
  ~PlacedFile();
  PlacedFile(const PlacedFile&) = delete;
  PlacedFile& operator=(const PlacedFile&) = delete;

  /// `place`: bytes from the file's beginning.
  void write(std::string_view bytes, std::uint64_t place);
  /// Cuts to `size` bytes, brings them to the disk and puts the file in its place.
  void finish(std::uint64_t size);

 private:
  [[noreturn]] void fail(std::string_view what) const;
  std::string path_, under_way_;
  int file_ = -1;
};

}  // namespace peepwright
