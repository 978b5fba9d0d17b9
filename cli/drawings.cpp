// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/drawings.hpp"

#include <iostream>

#include "cli/case.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/fit_sheet.hpp"
#include "exporters/sheet/warnings.hpp"
#include "exporters/view/compare.hpp"

namespace peepwright::cli {
namespace {

/// What a screen shows at full size; for print there are PDF and SVG.
constexpr double png_dots_per_inch = 150;

std::string program() { return "peepwright " + std::string(version()); }

}  // namespace

PaperUnits units_of(const Arguments& a) { return a.units == "in" ? PaperUnits::inches : PaperUnits::millimetres; }

void say_written(const Arguments& a, const OutputSet& outputs) {
  if (a.quiet || a.json) return;
  std::cout << "\nWritten to " << a.folder << ":";
  for (const std::string& name : outputs.names()) std::cout << ' ' << name;
  std::cout << '\n';
}

void say_notes(const Arguments& a, const std::vector<std::string>& notes) {
  if (a.quiet || a.json) return;
  for (const std::string& note : notes) std::cout << "Mind: " << note << ".\n";
}

SvgLetters letters_of(const Arguments& a) { return a.svg_text ? SvgLetters::text : SvgLetters::outlines; }

void add_drawing(const Arguments& a, const std::string& name, const std::string& title, const Canvas& canvas,
                 OutputSet& outputs) {
  outputs.add(name + ".pdf", canvas.pdf({title, program()}));
  outputs.add(name + ".svg", canvas.svg(0, letters_of(a)));
  outputs.add(name + ".png", canvas.png(0, png_dots_per_inch));
}

void add_side_view(const Arguments& a, const Fit& fit, const SideScene& scene, const std::vector<Warning>& warnings,
                   OutputSet& outputs) {
  add_drawing(a, "side-view", "Peep sight, side view",
              side_view(fit, scene, {a.page, units_of(a), a.date, program(), warnings}), outputs);
}

void add_fit_sheet(const Arguments& a, const FitReport& report, const SideScene& scene, OutputSet& outputs) {
  const Canvas sheet = fit_sheet(report, scene, {a.page, units_of(a), a.date, program()});
  outputs.add("fit-sheet.pdf", sheet.pdf({"Peep sight, fit sheet", program()}));
}

int run_view(const Arguments& a) {
  const Case job = read_case(a.files, a.date, units_of(a));
  const Fit fit = fit_of(job);
  OutputSet outputs;
  add_side_view(a, fit, side_scene(fit), warnings_of(report_of(job, std::nullopt), units_of(a)), outputs);
  outputs.write(a.folder);
  say_notes(a, job.notes);
  say_written(a, outputs);
  return 0;
}

namespace {

/// What the comparison's two fits forbid; without --b those are the peep as it is tied and as it should be.
std::vector<Warning> forbidden(const Arguments& a, const Case& first, const Case& second) {
  const FitReport report = report_of(first, std::nullopt);
  const auto of = [&](const FitReport& one) { return warnings_of(one, units_of(a)); };
  if (a.files_b.empty()) return warnings_of_two(of(report_on_tied(report)), of(report_on_better(report)));
  return warnings_of_two(of(report), of(report_of(second, std::nullopt)));
}

}  // namespace

int run_compare(const Arguments& a) {
  const Case first = read_case(a.files, a.date, units_of(a));
  if (a.files_b.empty() && !first.spec.has(Key::tied_mark))
    throw Error(ErrorCode::input,
                "compare: give --b a second fit, or --a one with a peep that is tied (peep.tied.mark)");
  const Fit fit_a = fit_of(first, a.files_b.empty() ? Peep::tied : Peep::to_place);
  const Case second = a.files_b.empty() ? first : read_case(a.files_b, {}, units_of(a));
  const Fit fit_b = fit_of(second);
  const std::string text = comparison_text(fit_a, fit_b, units_of(a));  // refuses what no drawing can be made of either
  const std::vector<Warning> warnings = forbidden(a, first, second);
  OutputSet outputs;
  if (!a.folder.empty()) {
    const Canvas sheet = comparison_sheet(fit_a, side_scene(fit_a), fit_b, side_scene(fit_b),
                                          {a.page, units_of(a), a.date, program(), warnings});
    add_drawing(a, "compare", "Peep sight, comparison", sheet, outputs);
    outputs.write(a.folder);
  }
  if (!a.quiet) {
    for (const Warning& w : warnings) std::cout << w.headline << (w.why.empty() ? "" : ": ") << w.why << '\n';
    std::cout << (warnings.empty() ? "" : "\n") << text;
  }
  say_notes(a, first.notes);
  if (!a.files_b.empty()) say_notes(a, second.notes);
  if (!a.folder.empty()) say_written(a, outputs);
  return 0;
}

}  // namespace peepwright::cli
