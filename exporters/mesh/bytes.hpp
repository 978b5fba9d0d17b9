// SPDX-License-Identifier: GPL-3.0-or-later
// Little-endian numbers in byte strings, on any machine. Inside this room only.
#pragma once

#include <bit>
#include <cstdint>
#include <string>
#include <string_view>

#include "engine/quantity/error.hpp"

namespace peepwright::bytes {

inline void put16(std::string& out, std::uint32_t v) { out += char(v & 255), out += char(v >> 8 & 255); }
inline void put32(std::string& out, std::uint32_t v) { put16(out, v & 0xffff), put16(out, v >> 16); }
inline void put_float(std::string& out, double v) {
  put32(out, std::bit_cast<std::uint32_t>(static_cast<float>(v) + 0.0f));
}

/// Reads on from `place`. Throws Error(internal) past the end.
class Reader {
 public:
  explicit Reader(std::string_view all, std::size_t from = 0) : all_(all), place_(from) {}
  std::uint32_t get16() { return byte() | byte() << 8; }
  std::uint32_t get32() {
    const std::uint32_t low = get16();
    return low | get16() << 16;
  }
  float get_float() { return std::bit_cast<float>(get32()); }
  std::string_view get(std::size_t count) {
    if (count > all_.size() - place_)
      throw Error(ErrorCode::internal, "A mesh file that was just written ends too soon.");
    place_ += count;
    return all_.substr(place_ - count, count);
  }
  [[nodiscard]] std::size_t place() const { return place_; }

 private:
  std::uint32_t byte() { return static_cast<unsigned char>(get(1)[0]); }
  std::string_view all_;
  std::size_t place_;
};

}  // namespace peepwright::bytes
