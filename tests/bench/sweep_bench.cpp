// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_sweep. Wanted on two cores: 20 000 variants a second where the head is shared, 2 000 where
// each has a face of its own, of a numeric fit with three clearances to the skin; that is 100 and 1000 µs of processor
// time a variant. `items_per_second` is variants over wall time, CPU is that of all threads; rows are counted, not
// written.
#include <benchmark/benchmark.h>

#include <thread>

#include "engine/sweep/run.hpp"
#include "exporters/sweep/sweep_csv.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

/// One face and one bow; the sight's extension varies, or where on the face the arrow lies.
SweepPlan one_face() {
  return {test::shop_spec(), {parse_variation("sight.extension=100 mm..250 mm/0.15 mm")}, std::nullopt};
}
SweepPlan one_face_moved() {
  return {test::shop_spec(), {parse_variation("archer.face.eye_to_arrow=80 mm..110 mm/0.03 mm")}, std::nullopt};
}
SweepPlan faces() { return {test::shop_spec(), {}, Population("adult-male:1000")}; }

/// A numeric fit and how far string and nose, arrow and chin, string and mouth corner are apart.
double fit_with_three_clearances(const Spec& spec, std::shared_ptr<const solid::HeadModel>& head, bool new_head) {
  const Fit fit = solve_fit(spec);
  if (new_head || !head) head = std::make_shared<const solid::HeadModel>(fit.core.face);
  const solid::AssemblyInput in = assembly_of(fit);
  const solid::FitBodies bodies = solid::fit_bodies(in);
  const solid::Pose to_head = in.head.inverse();
  const auto gap = [&](const solid::Rod& rod, solid::FacePatch patch) {
    return head->to({to_head(rod.from), to_head(rod.to), rod.radius_mm}, patch).distance_mm;
  };
  return fit.core.mark_mm + gap(bodies.upper_leg, solid::FacePatch::nose) + gap(bodies.shaft, solid::FacePatch::chin) +
         gap(bodies.upper_serving, solid::FacePatch::right_mouth_corner);
}

void three_clearances(benchmark::State& state, const SweepPlan& plan) {
  const auto count = static_cast<std::uint64_t>(state.range(0));
  const auto work = [&](std::uint64_t part) {
    std::shared_ptr<const solid::HeadModel> head;
    const Slice slice = slice_of(plan.size(), part, count);
    for (std::uint64_t i = slice.first; i < slice.last; ++i)
      benchmark::DoNotOptimize(fit_with_three_clearances(plan.spec_at(i), head, plan.population().has_value()));
  };
  for (auto _ : state) {
    std::vector<std::jthread> threads;
    for (std::uint64_t part = 1; part <= count; ++part) threads.emplace_back(work, part);
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(plan.size()));
}

void three_clearances_shared_head(benchmark::State& state) { three_clearances(state, one_face()); }
void three_clearances_shared_head_moved(benchmark::State& state) { three_clearances(state, one_face_moved()); }
void three_clearances_face_of_its_own(benchmark::State& state) { three_clearances(state, faces()); }

/// Whole rows: six clearances, draw cycle where bows differ, and their text.
void rows(benchmark::State& state, const SweepPlan& plan) {
  const Evaluator evaluator(plan, plan.base());
  const auto text = [&](const std::vector<SweepRow>& solved) { return csv_rows(solved, plan.keys(), false); };
  std::size_t bytes = 0;
  const auto sink = [&](const std::string& lines, std::uint64_t) { bytes += lines.size(); };
  for (auto _ : state)
    run_sweep(evaluator, {0, plan.size()}, text, sink, {static_cast<unsigned>(state.range(0)), nullptr});
  benchmark::DoNotOptimize(bytes);
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(plan.size()));
}

void rows_shared_head(benchmark::State& state) { rows(state, one_face()); }
void rows_face_of_its_own(benchmark::State& state) { rows(state, faces()); }
/// Every variant another bow: the draw cycle, without its spread.
void rows_bow_of_its_own(benchmark::State& state) {
  rows(state, SweepPlan(test::shop_spec(), {parse_variation("bow.axle_to_axle=30 in..36 in/0.2 mm")}, std::nullopt));
}

void in_threads(benchmark::internal::Benchmark* b) {
  b->Arg(1)->Arg(2)->UseRealTime()->MeasureProcessCPUTime()->Unit(benchmark::kMillisecond);
}
BENCHMARK(three_clearances_shared_head)->Apply(in_threads);
BENCHMARK(three_clearances_shared_head_moved)->Apply(in_threads);
BENCHMARK(three_clearances_face_of_its_own)->Apply(in_threads);
BENCHMARK(rows_shared_head)->Apply(in_threads);
BENCHMARK(rows_face_of_its_own)->Apply(in_threads);
BENCHMARK(rows_bow_of_its_own)->Apply(in_threads);

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
