// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/drawings.hpp"

#include <iostream>

#include "engine/bow/draw_estimate.hpp"
#include "engine/clearance/on_solids.hpp"
#include "exporters/report/report.hpp"

namespace peepwright::cli {
namespace {

/// What a screen shows at full size; for print there are PDF and SVG.
constexpr double png_dots_per_inch = 200;

/// The fit alone, with clearances between solids; no budget.
Fit fit_of(const std::vector<std::string>& files) {
  Spec spec = read_spec(files);
  use_draw_cycle(spec);
  Fit fit = solve_fit(spec);
  fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face));
  return fit;
}

std::string program() { return "peepwright " + std::string(version()); }

}  // namespace

PaperUnits units_of(const Arguments& a) { return a.units == "in" ? PaperUnits::inches : PaperUnits::millimetres; }

void say_written(const Arguments& a, const OutputSet& outputs) {
  if (a.quiet || a.json) return;
  std::cout << "\nWritten to " << a.folder << ":";
  for (const std::string& name : outputs.names()) std::cout << ' ' << name;
  std::cout << '\n';
}

void add_drawing(const std::string& name, const std::string& title, const Canvas& canvas, OutputSet& outputs) {
  outputs.add(name + ".pdf", canvas.pdf({title, program()}));
  outputs.add(name + ".svg", canvas.svg(0));
  outputs.add(name + ".png", canvas.png(0, png_dots_per_inch));
}

void add_side_view(const Arguments& a, const Fit& fit, const SideScene& scene, OutputSet& outputs) {
  add_drawing("side-view", "Peep sight, side view", side_view(fit, scene, {a.page, units_of(a), a.date, program()}), outputs);
}

int run_view(const Arguments& a) {
  const Fit fit = fit_of(a.files);
  OutputSet outputs;
  add_side_view(a, fit, side_scene(fit), outputs);
  outputs.write(a.folder);
  say_written(a, outputs);
  return 0;
}

}  // namespace peepwright::cli
