// SPDX-License-Identifier: GPL-3.0-or-later
// peepwright_pages FOLDER DATE: writes man page and shell completions. Runs while the project is built.
#include <CLI/CLI.hpp>
#include <fstream>
#include <iostream>

#include "cli/command_line.hpp"
#include "cli/pages/option_tree.hpp"
#include "exporters/report/report.hpp"

int main(int argc, char** argv) {  // NOLINT(bugprone-exception-escape): a step of the build, which may end so
  using namespace peepwright;
  if (argc != 3) {
    std::cerr << "usage: peepwright_pages FOLDER DATE\n";
    return 2;
  }
  CLI::App app;
  cli::Arguments arguments;
  cli::define(app, arguments);
  const pages::Program program = pages::read_options(app);
  const std::string folder = argv[1];
  bool good = true;
  const auto write = [&](const char* name, const std::string& text) {
    std::ofstream out(folder + "/" + name, std::ios::binary);
    out << text << std::flush;
    good = good && out.good();
  };
  write("peepwright.1", pages::man_page(program, std::string(version()), argv[2]));
  write("peepwright.bash", pages::bash_completion(program));
  write("_peepwright", pages::zsh_completion(program));
  write("peepwright.fish", pages::fish_completion(program));
  if (!good) std::cerr << "peepwright_pages: " << folder << " cannot be written\n";
  return good ? 0 : 1;
}
