// SPDX-License-Identifier: GPL-3.0-or-later
// Rows of a sweep as CSV (RFC 4180 with line feeds), and back.
#pragma once

#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "engine/sweep/evaluate.hpp"

namespace peepwright {

struct SweepColumn {
  std::string name, means;
};

/// "arrow_chin", the column of a clearance's verdict; that of its distance ends in "_mm".
std::string column_name(std::string_view clearance);

/// Columns of a sweep over `keys`, in order. `uncertainty`: with the mark's.
std::vector<SweepColumn> sweep_columns(const std::vector<Key>& keys, bool uncertainty);

/// The first line of the file.
std::string csv_header(const std::vector<SweepColumn>& columns);

/// One line a row. Numbers are the shortest that read back to the same value, lengths in mm, angles in degrees; a
/// variant that cannot be has its place, its values and its problem, and nothing between.
std::string csv_rows(const std::vector<SweepRow>& rows, const std::vector<Key>& keys, bool uncertainty);

/// Reads such a file line by line, however long it is.
class SweepReader {
 public:
  /// Throws Error(input) when it cannot be read or has no header.
  explicit SweepReader(const std::string& path);

  [[nodiscard]] const std::string& header() const { return header_; }
  [[nodiscard]] const std::vector<std::string>& names() const { return names_; }
  /// Place of a column; npos where there is none.
  [[nodiscard]] std::size_t column(std::string_view name) const;
  static constexpr std::size_t npos = static_cast<std::size_t>(-1);
  /// Bytes; a longer line is refused before it fills the memory.
  static constexpr std::size_t longest_line = 1 << 16;

  /// The next row's fields, unquoted; false at the end. Throws Error(input) on a line of another number of fields.
  bool next();
  [[nodiscard]] std::string_view field(std::size_t column) const { return fields_[column]; }
  /// Nothing for an empty field. Throws Error(input) for one that is no number.
  [[nodiscard]] std::optional<double> number(std::size_t column) const;
  /// The line last read, without its end, and where the next one begins in the file.
  [[nodiscard]] const std::string& line() const { return line_; }
  [[nodiscard]] std::uint64_t offset() const { return offset_; }
  /// True when the last line read had its line feed.
  [[nodiscard]] bool line_whole() const { return whole_; }

 private:
  bool read_line();
  std::string path_, header_, line_;
  std::ifstream in_;
  std::vector<char> piece_;  ///< a line as it is read
  std::vector<std::string> names_, fields_;
  std::uint64_t offset_ = 0, lines_ = 0;
  bool whole_ = true;
};

}  // namespace peepwright
