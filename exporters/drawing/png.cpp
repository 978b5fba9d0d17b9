// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/png.hpp"

#include <zlib.h>

#include <cstdint>
#include <cstring>
#include <string_view>

#include "engine/quantity/error.hpp"

namespace peepwright::drawing {
namespace {

void put32(std::string& out, std::uint32_t value) {
  for (const int shift : {24, 16, 8, 0}) out += static_cast<char>(value >> shift & 255);
}

void add_chunk(std::string& out, std::string_view type, std::string_view data) {
  put32(out, static_cast<std::uint32_t>(data.size()));
  const std::size_t from = out.size();
  out += type;
  out += data;
  const auto* bytes = reinterpret_cast<const Bytef*>(out.data() + from);
  put32(out, static_cast<std::uint32_t>(crc32(0, bytes, static_cast<uInt>(out.size() - from))));
}

}  // namespace

std::string png_bytes(const Pixels& pixels) {
  const auto pixel_at = [&](int x, int y) {
    std::uint32_t pixel = 0;
    std::memcpy(&pixel,
                pixels.data + static_cast<std::ptrdiff_t>(y) * pixels.stride + 4 * static_cast<std::ptrdiff_t>(x),
                sizeof pixel);
    return pixel & 0xffffff;
  };
  bool grey = true;  // as most line drawings are: a third of the work
  for (int y = 0; y < pixels.rows && grey; ++y)
    for (int x = 0; x < pixels.columns && grey; ++x) grey = pixel_at(x, y) == (pixel_at(x, y) & 255) * 0x010101;

  std::string rows;
  rows.reserve(static_cast<std::size_t>(pixels.rows) * (1 + 3 * static_cast<std::size_t>(pixels.columns)));
  for (int y = 0; y < pixels.rows; ++y) {
    rows += '\0';  // no filter
    for (int x = 0; x < pixels.columns; ++x) {
      const std::uint32_t pixel = pixel_at(x, y);
      if (!grey)
        for (const int shift : {16, 8}) rows += static_cast<char>(pixel >> shift & 255);
      rows += static_cast<char>(pixel & 255);
    }
  }
  uLongf size = compressBound(rows.size());
  std::string packed(size, '\0');
  constexpr int quick = 3;  // beyond it the time doubles for a tenth less
  if (compress2(reinterpret_cast<Bytef*>(packed.data()), &size, reinterpret_cast<const Bytef*>(rows.data()),
                rows.size(), quick) != Z_OK)
    throw Error(ErrorCode::internal, "drawing: a picture could not be packed.");
  packed.resize(size);

  std::string out("\x89PNG\r\n\x1a\n", 8), header;
  put32(header, static_cast<std::uint32_t>(pixels.columns));
  put32(header, static_cast<std::uint32_t>(pixels.rows));
  header.append(grey ? "\x08\0\0\0\0" : "\x08\x02\0\0\0", 5);  // eight bits; grey or red-green-blue; not interlaced
  add_chunk(out, "IHDR", header);
  add_chunk(out, "IDAT", packed);
  add_chunk(out, "IEND", {});
  return out;
}

}  // namespace peepwright::drawing
