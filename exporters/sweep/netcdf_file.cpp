// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/netcdf_file.hpp"

#include <bit>

namespace peepwright {
namespace {

constexpr std::uint32_t tag_dimension = 10, tag_variable = 11, tag_attribute = 12;

template <class Unsigned>
void put_bytes(std::string& out, Unsigned value) {
  for (int shift = 8 * (int{sizeof value} - 1); shift >= 0; shift -= 8)
    out += static_cast<char>((value >> shift) & 0xff);
}

void pad(std::string& out) { out.append((4 - out.size() % 4) % 4, '\0'); }

class Writer {
 public:
  explicit Writer(bool wide) : wide_(wide) {}
  std::string out;

  void tag(std::uint32_t value) { put_bytes(out, value); }
  /// Counts are of eight bytes in CDF-5.
  void count(std::uint64_t value) {
    if (wide_) put_bytes(out, value);
    else put_bytes(out, static_cast<std::uint32_t>(value));
  }
  void place(std::uint64_t value) { put_bytes(out, value); }
  void list(std::uint32_t kind, std::size_t size) {
    tag(size > 0 ? kind : 0);
    count(size);
  }
  void name(std::string_view text) {
    count(text.size());
    out += text;
    pad(out);
  }
  void attributes(const std::vector<NetcdfAttribute>& all) {
    list(tag_attribute, all.size());
    for (const NetcdfAttribute& a : all) {
      name(a.name);
      std::visit([&](const auto& value) { this->value(value); }, a.value);
      pad(out);
    }
  }

 private:
  void value(const std::string& text) {
    tag(static_cast<std::uint32_t>(NetcdfType::text));
    count(text.size());
    out += text;
  }
  void value(double number) {
    tag(static_cast<std::uint32_t>(NetcdfType::float64));
    count(1);
    put(out, number);
  }
  void value(std::int16_t number) {
    tag(static_cast<std::uint32_t>(NetcdfType::int16));
    count(1);
    put(out, number);
  }
  void value(const std::vector<std::int8_t>& numbers) {
    tag(static_cast<std::uint32_t>(NetcdfType::int8));
    count(numbers.size());
    for (const std::int8_t n : numbers) put(out, n);
  }
  bool wide_;
};

/// Bytes a variable takes, padded.
std::uint64_t room_of(const NetcdfLayout& layout, const NetcdfVariable& v) {
  std::uint64_t bytes = size_of(v.type);
  for (const std::uint32_t d : v.dimensions) bytes *= layout.dimensions[d].second;
  return (bytes + 3) / 4 * 4;
}

std::string header(const NetcdfLayout& layout, bool wide) {
  Writer w(wide);
  w.out = wide ? "CDF\x05" : "CDF\x02";
  w.count(0);  // no records
  w.list(tag_dimension, layout.dimensions.size());
  for (const auto& [name, length] : layout.dimensions) {
    w.name(name);
    w.count(length);
  }
  w.attributes(layout.attributes);
  w.list(tag_variable, layout.variables.size());
  for (const NetcdfVariable& v : layout.variables) {
    w.name(v.name);
    w.count(v.dimensions.size());
    for (const std::uint32_t d : v.dimensions) w.count(d);
    w.attributes(v.attributes);
    w.tag(static_cast<std::uint32_t>(v.type));
    w.count(room_of(layout, v));
    w.place(v.begin);
  }
  return w.out;
}

}  // namespace

std::size_t size_of(NetcdfType type) {
  switch (type) {
    case NetcdfType::int8:
    case NetcdfType::text: return 1;
    case NetcdfType::int16: return 2;
    case NetcdfType::int32: return 4;
    case NetcdfType::float64: return 8;
  }
  return 0;
}

void put(std::string& out, double value) { put_bytes(out, std::bit_cast<std::uint64_t>(value)); }
void put(std::string& out, std::int32_t value) { put_bytes(out, static_cast<std::uint32_t>(value)); }
void put(std::string& out, std::int16_t value) { put_bytes(out, static_cast<std::uint16_t>(value)); }
void put(std::string& out, std::int8_t value) { out += static_cast<char>(value); }

std::string netcdf_header(NetcdfLayout& layout) {
  constexpr std::uint64_t most = std::numeric_limits<std::uint32_t>::max() - 3;
  bool wide = false;
  for (const NetcdfVariable& v : layout.variables) wide = wide || room_of(layout, v) >= most;
  std::uint64_t place = header(layout, wide).size();  // places do not change its size
  for (NetcdfVariable& v : layout.variables) {
    v.begin = place;
    place += room_of(layout, v);
  }
  layout.file_size = place;
  return header(layout, wide);
}

}  // namespace peepwright
