// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/cli/run_program.hpp"

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <fstream>
#include <functional>
#include <sstream>

namespace peepwright::testing {
namespace fs = std::filesystem;

namespace {
std::string quoted(const std::string& word) {
  std::string out = "'";
  for (const char c : word) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

/// Of this checkout alone: another one's tests may run at the same time.
fs::path tests_folder() {
  return fs::temp_directory_path() /
         ("peepwright-tests-" + std::to_string(std::hash<std::string>{}(PEEPWRIGHT_SOURCE_DIR)));
}
}  // namespace

fs::path fresh_folder() {
  const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
  const fs::path folder = tests_folder() / (std::string(info->test_suite_name()) + "." + info->name());
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  ASSERT_TRUE(out.good()) << path;
}

std::string read_file(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

fs::path in_project(const std::string& path) { return fs::path(PEEPWRIGHT_SOURCE_DIR) / path; }

Outcome run_program(const std::vector<std::string>& arguments, const std::vector<std::string>& environment) {
  static int count = 0;
  const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
  const fs::path folder = tests_folder() / "streams";
  fs::create_directories(folder);
  const std::string stem = std::string(info->test_suite_name()) + "." + info->name() + "." + std::to_string(count++);
  const fs::path out = folder / (stem + ".out"), err = folder / (stem + ".err");
#ifdef __SANITIZE_ADDRESS__
  std::string command = "timeout 600 env";  // watched at every step it is many times as slow
#else
  std::string command = "timeout 60 env";
#endif
  for (const std::string& setting : environment) command += " " + quoted(setting);
  command += " " + quoted(PEEPWRIGHT_PROGRAM);
  for (const std::string& argument : arguments) command += " " + quoted(argument);
  command += " </dev/null >" + quoted(out.string()) + " 2>" + quoted(err.string());
  const int status = std::system(command.c_str());
  Outcome outcome{WIFEXITED(status) ? WEXITSTATUS(status) : -1, read_file(out), read_file(err)};
  fs::remove(out);
  fs::remove(err);
  return outcome;
}

}  // namespace peepwright::testing
