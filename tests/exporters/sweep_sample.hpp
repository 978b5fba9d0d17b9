// SPDX-License-Identifier: GPL-3.0-or-later
// A small sweep, some of whose variants cannot be, and a folder for its files.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "exporters/sweep/sweep_csv.hpp"
#include "exporters/sweep/sweep_file.hpp"
#include "tests/shared/refusal.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {

namespace fs = std::filesystem;
using test::refusal;

class SweepFiles : public ::testing::Test {
 protected:
  SweepFiles()
      : folder(fs::temp_directory_path() / "peepwright-tests" /
               (std::to_string(::getpid()) + ::testing::UnitTest::GetInstance()->current_test_info()->name())) {
    fs::remove_all(folder);
    fs::create_directories(folder);
  }
  ~SweepFiles() override { fs::remove_all(folder); }

  static const SweepPlan& plan() {
    static const SweepPlan made(test::shop_spec(), {parse_variation("bow.draw_length=12 in..31 in/1 in")},
                                std::nullopt);
    return made;
  }
  static const std::vector<SweepRow>& rows() {
    static const std::vector<SweepRow> made = Evaluator(plan(), plan().base()).rows(0, plan().size());
    return made;
  }
  static std::string header() { return csv_header(sweep_columns(plan().keys(), false)); }
  static std::string text_of(Slice slice) {
    return csv_rows({rows().begin() + static_cast<std::ptrdiff_t>(slice.first),
                     rows().begin() + static_cast<std::ptrdiff_t>(slice.last)},
                    plan().keys(), false);
  }
  static SweepManifest manifest(std::uint64_t part = 1, std::uint64_t parts = 1, const std::string& fingerprint = "0") {
    return manifest_of(plan(), fingerprint, part, parts);
  }
  std::string write_part(std::uint64_t part, std::uint64_t parts, const std::string& fingerprint = "0") const {
    const SweepManifest m = manifest(part, parts, fingerprint);
    SweepFile file(folder.string(), m, header(), SweepFile::Start::fresh);
    file.append(text_of(m.rows), m.rows.last);
    file.finish();
    return file.path();
  }
  static std::string read(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
  }
  fs::path folder;
};

}  // namespace peepwright
