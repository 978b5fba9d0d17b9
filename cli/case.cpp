// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/case.hpp"

#include "engine/bow/draw_estimate.hpp"
#include "engine/clearance/on_solids.hpp"
#include "engine/scan/head_scan.hpp"

namespace peepwright::cli {

Case read_case(const std::vector<std::string>& files) {
  Case out{read_spec(files), nullptr, {}};
  if (auto scan = scan::take_scan(out.spec)) {
    out.scanned = std::move(scan->surface);
    out.notes = std::move(scan->notes);
  }
  return out;
}

Fit fit_of(const Case& job, Peep peep) {
  Spec spec = job.spec;
  if (const auto drawn = draw_assumptions(spec, DrawDetail::angle_alone)) put(*drawn, spec);
  Fit fit = solve_fit(spec, peep);
  fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face, job.scanned));
  return fit;
}

FitReport report_of(const Case& job, const std::optional<Spec>& reference) {
  FitReport report = make_report(job.spec, reference, job.scanned);
  report.notes.insert(report.notes.end(), job.notes.begin(), job.notes.end());
  return report;
}

std::vector<solid::Part> parts_of(const Fit& fit, const Case& job) {
  return solid::assembly_parts(solid::HeadModel(fit.core.face, job.scanned), assembly_of(fit));
}

}  // namespace peepwright::cli
