// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "cli/command_line.hpp"
#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright::cli {

namespace {

void define_netcdf(CLI::App& command, Arguments& a) {
  command.add_flag(
      "--netcdf", a.netcdf,
      "the table column by column as well, sweep.nc, for tools that read data: NetCDF classic, an open format");
}

}  // namespace

void define_sweep(CLI::App& app, Arguments& a) {
  CLI::App* sweep =
      app.add_subcommand("sweep", "many fits: over ranges of keys and over populations of faces; table, summary");
  sweep
      ->add_option("files", a.files,
                   "TOML files, merged left to right; as they are, they are the reference of the head's shift")
      ->required()
      ->type_name("FILE");
  sweep
      ->add_option("--vary", a.vary,
                   "a key and its range, each value with its unit: bow.axle_to_axle=\"28 in..36 in/0.5 in\"; "
                   "give it again for more keys")
      ->type_name("KEY=FROM..TO/STEP")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  sweep
      ->add_option(
          "--population", a.population,
          "faces: adult-male or adult-female, drawn from the survey's statistics; survey-male or survey-female, its "
          "persons row by row")
      ->type_name("NAME:N[:SEED]");
  sweep
      ->add_option("--latin", a.latin,
                   "N points of a Latin hypercube over the ranges in the place of every combination")
      ->type_name("N[:SEED]");
  sweep
      ->add_option("--reference", a.reference,
                   "files of another fit to give the head's shift against (give it again for each)")
      ->type_name("FILE")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  sweep->add_flag(
      "--uncertainty", a.uncertainty,
      "the mark's uncertainty for every variant, and its band on the charts of the mark; some ten times the work, more "
      "where every variant is another bow");
  sweep->add_option("-o,--output", a.folder, "folder for sweep.csv, sweep.json, sweep-summary.json and charts")
      ->type_name("DIR")
      ->required();
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
  define_netcdf(*sweep, a);
  sweep->add_flag("--strict", a.strict, "exit code 1 when a variant does not clear or cannot be");
  sweep->add_flag("--json", a.json, "print the summary as JSON");
  sweep->add_flag("--quiet", a.quiet, "print nothing but errors");
  sweep->add_option("--units", a.units, "which unit stands first")
      ->check(CLI::IsMember({"mm", "in"}))
      ->capture_default_str();
  add_svg_text(*sweep, a);
  std::string columns = fmt::format(
      "At most {} variants, {} values a key. Columns of sweep.csv, after the varied keys:", SweepPlan::most_variants,
      most_values);
  for (const SweepColumn& column : sweep_columns({}, true))
    columns += fmt::format("\n  {:<24} {}", column.name, column.means);
  sweep->footer(columns);

  CLI::App* merge =
      app.add_subcommand("merge", "join the parts of a sweep; refuses missing, overlapping or differing ones");
  merge->add_option("files", a.files, "sweep-1-of-4.csv …, each with its .json beside it")
      ->required()
      ->type_name("FILE");
  merge->add_option("-o,--output", a.folder, "folder for the whole sweep")->type_name("DIR")->required();
  define_netcdf(*merge, a);
  merge->add_flag("--strict", a.strict, "exit code 1 when a variant does not clear or cannot be");
  merge->add_flag("--json", a.json, "print the summary as JSON");
  merge->add_flag("--quiet", a.quiet, "print nothing but errors");
  merge->add_option("--units", a.units, "which unit stands first")
      ->check(CLI::IsMember({"mm", "in"}))
      ->capture_default_str();
  add_svg_text(*merge, a);
}

}  // namespace peepwright::cli
