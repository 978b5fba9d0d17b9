// SPDX-License-Identifier: GPL-3.0-or-later
// Solids and exporters as installed: one fit's STEP, and the sizes of its GLB and its strip.
#include <cstdio>

#include "engine/clearance/on_solids.hpp"
#include "engine/solid/assembly.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/step/step.hpp"

int main(int argc, char** argv) {
  try {
    using namespace peepwright;
    const FitReport report = make_report(read_spec({argv + 1, argv + argc}), std::nullopt);
    const auto parts = solid::assembly_parts(solid::HeadModel(report.fit.core.face), assembly_of(report.fit));
    check_step(step_text(parts), parts);
    std::printf("%zu %zu\n", glb_bytes(meshes_of(parts)).size(),
                strip_pdf(strip_of(report, PaperUnits::millimetres, ""), Paper::a4, {}).size());
    return 0;
  } catch (const peepwright::Error& wrong) {
    std::fprintf(stderr, "%s\n", wrong.what());
    return static_cast<int>(wrong.code());
  }
}
