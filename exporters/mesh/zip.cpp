// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/mesh/zip.hpp"

#include <zlib.h>

#include "exporters/mesh/bytes.hpp"

namespace peepwright::zip {
namespace {

constexpr std::uint32_t local_mark = 0x04034b50, central_mark = 0x02014b50, end_mark = 0x06054b50;
constexpr std::uint32_t dos_date = 0x21, dos_time = 0;  // 1 January 1980, the earliest there is

std::uint32_t check_sum(const std::string& s) {
  return std::uint32_t(crc32(0, reinterpret_cast<const Bytef*>(s.data()), uInt(s.size())));
}

[[noreturn]] void fail(const std::string& what) {
  throw Error(ErrorCode::internal, "Packing a 3MF failed: " + what + ".");
}

/// Deflate without zlib's own frame, as ZIP wants it.
std::string deflated(const std::string& content) {
  z_stream z{};
  if (deflateInit2(&z, Z_DEFAULT_COMPRESSION, Z_DEFLATED, -MAX_WBITS, 8, Z_DEFAULT_STRATEGY) != Z_OK)
    fail("the compressor did not start");
  std::string out(deflateBound(&z, uLong(content.size())), '\0');
  z.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(content.data()));
  z.avail_in = uInt(content.size());
  z.next_out = reinterpret_cast<Bytef*>(out.data());
  z.avail_out = uInt(out.size());
  const int status = deflate(&z, Z_FINISH);
  out.resize(z.total_out);
  deflateEnd(&z);
  if (status != Z_STREAM_END) fail("the compressor did not finish");
  return out;
}

std::string inflated(std::string_view packed, std::size_t size) {
  z_stream z{};
  if (inflateInit2(&z, -MAX_WBITS) != Z_OK) fail("the decompressor did not start");
  std::string out(size, '\0');
  z.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(packed.data()));
  z.avail_in = uInt(packed.size());
  z.next_out = reinterpret_cast<Bytef*>(out.data());
  z.avail_out = uInt(out.size());
  const int status = inflate(&z, Z_FINISH);
  const bool whole = status == Z_STREAM_END && z.total_out == size;
  inflateEnd(&z);
  if (!whole) fail("an entry does not unpack");
  return out;
}

/// The fields that local header and directory share, from "version needed" to "extra length".
void put_common(std::string& out, const Entry& entry, std::size_t packed) {
  bytes::put16(out, 20), bytes::put16(out, 0), bytes::put16(out, 8), bytes::put16(out, dos_time),
      bytes::put16(out, dos_date);
  bytes::put32(out, check_sum(entry.second)), bytes::put32(out, std::uint32_t(packed)),
      bytes::put32(out, std::uint32_t(entry.second.size()));
  bytes::put16(out, std::uint32_t(entry.first.size())), bytes::put16(out, 0);
}

}  // namespace

std::string pack(const std::vector<Entry>& entries) {
  std::string out, directory;
  for (const Entry& entry : entries) {
    const std::size_t offset = out.size();
    const std::string packed = deflated(entry.second);
    bytes::put32(out, local_mark);
    put_common(out, entry, packed.size());
    out += entry.first + packed;
    bytes::put32(directory, central_mark), bytes::put16(directory, 20);
    put_common(directory, entry, packed.size());
    bytes::put16(directory, 0), bytes::put16(directory, 0), bytes::put16(directory, 0), bytes::put32(directory, 0);
    bytes::put32(directory, std::uint32_t(offset));
    directory += entry.first;
  }
  const std::size_t start = out.size();
  out += directory;
  bytes::put32(out, end_mark), bytes::put16(out, 0), bytes::put16(out, 0);
  bytes::put16(out, std::uint32_t(entries.size())), bytes::put16(out, std::uint32_t(entries.size()));
  bytes::put32(out, std::uint32_t(directory.size())), bytes::put32(out, std::uint32_t(start)), bytes::put16(out, 0);
  return out;
}

std::vector<Entry> unpack(const std::string& archive) {
  if (archive.size() < 22) fail("it is too short");
  bytes::Reader end(archive, archive.size() - 22);
  if (end.get32() != end_mark) fail("its end is missing");
  (void)end.get(6);
  const std::uint32_t count = end.get16();
  (void)end.get32();
  bytes::Reader directory(archive, end.get32());
  std::vector<Entry> entries;
  for (std::uint32_t i = 0; i < count; ++i) {
    if (directory.get32() != central_mark) fail("its directory is damaged");
    (void)directory.get(12);
    const std::uint32_t sum = directory.get32(), packed = directory.get32(), size = directory.get32(),
                        name_size = directory.get16();
    (void)directory.get(12);
    const std::uint32_t offset = directory.get32();
    const std::string name{directory.get(name_size)};
    bytes::Reader local(archive, offset);
    if (local.get32() != local_mark) fail("an entry is missing");
    (void)local.get(26);
    if (local.get(name_size) != name) fail("an entry has two names");
    std::string content = inflated(local.get(packed), size);
    if (check_sum(content) != sum) fail("a check sum is wrong");
    entries.emplace_back(name, std::move(content));
  }
  return entries;
}

}  // namespace peepwright::zip
