// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_kernel. The same job in one run, by this engine and as it would be scripted on the plain
// geometry kernel: solids of head, string and arrow, and BRepExtrema_DistShapeShape between them. Both start from the
// same numeric fit, which is paid by both.
#include <fmt/format.h>

#include <algorithm>
#include <ctime>

#include "engine/clearance/on_solids.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/parts.hpp"
#include "engine/sweep/plan.hpp"
#include "tests/shared/shop_bow.hpp"

namespace {

using namespace peepwright;
namespace so = peepwright::solid;

struct Job {
  so::Rod string, arrow, serving;
};

Job job_of(const Fit& fit) {
  const so::AssemblyInput in = assembly_of(fit);
  const so::FitBodies bodies = so::fit_bodies(in);
  const so::Pose to_head = in.head.inverse();
  const auto placed = [&](const so::Rod& rod) { return so::Rod{to_head(rod.from), to_head(rod.to), rod.radius_mm}; };
  return {placed(bodies.upper_leg), placed(bodies.shaft), placed(bodies.upper_serving)};
}

struct Timed {
  double by_kernel_ms = 0, by_engine_ms = 0;
};

double milliseconds_since(std::clock_t begin) { return 1e3 * double(std::clock() - begin) / CLOCKS_PER_SEC; }

/// Processor time of one variant each way. The whole face counts for both: the kernel knows no patches.
Timed timed(const SweepPlan& plan, bool new_heads) {
  Timed out;
  double farther = 0, nearer = 0;
  std::vector<double> by_kernel;
  std::optional<so::Shape> solid;
  std::clock_t begin = std::clock();
  for (std::uint64_t i = 0; i < plan.size(); ++i) {
    const Fit fit = solve_fit(plan.spec_at(i));
    if (new_heads || !solid) solid = so::head_solid(so::skin_of(so::HeadShape(fit.core.face)));
    const Job job = job_of(fit);
    for (const so::Rod* rod : {&job.string, &job.arrow, &job.serving})
      by_kernel.push_back(solid->exact_distance_mm(so::rod_solid(*rod)));
  }
  out.by_kernel_ms = milliseconds_since(begin) / double(plan.size());

  constexpr int turns = 20;  // the engine is too fast for the clock otherwise
  begin = std::clock();
  for (int turn = 0; turn < turns; ++turn) {
    std::optional<so::HeadModel> head;
    for (std::uint64_t i = 0; i < plan.size(); ++i) {
      const Fit fit = solve_fit(plan.spec_at(i));
      if (new_heads || !head) head.emplace(fit.core.face);
      const Job job = job_of(fit);
      std::size_t k = 3 * i;
      for (const so::Rod* rod : {&job.string, &job.arrow, &job.serving}) {
        const double distance = head->to(*rod, so::FacePatch::whole).distance_mm;
        const double more = std::max(distance, 0.0) - by_kernel[k++];
        farther = std::max(farther, more), nearer = std::max(nearer, -more);
      }
    }
  }
  out.by_engine_ms = milliseconds_since(begin) / double(turns) / double(plan.size());
  // Both name real points of the two solids, so that the lesser of two distances is the better one.
  fmt::print("  distances of bodies apart: at most {:.4f} mm farther than the kernel's, at most {:.4f} mm nearer\n",
             farther, nearer);
  return out;
}

void compare(const char* name, const SweepPlan& plan, bool new_heads) {
  fmt::print("{}, {} variants, three distances each:\n", name, plan.size());
  const Timed t = timed(plan, new_heads);
  fmt::print("  plain kernel {:.1f} ms a variant, this engine {:.3f} ms: {:.0f} times as fast\n", t.by_kernel_ms,
             t.by_engine_ms, t.by_kernel_ms / t.by_engine_ms);
}

}  // namespace

int main() {
  const Spec bow = peepwright::test::shop_spec();
  compare("shared head", SweepPlan(bow, {parse_variation("archer.face.eye_to_arrow=85 mm..105 mm/1 mm")}, std::nullopt),
          false);
  compare("a face of its own", SweepPlan(bow, {}, Population("adult-male:20")), true);
}
