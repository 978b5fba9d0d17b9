// SPDX-License-Identifier: GPL-3.0-or-later
// What is left in the folder when files cannot be put there.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "exporters/file/output_set.hpp"
#include "exporters/file/placed_file.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

namespace fs = std::filesystem;
using test::refusal;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

class OutputFiles : public ::testing::Test {
 protected:
  OutputFiles()
      : folder(fs::temp_directory_path() / "peepwright-tests" /
               (std::to_string(::getpid()) + ::testing::UnitTest::GetInstance()->current_test_info()->name())) {
    fs::remove_all(folder);
    fs::create_directories(folder);
  }
  ~OutputFiles() override { fs::remove_all(folder); }

  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(folder)) out.push_back(entry.path().filename().string());
    std::ranges::sort(out);
    return out;
  }
  fs::path folder;
};

const std::string too_long(300, 'x');

TEST_F(OutputFiles, FoldersThatWereMadeForNothingGoAgain) {
  OutputSet unwritable, good;
  good.add("a", "1");
  unwritable.add("a", "1");
  unwritable.add(too_long, "2");
  for (const char* into : {"new", "new/er/est", "new/er/est/", "./new/../new/er"})
    EXPECT_THAT(refusal([&] { unwritable.write((folder / into).string()); }, ErrorCode::write),
                HasSubstr("cannot be made"))
        << into;
  // The last one cannot be made itself.
  EXPECT_THAT(refusal([&] { good.write((folder / "new" / "er" / too_long).string()); }, ErrorCode::write),
              HasSubstr("cannot be made a folder"));
  EXPECT_THAT(names(), IsEmpty());
}

TEST_F(OutputFiles, WhatWasThereBeforeStays) {
  OutputSet unwritable;
  unwritable.add(too_long, "2");
  fs::create_directory(folder / "old");
  fs::create_symlink("nowhere", folder / "link");
  for (const char* into : {"old", "old/new", "link", "link/new"})
    EXPECT_THAT(refusal([&] { unwritable.write((folder / into).string()); }, ErrorCode::write),
                HasSubstr("cannot be made"))
        << into;
  EXPECT_THAT(names(), ElementsAre("link", "old"));
  EXPECT_TRUE(fs::is_empty(folder / "old"));
}

TEST_F(OutputFiles, APlacedFileThatFindsItsPlaceTakenLeavesNothingBeside) {
  fs::create_directory(folder / "sweep.nc");
  EXPECT_THAT(refusal(
                  [&] {
                    PlacedFile file((folder / "sweep.nc").string());
                    file.write("bytes", 0);
                    file.finish(5);
                  },
                  ErrorCode::write),
              HasSubstr("cannot be put in place"));
  EXPECT_THAT(names(), ElementsAre("sweep.nc"));
}

TEST_F(OutputFiles, APlacedFileAppearsWhenItIsWhole) {
  {
    PlacedFile unfinished((folder / "a").string());
    unfinished.write("bytes", 0);
  }
  EXPECT_THAT(names(), IsEmpty());
  PlacedFile file((folder / "a").string());
  file.write("bytes and more", 0);
  EXPECT_THAT(names(), ElementsAre("a.partial"));
  file.finish(5);
  EXPECT_THAT(names(), ElementsAre("a"));
  std::ifstream in(folder / "a");
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(in), {}), "bytes");
}

}  // namespace
}  // namespace peepwright
