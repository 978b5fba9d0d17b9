// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "cli/options.hpp"
#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright::cli {
namespace {

/// What becomes of the finished table; a merged sweep's options are a sweep's own.
void add_results(CLI::App& command, Arguments& a) {
  command.add_flag(
      "--netcdf", a.netcdf,
      "the table column by column as well, sweep.nc, for tools that read data: NetCDF classic, an open format");
  command.add_flag("--strict", a.strict, "exit code 1 when a variant does not clear or cannot be");
  command.add_flag("--json", a.json, "print the summary as JSON");
  add_quiet(command, a);
  add_units(command, a);
  add_svg_text(command, a);
}

void add_variants(CLI::App& command, Arguments& a) {
  command
      .add_option("--vary", a.vary,
                  "a key and its range, each value with its unit: bow.axle_to_axle=\"28 in..36 in/0.5 in\"; "
                  "give it again for more keys")
      ->type_name("KEY=FROM..TO/STEP")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  command
      .add_option(
          "--population", a.population,
          "faces: adult-male or adult-female, drawn from the survey's statistics; survey-male or survey-female, its "
          "persons row by row")
      ->type_name("NAME:N[:SEED]");
  command
      .add_option("--latin", a.latin, "N points of a Latin hypercube over the ranges in the place of every combination")
      ->type_name("N[:SEED]");
}

std::string sweep_footer() {
  std::string out = fmt::format("At most {} variants, {} values a key. Columns of sweep.csv, after the varied keys:",
                                SweepPlan::most_variants, most_values);
  for (const SweepColumn& column : sweep_columns({}, true))
    out += fmt::format("\n  {:<24} {}", column.name, column.means);
  return out;
}

}  // namespace

void define_sweep(CLI::App& app, Arguments& a) {
  CLI::App* sweep =
      app.add_subcommand("sweep", "many fits: over ranges of keys and over populations of faces; table, summary");
  add_files(*sweep, a, "TOML files, merged left to right; as they are, they are the reference of the head's shift");
  add_variants(*sweep, a);
  add_reference(*sweep, a, "files of another fit to give the head's shift against (give it again for each)");
  sweep->add_flag(
      "--uncertainty", a.uncertainty,
      "the mark's uncertainty for every variant, and its band on the charts of the mark; some ten times the work, more "
      "where every variant is another bow");
  add_folder(*sweep, a, "folder for sweep.csv, sweep.json, sweep-summary.json and charts")->required();
  sweep->add_option("--models", a.models, "variants to write as assembly-N.step, parted by commas")
      ->type_name("N,N")
      ->delimiter(',');
  sweep->add_flag("--resume", a.resume, "go on with a sweep that was broken off in this folder");
  sweep->add_option("--part", a.part, "one part of n, for many machines; \"merge\" joins them")->type_name("I/N");
  sweep
      ->add_option("--threads", a.threads,
                   "threads; without it as many as there are cores. The results do not depend on it")
      ->check(CLI::Range(1, 1024))
      ->type_name("N");
  add_results(*sweep, a);
  sweep->footer(sweep_footer());
}

void define_merge(CLI::App& app, Arguments& a) {
  CLI::App* merge =
      app.add_subcommand("merge", "join the parts of a sweep; refuses missing, overlapping or differing ones");
  add_files(*merge, a, "sweep-1-of-4.csv …, each with its .json beside it");
  add_folder(*merge, a, "folder for the whole sweep")->required();
  add_results(*merge, a);
}

}  // namespace peepwright::cli
