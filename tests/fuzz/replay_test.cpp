// SPDX-License-Identifier: GPL-3.0-or-later
// Every seed, and every file that once brought a reader down, read again: each is accepted or refused in words.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tests/fuzz/targets.hpp"

namespace peepwright::fuzz {
namespace {

namespace fs = std::filesystem;

using Target = std::pair<const char*, void (*)(std::string_view)>;

class Replay : public testing::TestWithParam<Target> {};

std::vector<fs::path> files_of(const std::string& folder, const std::string& target) {
  std::vector<fs::path> out;
  const fs::path place = fs::path(PEEPWRIGHT_SOURCE_DIR) / "tests/fuzz" / folder / target;
  if (!fs::exists(place)) return out;
  for (const auto& entry : fs::directory_iterator(place)) out.push_back(entry.path());
  std::ranges::sort(out);
  return out;
}

TEST_P(Replay, SeedsAndCrashesAreReadOrRefused) {
  const auto& [name, target] = GetParam();
  std::vector<fs::path> files = files_of("corpus", name);
  ASSERT_GE(files.size(), 3U) << "the seeds are gone";
  std::ranges::copy(files_of("crashes", name), std::back_inserter(files));
  for (const fs::path& file : files) {
    SCOPED_TRACE(file.string());
    std::ifstream in(file, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    EXPECT_NO_THROW(target(bytes)) << file;  // a broken promise aborts, with its sentence on standard error
    EXPECT_NO_THROW(target(std::string_view(bytes).substr(0, bytes.size() / 2))) << file << ", its first half";
  }
}

INSTANTIATE_TEST_SUITE_P(Fuzz, Replay,
                         testing::Values(Target{"quantity", quantity}, Target{"spec", spec},
                                         Target{"mesh_ply", mesh_ply}, Target{"mesh_obj", mesh_obj},
                                         Target{"mesh_stl", mesh_stl}, Target{"sweep_resume", sweep_resume},
                                         Target{"force_draw", force_draw}),
                         [](const auto& row) { return row.param.first; });

}  // namespace
}  // namespace peepwright::fuzz
