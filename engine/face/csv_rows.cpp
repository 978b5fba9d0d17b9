// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/csv_rows.hpp"

#include <algorithm>
#include <charconv>
#include <string>

#include "engine/quantity/error.hpp"

namespace peepwright::face_data {

std::vector<Row> rows_of(std::string_view csv) {
  std::vector<Row> rows;
  while (!csv.empty()) {
    const auto end = csv.find('\n');
    std::string_view line = csv.substr(0, end);
    csv.remove_prefix(end == std::string_view::npos ? csv.size() : end + 1);
    if (line.ends_with('\r')) line.remove_suffix(1);
    if (line.empty()) continue;
    Row row;
    for (std::size_t at = 0; at <= line.size();) {
      const auto comma = std::min(line.find(',', at), line.size());
      row.push_back(line.substr(at, comma - at));
      at = comma + 1;
    }
    rows.push_back(std::move(row));
  }
  if (!rows.empty()) rows.erase(rows.begin());
  return rows;
}

double number(std::string_view field) {
  double value = 0;
  const auto [end, status] = std::from_chars(field.data(), field.data() + field.size(), value);
  if (status != std::errc{} || end != field.data() + field.size())
    throw Error(ErrorCode::internal,
                "the survey data built into the engine are damaged at \"" + std::string(field) + "\"");
  return value;
}

}  // namespace peepwright::face_data
