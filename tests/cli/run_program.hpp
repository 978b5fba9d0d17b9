// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the built program as a person would: a process of its own, its output and exit code.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace peepwright::testing {

struct Outcome {
  int exit_code = -1;  ///< −1: killed by a signal
  std::string out, err;
};

/// Runs peepwright with `arguments`; `environment` adds NAME=value settings. Waits up to a minute
/// (ten under the address sanitizer).
Outcome run_program(const std::vector<std::string>& arguments, const std::vector<std::string>& environment = {});

/// A folder of its own for the running test, empty; under the system's folder for temporary files.
std::filesystem::path fresh_folder();

void write_file(const std::filesystem::path& path, const std::string& text);
std::string read_file(const std::filesystem::path& path);

/// Path inside the project's tree.
std::filesystem::path in_project(const std::string& path);

}  // namespace peepwright::testing
