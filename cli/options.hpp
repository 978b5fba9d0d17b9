// SPDX-License-Identifier: GPL-3.0-or-later
// Options that several commands have, each defined once. Inside this room only.
#pragma once

#include "cli/command_line.hpp"

namespace peepwright::cli {

void add_files(CLI::App& command, Arguments& arguments,
               const std::string& help = "TOML files, merged left to right: archer, bow, arrow …");
/// Refuses a folder of no name.
const CLI::Validator& named_folder();
CLI::Option* add_folder(CLI::App& command, Arguments& arguments, const std::string& help);
void add_reference(CLI::App& command, Arguments& arguments, const std::string& help);
void add_quiet(CLI::App& command, Arguments& arguments);
void add_units(CLI::App& command, Arguments& arguments);
/// For every command that writes SVG.
void add_svg_text(CLI::App& command, Arguments& arguments);
void add_paper_size(CLI::App& command, Arguments& arguments);
/// For every command that draws a page: paper, date, letters.
void add_page(CLI::App& command, Arguments& arguments);
/// For every command that prints the strip: a page, and what a ruler said of the last print.
void add_paper(CLI::App& command, Arguments& arguments);

void define_sweep(CLI::App& app, Arguments& arguments);
void define_merge(CLI::App& app, Arguments& arguments);

}  // namespace peepwright::cli
