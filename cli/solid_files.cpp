// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/solid_files.hpp"

#include <fmt/format.h>

#include "cli/drawings.hpp"
#include "engine/clearance/on_solids.hpp"
#include "engine/solid/clip_gauge.hpp"
#include "exporters/sheet/warnings.hpp"

namespace peepwright::cli {
namespace {

template <auto write, auto check>
std::string checked(const std::vector<NamedMesh>& meshes) {
  std::string bytes = write(meshes);
  check(bytes, meshes);
  return bytes;
}

}  // namespace

std::string checked_step(const std::vector<solid::Part>& parts, const StepOptions& options) {
  std::string step = step_text(parts, options);
  check_step(step, parts);
  return step;
}

std::string checked_glb(const std::vector<NamedMesh>& meshes) { return checked<glb_bytes, check_glb>(meshes); }
std::string checked_stl(const std::vector<NamedMesh>& meshes) { return checked<stl_bytes, check_stl>(meshes); }
std::string checked_threemf(const std::vector<NamedMesh>& meshes) {
  return checked<threemf_bytes, check_threemf>(meshes);
}

Solids solids_of(const Case& job) {
  Fit fit = fit_of(job);
  std::vector<solid::Part> parts = parts_of(fit, job);
  return {std::move(fit), std::move(parts)};
}

std::string assembly_step(const Solids& solids) {
  StepOptions options;
  const std::string& bow = solids.fit.spec.bow_label;
  if (!bow.empty()) options.assembly_name = "peepwright assembly, " + bow;
  return checked_step(solids.parts, options);
}

SolidFiles::SolidFiles(const Arguments& arguments, const Case& job)
    : arguments_(arguments),
      solids_(std::async(std::launch::async, [&job] { return solids_of(job); })),
      scene_(std::async(std::launch::async,
                        [&job, solids = solids_] {
                          const Solids& s = solids.get();
                          return job.scanned ? side_scene(s.fit)
                                             : side_scene(s.fit, s.parts);  // drawn is the parametric head
                        })),
      step_(std::async(std::launch::async, [solids = solids_] { return assembly_step(solids.get()); })) {}

void SolidFiles::add_to(OutputSet& outputs, const FitReport& report) {
  auto view_made = std::async(std::launch::async, [this, &report, solids = solids_, scene = scene_] {
    OutputSet view;
    add_side_view(arguments_, solids.get().fit, scene.get(), warnings_of(report, units_of(arguments_)), view);
    return view;
  });
  std::string glb = checked_glb(meshes_of(solids_.get().parts));
  OutputSet sheet;
  add_fit_sheet(arguments_, report, scene_.get(), sheet);
  std::string step = step_.get();
  OutputSet view = view_made.get();
  // Nothing may fail from here.
  outputs.add("assembly.step", std::move(step));
  outputs.add("assembly.glb", std::move(glb));
  outputs.add(std::move(view));
  outputs.add(std::move(sheet));
}

void retire_solid_files(OutputSet& outputs) {
  for (const char* name :
       {"assembly.step", "assembly.glb", "side-view.pdf", "side-view.svg", "side-view.png", "fit-sheet.pdf"})
    outputs.retire(name);
}

std::string add_clip_gauge(const Fit& fit, OutputSet& outputs) {
  std::vector<solid::Part> parts;
  try {
    parts.push_back(solid::clip_gauge(clip_gauge_of(fit)));
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    retire_clip_gauge(outputs);
    return std::string("gauge-clip was left out: ") + e.what();
  }
  StepOptions options;
  options.assembly_name = fmt::format("peepwright clip gauge, mark {:.1f} mm", fit.core.mark_mm);
  options.description = "Clip gauge: from the top of the nock to the peep";
  std::string step = checked_step(parts, options);
  const auto meshes = meshes_of(parts);
  std::string stl = checked_stl(meshes), threemf = checked_threemf(meshes);
  outputs.add("gauge-clip.step", std::move(step));
  outputs.add("gauge-clip.stl", std::move(stl));
  outputs.add("gauge-clip.3mf", std::move(threemf));
  return {};
}

void retire_clip_gauge(OutputSet& outputs) {
  for (const char* name : {"gauge-clip.step", "gauge-clip.stl", "gauge-clip.3mf"}) outputs.retire(name);
}

}  // namespace peepwright::cli
