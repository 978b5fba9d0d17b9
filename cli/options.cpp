// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/options.hpp"

namespace peepwright::cli {
namespace {

/// An unset shell variable makes an empty name; that must not pass for "write nothing".
const CLI::Validator not_empty([](const std::string& text) { return text.empty() ? "the folder's name is empty" : ""; },
                               "");

}  // namespace

const CLI::Validator& named_folder() { return not_empty; }

void add_files(CLI::App& command, Arguments& a, const std::string& help) {
  command.add_option("files", a.files, help)->required()->type_name("FILE");
}

CLI::Option* add_folder(CLI::App& command, Arguments& a, const std::string& help) {
  return command.add_option("-o,--output", a.folder, help)->check(not_empty)->type_name("DIR");
}

void add_reference(CLI::App& command, Arguments& a, const std::string& help) {
  command.add_option("--reference", a.reference, help)
      ->type_name("FILE")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
}

void add_quiet(CLI::App& command, Arguments& a) { command.add_flag("--quiet", a.quiet, "print nothing but errors"); }

void add_units(CLI::App& command, Arguments& a) {
  command.add_option("--units", a.units, "which unit stands first")
      ->transform(CLI::IsMember({"mm", "in"}, CLI::ignore_case))
      ->capture_default_str();
}

void add_svg_text(CLI::App& command, Arguments& a) {
  command.add_flag("--svg-text", a.svg_text,
                   "letters in SVG stay text, with their font in the file, to search or edit; without it they are "
                   "outlines, alike everywhere");
}

void add_paper_size(CLI::App& command, Arguments& a) {
  command.add_option("--page", a.page, "paper to print on")
      ->transform(CLI::IsMember({"a4", "letter"}, CLI::ignore_case))
      ->capture_default_str();
}

void add_page(CLI::App& command, Arguments& a) {
  add_svg_text(command, a);
  add_paper_size(command, a);
  command.add_option("--date", a.date, "date to print on the sheet, as you write it")->type_name("TEXT");
}

void add_paper(CLI::App& command, Arguments& a) {
  add_page(command, a);
  command
      .add_option("--bar-measured-x", a.bar_measured_x,
                  "what the 100 mm bar across the page of an uncorrected print really measures, e.g. \"99.2 mm\"")
      ->type_name("LENGTH");
  command
      .add_option("--bar-measured-y", a.bar_measured_y, "the same of the bar along the page, which the mark hangs on")
      ->type_name("LENGTH");
}

}  // namespace peepwright::cli
