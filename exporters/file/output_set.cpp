// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/file/output_set.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <future>

#include "engine/quantity/error.hpp"

namespace peepwright {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(const fs::path& path, std::string_view what, int error, const std::string& replaced = {}) {
  throw Error(ErrorCode::write,
              fmt::format("{}: {} ({}); {}", path.string(), what, std::strerror(error),
                          replaced.empty() ? "no earlier file was changed" : "new are already: " + replaced));
}

/// Removes what was begun unless it is told that all went well.
class Begun {
 public:
  ~Begun() {
    for (const auto& [handle, target] : open_) ::close(handle);
    for (const fs::path& path : files_) ::unlink(path.c_str());
    for (const fs::path& path : folders_) ::rmdir(path.c_str());  // only what is empty, and never a link
  }
  void file(fs::path path) { files_.push_back(std::move(path)); }
  /// `path` and what it lies in, as far as it is not there yet.
  void folders_to(fs::path path) {
    std::error_code status;
    for (; !path.empty() && !fs::exists(path, status); path = path.parent_path()) folders_.push_back(path);
  }
  void opened(int handle, fs::path target) { open_.emplace_back(handle, std::move(target)); }

  /// Flushes all files to the disk and closes them. Side by side: the file system takes many in the time of one.
  void flush() {
    std::vector<std::future<int>> flushed;
    for (const auto& file : open_)
      flushed.push_back(std::async(std::launch::async, [&file] { return ::fsync(file.first) != 0 ? errno : 0; }));
    for (std::future<int>& one : flushed) one.wait();
    for (std::size_t i = 0; i < flushed.size(); ++i)
      if (const int error = flushed[i].get(); error != 0) refuse(open_[i].second, "cannot be written", error);
    while (!open_.empty()) {
      const auto [handle, target] = open_.back();
      open_.pop_back();
      if (::close(handle) != 0) refuse(target, "cannot be written", errno);
    }
  }

  void keep() {
    files_.clear();
    folders_.clear();
  }

 private:
  std::vector<fs::path> files_;
  std::vector<std::pair<int, fs::path>> open_;
  std::vector<fs::path> folders_;  ///< the innermost first
};

/// Writes `bytes` to a new file beside `target`, still to be flushed; returns its path.
fs::path write_beside(const fs::path& target, const std::string& bytes, Begun& begun) {
  // A name of its own, so that two runs into one folder, or what a killed one left, are not in the way.
  std::string name = (target.parent_path() / ("." + target.filename().string() + ".XXXXXX")).string();
  const int file = ::mkostemp(name.data(), O_CLOEXEC);
  if (file < 0) refuse(target, "cannot be made", errno);
  begun.file(name);
  begun.opened(file, target);
  std::size_t done = 0;
  int error = 0;
  while (done < bytes.size() && error == 0) {
    const ssize_t count = ::write(file, bytes.data() + done, bytes.size() - done);
    if (count >= 0) done += static_cast<std::size_t>(count);
    else if (errno != EINTR) error = errno;
  }
  // mkostemp makes files for their owner alone; results are as open as the user's other files.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (error == 0 && ::fchmod(file, 0666 & ~mask) != 0) error = errno;
  if (error != 0) refuse(target, "cannot be written", error);
  return name;
}

}  // namespace

void OutputSet::write(const std::string& folder) const {
  if (folder.empty()) throw Error(ErrorCode::input, "the output folder's name is empty");
  const fs::path target(folder);
  std::error_code status;
  Begun begun;
  begun.folders_to(target);
  fs::create_directories(target, status);
  if (status) refuse(target, "cannot be made a folder", status.value());
  if (!fs::is_directory(target, status)) refuse(target, "is not a folder", ENOTDIR);
  for (const auto& [name, bytes] : files_)
    if (fs::is_directory(target / name, status)) refuse(target / name, "is a folder where a file should go", EISDIR);

  std::vector<fs::path> parts;
  for (const auto& [name, bytes] : files_) {
    parts.push_back(write_beside(target / name, bytes, begun));
    constexpr std::size_t many = 64;  // a process may not hold any number of files open
    if (parts.size() % many == 0) begun.flush();
  }
  begun.flush();
  std::string replaced;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    fs::rename(parts[i], target / files_[i].first, status);
    if (status) refuse(target / files_[i].first, "cannot be put in place", status.value(), replaced);
    replaced += (replaced.empty() ? "" : ", ") + files_[i].first;
  }
  begun.keep();
  for (const std::string& name : retired_) fs::remove(target / name, status);
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
