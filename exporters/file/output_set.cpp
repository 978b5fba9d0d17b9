// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/file/output_set.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "engine/quantity/error.hpp"

namespace peepwright {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(const fs::path& path, std::string_view what, int error) {
  throw Error(ErrorCode::write, fmt::format("{}: {} ({}); nothing there was changed", path.string(), what,
                                            std::strerror(error)));
}

/// Removes what was begun unless it is told that all went well.
class Begun {
 public:
  ~Begun() {
    for (const fs::path& path : paths_) ::unlink(path.c_str());
  }
  void add(fs::path path) { paths_.push_back(std::move(path)); }
  void keep() { paths_.clear(); }

 private:
  std::vector<fs::path> paths_;
};

void write_whole(const fs::path& path, const std::string& bytes, Begun& begun) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (file < 0) refuse(path, "cannot be made", errno);
  begun.add(path);
  std::size_t done = 0;
  int error = 0;
  while (done < bytes.size() && error == 0) {
    const ssize_t count = ::write(file, bytes.data() + done, bytes.size() - done);
    if (count >= 0)
      done += static_cast<std::size_t>(count);
    else if (errno != EINTR)
      error = errno;
  }
  if (error == 0 && ::fsync(file) != 0) error = errno;
  if (::close(file) != 0 && error == 0) error = errno;
  if (error != 0) refuse(path, "cannot be written", error);
}

}  // namespace

void OutputSet::write(const std::string& folder) const {
  const fs::path target(folder);
  std::error_code status;
  fs::create_directories(target, status);
  if (status) refuse(target, "cannot be made a folder", status.value());
  if (!fs::is_directory(target, status)) refuse(target, "is not a folder", ENOTDIR);
  for (const auto& [name, bytes] : files_)
    if (fs::is_directory(target / name, status)) refuse(target / name, "is a folder where a file should go", EISDIR);

  Begun begun;
  // The process id keeps two runs into one folder apart.
  const auto beside = [&](const std::string& name) { return target / fmt::format(".{}.{}.part", name, ::getpid()); };
  for (const auto& [name, bytes] : files_) write_whole(beside(name), bytes, begun);
  for (const auto& [name, bytes] : files_) {
    fs::rename(beside(name), target / name, status);
    if (status) refuse(target / name, "cannot be put in place", status.value());
  }
  begun.keep();
  if (const int handle = ::open(target.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); handle >= 0) {
    ::fsync(handle);  // the names; what is in the files is on the disk already
    ::close(handle);
  }
}

std::vector<std::string> OutputSet::names() const {
  std::vector<std::string> out;
  for (const auto& [name, bytes] : files_) out.push_back(name);
  return out;
}

}  // namespace peepwright
