// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/command_line.hpp"

#include <fmt/format.h>

#include "cli/libraries.hpp"
#include "cli/options.hpp"
#include "exporters/report/draw_report.hpp"

namespace peepwright::cli {

std::span<const ExitCode> exit_codes() {
  static constexpr ExitCode codes[] = {{0, "done"},
                                       {1, "done, but a clearance is not met and --strict was given"},
                                       {2, "the input is wrong, nothing written"},
                                       {3, "could not write"},
                                       {4, "a fault of peepwright"},
                                       {5, "a sweep was interrupted, go on with --resume"}};
  return codes;
}

namespace {

void define_fit(CLI::App& app, Arguments& a) {
  CLI::App* fit = app.add_subcommand(
      "fit", "find the peep's mark for one archer and one bow; report, fit.json, strip, drawings, assembly");
  add_files(*fit, a);
  add_folder(*fit, a,
             "folder for fit.json, strip, fit sheet, side view and assembly; without it only the report is given");
  add_reference(*fit, a, "another fit's file (give it again for each): the report says how the head shifts against it");
  fit->add_flag("--strict", a.strict, "exit code 1 when a clearance is not met");
  fit->add_flag("--json", a.json, "print fit.json instead of the report");
  add_quiet(*fit, a);
  add_units(*fit, a);
  add_paper(*fit, a);
}

void define_gauge(CLI::App& app, Arguments& a) {
  CLI::App* gauge = app.add_subcommand(
      "gauge", "write the 1:1 strip to lay on the string (PDF, SVG, DXF); with --clip a rigid gauge too");
  add_files(*gauge, a);
  add_folder(*gauge, a, "folder for the strip, and with --clip for the rigid gauge")->required();
  gauge->add_flag("--clip", a.clip,
                  "also a rigid gauge that clips on the string, to print or mill (STEP, STL, 3MF); takes seconds");
  add_quiet(*gauge, a);
  add_units(*gauge, a);
  add_paper(*gauge, a);
}

void define_view(CLI::App& app, Arguments& a) {
  CLI::App* view = app.add_subcommand("view", "draw the side view at full draw, with dimensions: PDF, SVG, PNG");
  add_files(*view, a);
  add_folder(*view, a, "folder for the side view")->required();
  add_quiet(*view, a);
  add_units(*view, a);
  add_page(*view, a);
}

void define_compare(CLI::App& app, Arguments& a) {
  CLI::App* compare =
      app.add_subcommand("compare", "lay two fits over one another: what changes, in numbers and as a drawing");
  compare->add_option("--a", a.files, "files of the first fit, merged left to right")->required()->type_name("FILE");
  compare
      ->add_option("--b", a.files_b,
                   "files of the second; without them A is the peep as it is tied and B as it should be")
      ->type_name("FILE");
  add_folder(*compare, a, "folder for the drawing: PDF, SVG, PNG");
  add_quiet(*compare, a);
  add_units(*compare, a);
  add_page(*compare, a);
}

void define_model(CLI::App& app, Arguments& a) {
  CLI::App* model = app.add_subcommand("model", "write the assembly at full draw as solids: STEP AP242, GLB, STL, 3MF");
  add_files(*model, a);
  add_folder(*model, a, "folder for assembly.step, .glb, .stl and .3mf")->required();
  add_quiet(*model, a);
}

void define_verify(CLI::App& app, Arguments& a) {
  CLI::App* verify = app.add_subcommand("verify", "after tying: from what was measured, how far to move the peep");
  add_files(*verify, a);
  verify->add_option("--mark", a.mark, "top of the nock to the peep's centre, bow at rest, e.g. \"6 1/8 in\"")
      ->type_name("LENGTH");
  verify->add_option("--height", a.height, "peep's centre above the arrow's axis, at full draw")->type_name("LENGTH");
  verify
      ->add_option(
          "--eye-to-arrow", a.eye_to_arrow,
          "pupil above the arrow's axis, at full draw: settle head upright, eyes closed, not aiming through the peep, "
          "then read")
      ->type_name("LENGTH");
  verify->add_flag(
      "--comfortable", a.comfortable,
      "the archer settles upright and relaxed, eyes closed, and then sees through this peep without craning, so "
      "that --height is what the face wants");
  verify->add_flag("--json", a.json, "print JSON instead of text");
  add_units(*verify, a);
}

void define_draw(CLI::App& app, Arguments& a) {
  CLI::App* draw =
      app.add_subcommand("draw", "the bow from brace to full draw: force, angles, tensions, sideways give");
  add_files(*draw, a);
  add_folder(*draw, a, "folder for draw.json, draw.csv and the chart draw-force; without it only the report is given");
  draw->add_flag("--json", a.json, "print draw.json instead of the report");
  add_quiet(*draw, a);
  add_units(*draw, a);
  add_svg_text(*draw, a);
  std::string columns = "Columns of draw.csv:";
  for (const DrawColumn& column : draw_columns()) columns += fmt::format("\n  {:<20} {}", column.name, column.means);
  draw->footer(columns);
}

void define_new(CLI::App& app, Arguments& a) {
  CLI::App* fresh =
      app.add_subcommand("new", "write commented starter files that run as they are, and a sheet to measure with");
  fresh->add_option("folder", a.folder, "folder to write archer.toml, bow.toml, arrow.toml and measure-sheet.pdf into")
      ->check(named_folder())
      ->type_name("DIR")
      ->required();
  add_paper_size(*fresh, a);
  fresh
      ->add_option("--units", a.starter_units,
                   "units of the starter files; without it the face in mm and the bow in inches, as catalogues have it")
      ->check(CLI::IsMember({"mm", "in"}));
}

}  // namespace

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
  define_fit(app, a);
  define_gauge(app, a);
  define_view(app, a);
  define_compare(app, a);
  define_model(app, a);
  define_verify(app, a);
  define_draw(app, a);
  define_sweep(app, a);
  define_merge(app, a);
  define_new(app, a);
  app.add_subcommand("keys", "list every key of the input files: unit, range, what is assumed, what it means");
}

}  // namespace peepwright::cli
