// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/file/placed_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "engine/quantity/error.hpp"

namespace peepwright {

PlacedFile::PlacedFile(std::string path) : path_(std::move(path)), under_way_(path_ + ".partial") {
  file_ = ::open(under_way_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
  if (file_ < 0) fail("cannot be opened");
}

PlacedFile::~PlacedFile() {
  if (file_ < 0) return;
  ::close(file_);
  ::unlink(under_way_.c_str());
}

void PlacedFile::write(std::string_view bytes, std::uint64_t place) {
  while (!bytes.empty()) {
    const ssize_t count = ::pwrite(file_, bytes.data(), bytes.size(), static_cast<off_t>(place));
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) fail("cannot be written");
    bytes.remove_prefix(static_cast<std::size_t>(count));
    place += static_cast<std::uint64_t>(count);
  }
}

void PlacedFile::finish(std::uint64_t size) {
  if (::ftruncate(file_, static_cast<off_t>(size)) != 0 || ::fsync(file_) != 0) fail("cannot be brought to the disk");
  ::close(file_);
  file_ = -1;
  std::error_code status;
  std::filesystem::rename(under_way_, path_, status);
  if (!status) return;
  ::unlink(under_way_.c_str());
  throw Error(ErrorCode::write, fmt::format("{}: cannot be put in place ({})", path_, status.message()));
}

void PlacedFile::fail(std::string_view what) const {
  throw Error(ErrorCode::write, fmt::format("{}: {} ({})", under_way_, what, std::strerror(errno)));
}

}  // namespace peepwright
