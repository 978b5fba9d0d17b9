// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/command_line.hpp"

#include <fmt/format.h>

#include "cli/libraries.hpp"
#include "exporters/report/draw_report.hpp"

namespace peepwright::cli {
namespace {

/// An unset shell variable makes an empty name; that must not pass for "write nothing".
const CLI::Validator named_folder(
    [](const std::string& text) { return text.empty() ? "the folder's name is empty" : ""; }, "");

void add_files(CLI::App& command, Arguments& a) {
  command.add_option("files", a.files, "TOML files, merged left to right: archer, bow, arrow …")
      ->required()
      ->type_name("FILE");
}

void add_units(CLI::App& command, Arguments& a) {
  command.add_option("--units", a.units, "which unit stands first")
      ->check(CLI::IsMember({"mm", "in"}))
      ->capture_default_str();
}

void add_paper_size(CLI::App& command, Arguments& a) {
  command.add_option("--page", a.page, "paper to print on")
      ->check(CLI::IsMember({"a4", "letter"}))
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
                  "what the printed 100 mm bar across the page really measures, e.g. \"99.2 mm\"")
      ->type_name("LENGTH");
  command
      .add_option("--bar-measured-y", a.bar_measured_y, "what the printed 100 mm bar along the page really measures")
      ->type_name("LENGTH");
}

}  // namespace

void add_svg_text(CLI::App& command, Arguments& a) {
  command.add_flag("--svg-text", a.svg_text,
                   "letters in SVG stay text, with their font in the file, to search or edit; without it they are "
                   "outlines, alike everywhere");
}

std::span<const ExitCode> exit_codes() {
  static constexpr ExitCode codes[] = {{0, "done"},
                                       {1, "done, but a clearance is not met and --strict was given"},
                                       {2, "the input is wrong, nothing written"},
                                       {3, "could not write"},
                                       {4, "a fault of peepwright"},
                                       {5, "a sweep was interrupted, go on with --resume"}};
  return codes;
}

void define(CLI::App& app, Arguments& a) {
  app.name("peepwright");
  app.description(
      "peepwright: where the peep sight of a compound bow goes, from the archer's face and the bow's numbers");
  app.require_subcommand(1);
  app.set_help_flag("-h,--help", "say this, or with a command before it what that one takes");
  app.set_version_flag("--version", version_text, "say the version, and those of the libraries in use");
  std::vector<std::string> codes;
  for (const ExitCode& exit : exit_codes()) codes.push_back(fmt::format("{} {}", exit.code, exit.means));
  app.footer(
      fmt::format("Start with: peepwright new my-fit\nExit codes: {}.\n"
                  "Never draw or release without an arrow on the string and a safe backstop ahead.",
                  fmt::join(codes, "; ")));

  CLI::App* fit = app.add_subcommand(
      "fit", "find the peep's mark for one archer and one bow; report, fit.json, strip, drawings, assembly");
  add_files(*fit, a);
  fit->add_option("-o,--output", a.folder,
                  "folder for fit.json, strip, fit sheet, side view and assembly; without it only the report is given")
      ->check(named_folder)
      ->type_name("DIR");
  fit->add_option("--reference", a.reference,
                  "another fit's file (give it again for each): the report says how the head shifts against it")
      ->type_name("FILE")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  fit->add_flag("--strict", a.strict, "exit code 1 when a clearance is not met");
  fit->add_flag("--json", a.json, "print fit.json instead of the report");
  fit->add_flag("--quiet", a.quiet, "print nothing but errors");
  add_units(*fit, a);
  add_paper(*fit, a);

  CLI::App* gauge = app.add_subcommand(
      "gauge", "write the 1:1 strip to lay on the string (PDF, SVG, DXF); with --clip a rigid gauge too");
  add_files(*gauge, a);
  gauge->add_option("-o,--output", a.folder, "folder for the strip, and with --clip for the rigid gauge")
      ->check(named_folder)
      ->type_name("DIR")
      ->required();
  gauge->add_flag("--clip", a.clip,
                  "also a rigid gauge that clips on the string, to print or mill (STEP, STL, 3MF); takes seconds");
  gauge->add_flag("--quiet", a.quiet, "print nothing but errors");
  add_units(*gauge, a);
  add_paper(*gauge, a);

  CLI::App* view = app.add_subcommand("view", "draw the side view at full draw, with dimensions: PDF, SVG, PNG");
  add_files(*view, a);
  view->add_option("-o,--output", a.folder, "folder for the side view")
      ->check(named_folder)
      ->type_name("DIR")
      ->required();
  view->add_flag("--quiet", a.quiet, "print nothing but errors");
  add_units(*view, a);
  add_page(*view, a);

  CLI::App* compare =
      app.add_subcommand("compare", "lay two fits over one another: what changes, in numbers and as a drawing");
  compare->add_option("--a", a.files, "files of the first fit, merged left to right")->required()->type_name("FILE");
  compare
      ->add_option("--b", a.files_b,
                   "files of the second; without them A is the peep as it is tied and B as it should be")
      ->type_name("FILE");
  compare->add_option("-o,--output", a.folder, "folder for the drawing: PDF, SVG, PNG")
      ->check(named_folder)
      ->type_name("DIR");
  compare->add_flag("--quiet", a.quiet, "print nothing but errors");
  add_units(*compare, a);
  add_page(*compare, a);

  CLI::App* model = app.add_subcommand("model", "write the assembly at full draw as solids: STEP AP242, GLB, STL, 3MF");
  add_files(*model, a);
  model->add_option("-o,--output", a.folder, "folder for assembly.step, .glb, .stl and .3mf")
      ->check(named_folder)
      ->type_name("DIR")
      ->required();
  model->add_flag("--quiet", a.quiet, "print nothing but errors");

  CLI::App* verify = app.add_subcommand("verify", "after tying: from what was measured, how far to move the peep");
  add_files(*verify, a);
  verify->add_option("--mark", a.mark, "top of the nock to the peep's centre, bow at rest, e.g. \"6 1/8 in\"")
      ->type_name("LENGTH");
  verify->add_option("--height", a.height, "peep's centre above the arrow's axis, at full draw")->type_name("LENGTH");
  verify->add_option("--eye-to-arrow", a.eye_to_arrow, "pupil above the arrow's axis, at full draw, head upright")
      ->type_name("LENGTH");
  verify->add_flag("--comfortable", a.comfortable,
                   "the archer is upright and relaxed behind this peep, so that --height is what the face wants");
  verify->add_flag("--json", a.json, "print JSON instead of text");
  add_units(*verify, a);

  CLI::App* draw =
      app.add_subcommand("draw", "the bow from brace to full draw: force, angles, tensions, sideways give");
  add_files(*draw, a);
  draw->add_option("-o,--output", a.folder,
                   "folder for draw.json, draw.csv and the chart draw-force; without it only the "
                   "report is given")
      ->type_name("DIR");
  draw->add_flag("--json", a.json, "print draw.json instead of the report");
  draw->add_flag("--quiet", a.quiet, "print nothing but errors");
  add_units(*draw, a);
  add_svg_text(*draw, a);
  std::string columns = "Columns of draw.csv:";
  for (const DrawColumn& column : draw_columns()) columns += fmt::format("\n  {:<20} {}", column.name, column.means);
  draw->footer(columns);

  define_sweep(app, a);

  CLI::App* fresh =
      app.add_subcommand("new", "write commented starter files that run as they are, and a sheet to measure with");
  fresh->add_option("folder", a.folder, "folder to write archer.toml, bow.toml, arrow.toml and measure-sheet.pdf into")
      ->check(named_folder)
      ->type_name("DIR")
      ->required();
  add_paper_size(*fresh, a);

  app.add_subcommand("keys", "list every key of the input files: unit, range, what is assumed, what it means");
}

}  // namespace peepwright::cli
