// SPDX-License-Identifier: GPL-3.0-or-later
// The table of a sweep while it grows: whatever stops it, what is there can be gone on with.
#pragma once

#include <string>

#include "exporters/sweep/sweep_manifest.hpp"

namespace peepwright {

/// While it runs, STEM.partial.csv holds the header and the rows so far, in order, and STEM.partial.json says so. At
/// the end, and never before, they become STEM.csv and STEM.json. A process killed at any moment leaves at worst a last
/// line without its end, which resuming cuts off. One process at a time writes a sweep.
class SweepFile {
 public:
  enum class Start { fresh, resume };

  /// Begins or goes on. `fresh` with a broken-off sweep in the way, and `resume` of a sweep that differs from
  /// `manifest`, throw Error(input); Error(write) when the folder cannot be written to.
  SweepFile(const std::string& folder, SweepManifest manifest, std::string header, Start start);
  ~SweepFile();
  SweepFile(const SweepFile&) = delete;
  SweepFile& operator=(const SweepFile&) = delete;

  /// First row that is not in the file yet.
  [[nodiscard]] std::uint64_t next() const { return next_; }
  [[nodiscard]] bool complete() const { return next_ == manifest_.rows.last; }

  /// Appends whole lines, up to row `next`. Throws Error(write).
  void append(const std::string& rows, std::uint64_t next);
  /// Puts the finished table in its place. Throws Error(write).
  void finish();

  [[nodiscard]] std::string path() const;          ///< STEM.csv
  [[nodiscard]] std::string partial_path() const;  ///< STEM.partial.csv

 private:
  void write_manifest(bool complete);
  void open_and_lock();
  void read_back();
  void begin();
  void put_in_place();

  std::string folder_, stem_, header_;
  SweepManifest manifest_;
  int file_ = -1;
  std::uint64_t next_ = 0;
  bool in_place_ = false;
};

}  // namespace peepwright
