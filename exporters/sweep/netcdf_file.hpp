// SPDX-License-Identifier: GPL-3.0-or-later
// The NetCDF classic format (OGC 10-092r3), column by column: the header, and where in the file each variable lies.
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace peepwright {

enum class NetcdfType : std::uint32_t { int8 = 1, text = 2, int16 = 3, int32 = 4, float64 = 6 };

/// Bytes of one value.
std::size_t size_of(NetcdfType type);

/// Appends `value` big-endian, as the format has it.
void put(std::string& out, double value);
void put(std::string& out, std::int32_t value);
void put(std::string& out, std::int16_t value);
void put(std::string& out, std::int8_t value);

struct NetcdfAttribute {
  std::string name;
  std::variant<std::string, double, std::vector<std::int8_t>, std::int16_t> value;
};

struct NetcdfVariable {
  std::string name;
  NetcdfType type = NetcdfType::float64;
  std::vector<std::uint32_t> dimensions;  ///< indices, slowest first
  std::vector<NetcdfAttribute> attributes;
  std::uint64_t begin = 0;  ///< where its values lie; filled in by `netcdf_header`
};

/// What a file holds. No dimension is unlimited, so that each variable lies in one piece.
struct NetcdfLayout {
  std::vector<std::pair<std::string, std::uint64_t>> dimensions;
  std::vector<NetcdfAttribute> attributes;
  std::vector<NetcdfVariable> variables;
  std::uint64_t file_size = 0;  ///< filled in by `netcdf_header`
};

/// The header, with every place filled in. CDF-2, which everything reads; CDF-5 where a variable has 4 GiB or more.
std::string netcdf_header(NetcdfLayout& layout);

}  // namespace peepwright
