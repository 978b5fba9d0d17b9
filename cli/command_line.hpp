// SPDX-License-Identifier: GPL-3.0-or-later
// What a person can ask for. The one definition of commands and options.
#pragma once

#include <CLI/CLI.hpp>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace peepwright::cli {

/// Options as they were typed; lengths still text.
struct Arguments {
  std::vector<std::string> files;
  std::vector<std::string> reference;
  std::vector<std::string> files_b;  ///< compare: the second fit; `files` is the first
  std::string folder;                ///< -o; empty: write nothing
  std::string units = "mm";
  std::string starter_units;  ///< new; empty: as the trade mixes them
  std::string page = "a4";
  std::string bar_measured_x, bar_measured_y;
  std::string date;
  bool svg_text = false;  ///< letters in SVG stay text
  bool strict = false, json = false, quiet = false;

  std::string mark, height, eye_to_arrow;  ///< verify
  bool comfortable = false;                ///< verify
  bool clip = false;                       ///< gauge: the rigid one as well

  std::vector<std::string> vary;             ///< sweep: KEY=FROM..TO/STEP
  std::string population, latin, part;       ///< sweep: NAME:N:seed, N:seed, i/n
  std::vector<std::uint64_t> models;         ///< sweep: variants to write as STEP
  unsigned threads = 0;                      ///< sweep; 0: all cores
  bool uncertainty = false, resume = false;  ///< sweep
  bool netcdf = false;                       ///< sweep, merge
};

/// Fills `arguments` and adds every command to `app`.
void define(CLI::App& app, Arguments& arguments);

/// What an exit code tells.
struct ExitCode {
  int code;
  std::string_view means;
};
std::span<const ExitCode> exit_codes();

// One function per command. They throw Error; the return value is the exit code of a run without one.
int run_fit(const Arguments& arguments);
int run_model(const Arguments& arguments);
int run_view(const Arguments& arguments);
int run_compare(const Arguments& arguments);
int run_gauge(const Arguments& arguments);
int run_verify(const Arguments& arguments);
int run_draw(const Arguments& arguments);
int run_sweep_command(const Arguments& arguments);
int run_merge(const Arguments& arguments);
int run_new(const Arguments& arguments);
int run_keys();

}  // namespace peepwright::cli
