// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "exporters/file/output_set.hpp"
#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse_write(const std::string& path, std::string_view what, int error) {
  throw Error(ErrorCode::write,
              fmt::format("{}: {} ({}); what is written so far stays. Give the command again, sweep with --resume, and "
                          "it goes on from there",
                          path, what, std::strerror(error)));
}

/// Throws Error(input) unless both are the same part of the same sweep.
void require_same(const std::string& path, const SweepManifest& there, const SweepManifest& wanted) {
  if (there.version != wanted.version)
    throw Error(
        ErrorCode::input,
        fmt::format(
            "{}: was begun by peepwright {}, this is {}; finish it with that one or begin again in another folder",
            path, there.version, wanted.version));
  if (there.fingerprint != wanted.fingerprint || there.variants != wanted.variants || there.part != wanted.part ||
      there.parts != wanted.parts)
    throw Error(
        ErrorCode::input,
        fmt::format("{}: is another sweep (of {} variants, part {} of {}): files or options differ. Give the same "
                    "ones to --resume, or begin in another folder",
                    path, there.variants, there.part, there.parts));
}

}  // namespace

SweepFile::SweepFile(const std::string& folder, SweepManifest manifest, std::string header, Start start)
    : folder_(folder),
      stem_(sweep_stem(manifest.part, manifest.parts)),
      header_(std::move(header)),
      manifest_(std::move(manifest)) {
  next_ = manifest_.rows.first;
  const std::string partial_json = (fs::path(folder_) / (stem_ + ".partial.json")).string();
  const std::string json = (fs::path(folder_) / (stem_ + ".json")).string();
  std::error_code status;
  const bool begun = fs::exists(partial_json, status);
  if (start == Start::fresh) {
    if (begun)
      throw Error(ErrorCode::input,
                  fmt::format("{}: a sweep was broken off here; go on with --resume, or remove {} and {}", folder_,
                              partial_path(), partial_json));
    begin();
    return;
  }
  if (!begun && !fs::exists(json, status)) {  // killed before its first file, or never begun
    begin();
    return;
  }
  if (!begun) {
    require_same(json, read_manifest(json), manifest_);
    next_ = manifest_.rows.last;
    in_place_ = true;
    return;
  }
  const SweepManifest there = read_manifest(partial_json);
  require_same(partial_json, there, manifest_);
  if (there.complete) {  // killed while the finished table was put in place
    next_ = manifest_.rows.last;
    return;
  }
  if (!fs::exists(partial_path(), status)) {
    begin();
    return;
  }
  open_and_lock();
  read_back();
}

SweepFile::~SweepFile() {
  if (file_ >= 0) ::close(file_);
}

std::string SweepFile::path() const { return (fs::path(folder_) / (stem_ + ".csv")).string(); }
std::string SweepFile::partial_path() const { return (fs::path(folder_) / (stem_ + ".partial.csv")).string(); }

void SweepFile::write_manifest(bool complete) {
  manifest_.complete = complete;
  OutputSet outputs;
  outputs.add(stem_ + ".partial.json", manifest_json(manifest_));
  outputs.write(folder_);
}

void SweepFile::open_and_lock() {
  // A link is not followed: what it names may be anything, and would be emptied.
  file_ = ::open(partial_path().c_str(), O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW, 0666);
  if (file_ < 0)
    throw Error(ErrorCode::write,
                fmt::format("{}: cannot be opened ({}); nothing was changed", partial_path(), std::strerror(errno)));
  struct stat locked {
  }, there{};
  const bool ours = ::flock(file_, LOCK_EX | LOCK_NB) == 0 && ::fstat(file_, &locked) == 0 &&
                    ::lstat(partial_path().c_str(), &there) == 0 &&
                    locked.st_ino == there.st_ino;  // not one that has become a finished table meanwhile
  if (!ours)
    throw Error(ErrorCode::write,
                partial_path() + ": another process is writing this sweep; let it finish, or take another folder");
}

void SweepFile::begin() {
  std::error_code status;
  fs::create_directories(folder_, status);
  if (status)
    throw Error(ErrorCode::write,
                fmt::format("{}: cannot be made a folder ({}); nothing was written", folder_, status.message()));
  open_and_lock();
  write_manifest(false);  // by the holder of the lock alone, so that it is about the table beside it
  if (::ftruncate(file_, 0) != 0) refuse_write(partial_path(), "cannot be emptied", errno);
  append(header_, next_);
}

void SweepFile::read_back() {
  std::uint64_t kept = 0;
  std::error_code status;
  const std::uint64_t size = fs::file_size(partial_path(), status);
  if (size >= header_.size()) {
    SweepReader reader(partial_path());
    if (reader.header() + "\n" != header_)
      throw Error(ErrorCode::input,
                  partial_path() + ": its columns are not those of this sweep; begin in another folder");
    kept = reader.offset();
    while (next_ < manifest_.rows.last && reader.next() && reader.line_whole()) {
      if (reader.field(0) != fmt::format("{}", next_))
        throw Error(ErrorCode::input,
                    fmt::format("{}: variant {} stands where {} should; it was changed. Remove it and begin again",
                                partial_path(), reader.field(0).substr(0, 40), next_));
      ++next_;
      kept = reader.offset();
    }
  }
  if (::ftruncate(file_, static_cast<off_t>(kept)) != 0)
    refuse_write(partial_path(), "cannot be cut to its last whole row", errno);
  if (kept == 0) append(header_, next_);
}

void SweepFile::append(const std::string& rows, std::uint64_t next) {
  for (std::size_t done = 0; done < rows.size();) {
    const ssize_t count = ::write(file_, rows.data() + done, rows.size() - done);
    if (count >= 0) done += static_cast<std::size_t>(count);
    else if (errno != EINTR) refuse_write(partial_path(), "cannot be written", errno);
  }
  next_ = next;
}

void SweepFile::finish() {
  if (in_place_) return;
  if (file_ >= 0) {
    if (::fsync(file_) != 0) refuse_write(partial_path(), "cannot be brought to the disk", errno);
    write_manifest(true);
  }
  put_in_place();
}

void SweepFile::put_in_place() {
  std::error_code status;
  if (fs::exists(partial_path(), status)) {
    fs::rename(partial_path(), path(), status);
    if (status) refuse_write(path(), "cannot be put in place", status.value());
  }
  const fs::path json = fs::path(folder_) / (stem_ + ".json");
  fs::rename(fs::path(folder_) / (stem_ + ".partial.json"), json, status);
  if (status) refuse_write(json.string(), "cannot be put in place", status.value());
  in_place_ = true;
}

}  // namespace peepwright
