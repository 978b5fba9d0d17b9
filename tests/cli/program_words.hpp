// SPDX-License-Identifier: GPL-3.0-or-later
// What every test of the program says: `using namespace testing::program` brings the words.
#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/cli/run_program.hpp"

namespace peepwright::testing::program {

using peepwright::testing::fresh_folder;
using peepwright::testing::in_project;
using peepwright::testing::Outcome;
using peepwright::testing::read_file;
using peepwright::testing::run_program;
using peepwright::testing::write_file;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;
namespace fs = std::filesystem;

inline std::string example(const std::string& path) { return in_project("examples/" + path).string(); }

/// `command` with the files of the first example, and `more`.
inline std::vector<std::string> first_example(const std::string& command, const std::vector<std::string>& more = {}) {
  std::vector<std::string> out{command, example("first-fit/archer.toml"), example("first-fit/bow.toml"),
                               example("first-fit/arrow.toml")};
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

inline std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator(folder)) out.push_back(entry.path().filename().string());
  std::ranges::sort(out);
  return out;
}

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

/// One message, on stderr, that names the program and is no page long; nothing on stdout; exit code 2.
inline void expect_refused(const Outcome& outcome, const std::string& part) {
  EXPECT_EQ(outcome.exit_code, 2) << outcome.err;
  EXPECT_THAT(outcome.err, AllOf(StartsWith("peepwright: "), HasSubstr(part)));
  EXPECT_LT(outcome.err.size(), 2000U);
  EXPECT_THAT(outcome.out, IsEmpty());
}

}  // namespace peepwright::testing::program
