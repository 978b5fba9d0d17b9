// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <filesystem>
#include <future>
#include <iostream>

#include "cli/case.hpp"
#include "cli/command_line.hpp"
#include "cli/drawings.hpp"
#include "cli/solid_files.hpp"
#include "cli/starter.hpp"
#include "engine/quantity/format.hpp"
#include "exporters/file/output_set.hpp"
#include "exporters/report/draw_report.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/draw_chart.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/sheet/measure_sheet.hpp"

namespace peepwright::starter {
std::string_view archer_toml();
std::string_view bow_toml();
std::string_view arrow_toml();
}  // namespace peepwright::starter

namespace peepwright::cli {
namespace {

/// A length typed as an option, in mm, and the unit that was typed; the message names the option.
std::optional<WrittenQuantity> length_option(const std::string& text, std::string_view option) {
  if (text.empty()) return std::nullopt;
  try {
    return parse_written(text, Dimension::length);
  } catch (const Error& e) {
    throw Error(ErrorCode::input, fmt::format("{}: {}", option, e.what()));
  }
}

/// The 1:1 strip in every format, on the paper that was asked for.
void add_strip(const Arguments& a, const FitReport& report, OutputSet& outputs) {
  const StripData strip = strip_of(report, units_of(a), a.date);
  PrinterCorrection correction;
  if (const auto bar = length_option(a.bar_measured_x, "--bar-measured-x")) correction.bar_measured_x_mm = bar->value;
  if (const auto bar = length_option(a.bar_measured_y, "--bar-measured-y")) correction.bar_measured_y_mm = bar->value;
  if (!a.bar_measured_x.empty() && a.bar_measured_y.empty())
    throw Error(
        ErrorCode::input,
        "--bar-measured-x is of the bar across the page, and the mark runs along it: measure that bar as well and "
        "give --bar-measured-y");
  const Paper paper = a.page == "letter" ? Paper::letter : Paper::a4;
  outputs.add("gauge.pdf", strip_pdf(strip, paper, correction));
  int sheet = 0;
  for (std::string& svg : strip_svg(strip, paper, correction, letters_of(a)))
    outputs.add(++sheet == 1 ? "gauge.svg" : fmt::format("gauge-{}.svg", sheet), std::move(svg));
  constexpr int most_sheets = 9;
  while (++sheet <= most_sheets) outputs.retire(fmt::format("gauge-{}.svg", sheet));
  outputs.add("gauge.dxf", strip_dxf(strip));
}

}  // namespace

int run_fit(const Arguments& a) {
  const Case job = read_case(a.files, a.date, units_of(a));
  std::optional<Spec> reference;
  if (!a.reference.empty()) reference = read_reference(a.reference, job.spec);
  std::optional<SolidFiles> solids;
  if (!a.folder.empty()) solids.emplace(a, job);
  const FitReport report = report_of(job, reference);
  const std::string json = report_json(report);
  OutputSet outputs;
  std::string fault;
  if (!a.folder.empty()) {
    outputs.add("fit.json", json);
    add_strip(a, report, outputs);
    try {
      solids->add_to(outputs, report);
    } catch (const Error& e) {
      if (e.code() == ErrorCode::input) throw;  // numbers that no bow or face has: nothing is written
      // The mark and the strip do not hang on the picture of it.
      fault = std::string("solids and drawings were left out: ") + e.what();
      retire_solid_files(outputs);
    }
    // The rigid gauge takes seconds to engrave, so it is for `gauge --clip` alone; one of an earlier mark must not stay
    // beside this fit.
    retire_clip_gauge(outputs);
    outputs.write(a.folder);
  }
  if (a.json) std::cout << json;
  else if (!a.quiet) std::cout << report_text(report, units_of(a));
  if (!a.folder.empty()) say_written(a, outputs);
  if (!fault.empty()) throw Error(ErrorCode::internal, fault);
  return a.strict && !report.fit.all_met() ? 1 : 0;
}

int run_model(const Arguments& a) {
  const Case job = read_case(a.files);
  const Solids solids = solids_of(job);
  auto step = std::async(std::launch::async, [&] { return assembly_step(solids); });
  const auto meshes = meshes_of(solids.parts);
  std::string glb = checked_glb(meshes), stl = checked_stl(meshes), threemf = checked_threemf(meshes);
  OutputSet outputs;
  outputs.add("assembly.step", step.get());
  outputs.add("assembly.glb", std::move(glb));
  outputs.add("assembly.stl", std::move(stl));
  outputs.add("assembly.3mf", std::move(threemf));
  outputs.write(a.folder);
  say_notes(a, job.notes);
  say_written(a, outputs);
  return 0;
}

int run_gauge(const Arguments& a) {
  const FitReport report = report_of(read_case(a.files, a.date, units_of(a)), std::nullopt);
  OutputSet outputs;
  add_strip(a, report, outputs);
  std::string left_out;
  if (a.clip) left_out = add_clip_gauge(report.fit, outputs);
  else retire_clip_gauge(outputs);
  outputs.write(a.folder);
  if (!left_out.empty() && !a.quiet) std::cerr << "peepwright: " << left_out << '\n';
  if (!a.quiet)
    std::cout << "MARK  " << both_text(Length::mm(report.fit.core.mark_mm), units_of(a)) << ", give or take "
              << both_text(Length::mm(report.budget.expanded_mm()), units_of(a)) << " (k = 2)\n";
  say_notes(a, notes_in(report, units_of(a)));
  say_written(a, outputs);
  return 0;
}

int run_verify(const Arguments& a) {
  const Case job = read_case(a.files);
  Spec spec = job.spec;
  use_draw_cycle(spec);
  TiedReading reading;
  const auto read = [](const std::string& text, std::string_view option, std::optional<Length>& value,
                       ReadingWords& words) {
    const auto written = length_option(text, option);
    if (written) value = Length::mm(written->value);
    words = {option, written ? written->unit : ""};
  };
  read(a.mark, "--mark", reading.mark, reading.mark_words);
  read(a.height, "--height", reading.height_full_draw, reading.height_words);
  read(a.eye_to_arrow, "--eye-to-arrow", reading.eye_to_arrow, reading.eye_words);
  reading.comfortable = a.comfortable;
  const Verification verification = verify_tied(spec, reading);
  std::cout << (a.json ? verification_json(verification) : verification_text(verification, units_of(a)));
  say_notes(a, job.notes);
  return 0;
}

int run_draw(const Arguments& a) {
  const Case job = read_case(a.files);
  const DrawReport report = make_draw_report(job.spec, units_of(a));
  const std::string json = draw_json(report);
  OutputSet outputs;
  if (!a.folder.empty()) {
    outputs.add("draw.json", json);
    outputs.add("draw.csv", draw_csv(report));
    add_drawing(a, "draw-force", "Draw-force curve", draw_force_chart(report, units_of(a)), outputs);
    outputs.write(a.folder);
  }
  if (a.json) std::cout << json;
  else if (!a.quiet) std::cout << draw_text(report, units_of(a));
  say_notes(a, job.notes);
  if (!a.folder.empty()) say_written(a, outputs);
  return 0;
}

int run_new(const Arguments& a) {
  OutputSet outputs;
  outputs.add("archer.toml", starter_text(starter::archer_toml(), a.starter_units));
  outputs.add("bow.toml", starter_text(starter::bow_toml(), a.starter_units));
  outputs.add("arrow.toml", starter_text(starter::arrow_toml(), a.starter_units));
  const std::string program = "peepwright " + std::string(version());
  outputs.add("measure-sheet.pdf", measure_sheet({a.page, program}).pdf({"Peep sight, measuring sheet", program}));
  for (const std::string& name : outputs.names()) {
    const auto path = std::filesystem::path(a.folder) / name;
    std::error_code status;
    if (std::filesystem::exists(std::filesystem::symlink_status(path, status)))
      throw Error(ErrorCode::input, path.string() + ": is there already and was left alone; give another folder");
  }
  outputs.write(a.folder);
  std::cout << "Written: " << a.folder
            << "/archer.toml, bow.toml, arrow.toml, and measure-sheet.pdf to measure with. Edit them, then:\n  "
               "peepwright fit "
            << a.folder << "/archer.toml " << a.folder << "/bow.toml " << a.folder << "/arrow.toml -o " << a.folder
            << '\n';
  return 0;
}

}  // namespace peepwright::cli
