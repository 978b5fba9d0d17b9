// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <filesystem>
#include <future>
#include <iostream>

#include "cli/case.hpp"
#include "cli/command_line.hpp"
#include "cli/drawings.hpp"
#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/format.hpp"
#include "engine/solid/clip_gauge.hpp"
#include "exporters/file/output_set.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/report/draw_report.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/draw_chart.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/sheet/measure_sheet.hpp"
#include "exporters/step/step.hpp"

namespace peepwright::starter {
std::string_view archer_toml();
std::string_view bow_toml();
std::string_view arrow_toml();
}  // namespace peepwright::starter

namespace peepwright::cli {
namespace {

/// A length typed as an option; the message names the option.
std::optional<Length> length_option(const std::string& text, std::string_view option) {
  if (text.empty()) return std::nullopt;
  try {
    return Length::mm(parse_quantity(text, Dimension::length));
  } catch (const Error& e) {
    throw Error(ErrorCode::input, fmt::format("{}: {}", option, e.what()));
  }
}

/// The 1:1 strip in every format, on the paper that was asked for.
void add_strip(const Arguments& a, const FitReport& report, OutputSet& outputs) {
  const StripData strip = strip_of(report, units_of(a), a.date);
  PrinterCorrection correction;
  if (const auto bar = length_option(a.bar_measured_x, "--bar-measured-x")) correction.bar_measured_x_mm = bar->mm();
  if (const auto bar = length_option(a.bar_measured_y, "--bar-measured-y")) correction.bar_measured_y_mm = bar->mm();
  const Paper paper = a.page == "letter" ? Paper::letter : Paper::a4;
  outputs.add("gauge.pdf", strip_pdf(strip, paper, correction));
  int sheet = 0;
  for (std::string& svg : strip_svg(strip, paper, correction, letters_of(a)))
    outputs.add(++sheet == 1 ? "gauge.svg" : fmt::format("gauge-{}.svg", sheet), std::move(svg));
  constexpr int most_sheets = 9;
  while (++sheet <= most_sheets) outputs.retire(fmt::format("gauge-{}.svg", sheet));
  outputs.add("gauge.dxf", strip_dxf(strip));
}

/// The assembly at full draw as STEP, read again and compared before it goes out.
std::string checked_step(const Fit& fit, const std::vector<solid::Part>& parts) {
  StepOptions options;
  if (!fit.spec.bow_label.empty()) options.assembly_name = "peepwright assembly, " + fit.spec.bow_label;
  std::string step = step_text(parts, options);
  check_step(step, parts);
  return step;
}

/// A mesh file of the assembly, read again and compared.
template <auto write, auto check>
std::string checked(const std::vector<NamedMesh>& meshes) {
  std::string bytes = write(meshes);
  check(bytes, meshes);
  return bytes;
}

/// A fit with its solids: all that files of solids and drawings are made of.
struct Solids {
  Fit fit;
  std::vector<solid::Part> parts;
};

Solids solids_of(const Case& job) {
  Fit fit = fit_of(job);
  std::vector<solid::Part> parts = parts_of(fit, job);
  return {std::move(fit), std::move(parts)};
}

/// Solids, picture and sheet of a fit. They take several times as long as the numbers and hang on few of them, so that
/// they are begun first and beside one another. The files come out in one order all the same.
class SolidFiles {
 public:
  SolidFiles(const Arguments& arguments, const Case& job)
      : arguments_(arguments),
        solids_(std::async(std::launch::async, [&job] { return solids_of(job); })),
        scene_(std::async(std::launch::async,
                          [&job, solids = solids_] {
                            const Solids& s = solids.get();
                            return job.scanned ? side_scene(s.fit)
                                               : side_scene(s.fit, s.parts);  // drawn is the parametric head
                          })),
        step_(std::async(std::launch::async,
                         [solids = solids_] { return checked_step(solids.get().fit, solids.get().parts); })),
        view_(std::async(std::launch::async, [&arguments, solids = solids_, scene = scene_] {
          OutputSet view;
          add_side_view(arguments, solids.get().fit, scene.get(), view);
          return view;
        })) {}

  void add_to(OutputSet& outputs, const FitReport& report) {
    std::string glb = checked<glb_bytes, check_glb>(meshes_of(solids_.get().parts));
    OutputSet sheet;
    add_fit_sheet(arguments_, report, scene_.get(), sheet);
    std::string step = step_.get();
    OutputSet view = view_.get();
    // Nothing may fail from here: all of these files or none.
    outputs.add("assembly.step", std::move(step));
    outputs.add("assembly.glb", std::move(glb));
    outputs.add(std::move(view));
    outputs.add(std::move(sheet));
  }

 private:
  const Arguments& arguments_;
  std::shared_future<Solids> solids_;
  std::shared_future<SideScene> scene_;
  std::future<std::string> step_;
  std::future<OutputSet> view_;
};

constexpr const char* clip_gauge_names[] = {"gauge-clip.step", "gauge-clip.stl", "gauge-clip.3mf"};

/// The rigid gauge as STEP, STL and 3MF, each read again and compared. A mark too near the nock for one is no mistake
/// of the user's: then the files of an earlier run go, and the reason comes back in words.
std::string add_clip_gauge(const Fit& fit, OutputSet& outputs) {
  std::vector<solid::Part> parts;
  try {
    parts.push_back(solid::clip_gauge(clip_gauge_of(fit)));
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    for (const char* name : clip_gauge_names) outputs.retire(name);
    return std::string("gauge-clip was left out: ") + e.what();
  }
  StepOptions options;
  options.assembly_name = fmt::format("peepwright clip gauge, mark {:.1f} mm", fit.core.mark_mm);
  options.description = "Clip gauge: from the top of the nock to the peep";
  std::string step = step_text(parts, options);
  check_step(step, parts);
  const auto meshes = meshes_of(parts);
  std::string stl = stl_bytes(meshes), threemf = threemf_bytes(meshes);
  check_stl(stl, meshes);
  check_threemf(threemf, meshes);
  outputs.add("gauge-clip.step", std::move(step));
  outputs.add("gauge-clip.stl", std::move(stl));
  outputs.add("gauge-clip.3mf", std::move(threemf));
  return {};
}

}  // namespace

int run_fit(const Arguments& a) {
  const Case job = read_case(a.files, a.date);
  std::optional<Spec> reference;
  if (!a.reference.empty()) reference = read_case(a.reference).spec;
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
      // The mark and the strip do not hang on the picture of it.
      fault = std::string("solids and drawings were left out: ") + e.what();
    }
    // The rigid gauge takes seconds to engrave, so it is for `gauge --clip` alone; one of an earlier mark must not stay
    // beside this fit.
    for (const char* name : clip_gauge_names) outputs.retire(name);
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
  auto step = std::async(std::launch::async, [&] { return checked_step(solids.fit, solids.parts); });
  const auto meshes = meshes_of(solids.parts);
  std::string glb = checked<glb_bytes, check_glb>(meshes), stl = checked<stl_bytes, check_stl>(meshes),
              threemf = checked<threemf_bytes, check_threemf>(meshes);
  OutputSet outputs;
  outputs.add("assembly.step", step.get());
  outputs.add("assembly.glb", std::move(glb));
  outputs.add("assembly.stl", std::move(stl));
  outputs.add("assembly.3mf", std::move(threemf));
  outputs.write(a.folder);
  say_written(a, outputs);
  return 0;
}

int run_gauge(const Arguments& a) {
  const FitReport report = report_of(read_case(a.files, a.date), std::nullopt);
  OutputSet outputs;
  add_strip(a, report, outputs);
  std::string left_out;
  if (a.clip) left_out = add_clip_gauge(report.fit, outputs);
  else
    for (const char* name : clip_gauge_names) outputs.retire(name);
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
  Spec spec = read_case(a.files).spec;
  use_draw_cycle(spec);
  TiedReading reading;
  reading.mark = length_option(a.mark, "--mark");
  reading.height_full_draw = length_option(a.height, "--height");
  reading.eye_to_arrow = length_option(a.eye_to_arrow, "--eye-to-arrow");
  reading.comfortable = a.comfortable;
  const Verification verification = verify_tied(spec, reading);
  std::cout << (a.json ? verification_json(verification) : verification_text(verification, units_of(a)));
  return 0;
}

int run_draw(const Arguments& a) {
  const DrawReport report = make_draw_report(read_spec(a.files), units_of(a));
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
  if (!a.folder.empty()) say_notes(a, label_notes(report.spec));
  if (!a.folder.empty()) say_written(a, outputs);
  return 0;
}

int run_new(const Arguments& a) {
  OutputSet outputs;
  outputs.add("archer.toml", std::string(starter::archer_toml()));
  outputs.add("bow.toml", std::string(starter::bow_toml()));
  outputs.add("arrow.toml", std::string(starter::arrow_toml()));
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

int run_keys() {
  // Distances in metres, weights in pounds as well: what a person would type.
  const auto unit_of = [](const KeyInfo& row) {
    return row.dimension == Dimension::length && row.most > 2000 ? std::string_view("m") : shown_unit(row.dimension);
  };
  const auto shown = [&](double value, const KeyInfo& row) {
    const double v = shown_value(value, row.dimension) / (unit_of(row) == "m" ? 1000 : 1);
    return row.dimension == Dimension::force ? fmt::format("{:.4g} ({:.3g} lbf)", v, Force::n(v).lbf())
                                             : fmt::format("{:.6g}", v);
  };
  for (const TextKeyInfo& row : text_keys())
    std::cout << fmt::format("{}\n    {}\n    accepted: {}\n", row.path, row.help, row.accepted);
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    std::cout << fmt::format("{}\n    {}\n    accepted: {} to {} {}", row.path, row.help, shown(row.least, row),
                             shown(row.most, row), unit_of(row));
    if (row.absence == Absence::assumed)
      std::cout << fmt::format("; assumed {} ± {} ({})", shown(row.fallback, row), shown(row.assumed_uncertainty, row),
                               row.reason);
    else if (row.absence == Absence::chosen)
      std::cout << fmt::format("; {} unless you choose", shown(row.fallback, row));
    else if (row.absence == Absence::required) std::cout << "; needed";
    if (row.measured_uncertainty > 0)
      std::cout << fmt::format("; measured to ± {} (one standard uncertainty)", shown(row.measured_uncertainty, row));
    std::cout << '\n';
  }
  std::cout
      << "uncertainty.KEY\n    replaces the standard uncertainty of any measured or assumed key, in the key's unit\n";
  std::cout << "    also of the face statistics:";
  for (const KeyInfo& row : all_keys())
    if (row.absence == Absence::hidden) std::cout << "\n      uncertainty." << row.path;
  std::cout << '\n';
  return 0;
}

}  // namespace peepwright::cli
