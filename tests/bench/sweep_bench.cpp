// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_sweep. Wanted on two cores: 20 000 variants a second where the head is shared, 2 000 where each
// has a face of its own. `items_per_second` is variants over wall time; rows are counted, not written.
#include <benchmark/benchmark.h>

#include "engine/sweep/run.hpp"
#include "exporters/sweep/sweep_csv.hpp"

namespace peepwright {
namespace {

Spec bow() {
  return parse_spec({{"bow.toml", "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 1/2 in\"\n"}});
}

void run(benchmark::State& state, const SweepPlan& plan) {
  const Evaluator evaluator(plan, plan.base());
  const auto text = [&](const std::vector<SweepRow>& rows) { return csv_rows(rows, plan.keys(), false); };
  std::size_t bytes = 0;
  const auto sink = [&](const std::string& rows, std::uint64_t) { bytes += rows.size(); };
  for (auto _ : state) run_sweep(evaluator, {0, plan.size()}, text, sink, {static_cast<unsigned>(state.range(0)), nullptr});
  benchmark::DoNotOptimize(bytes);
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(plan.size()));
}

/// One face and one bow; the sight's extension varies.
void shared_head(benchmark::State& state) {
  run(state, SweepPlan(bow(), {parse_variation("sight.extension=100 mm..250 mm/0.15 mm")}, std::nullopt));
}
BENCHMARK(shared_head)->Arg(1)->Arg(2)->UseRealTime()->MeasureProcessCPUTime()->Unit(benchmark::kMillisecond);

void face_of_its_own(benchmark::State& state) { run(state, SweepPlan(bow(), {}, Population("adult-male:1000"))); }
BENCHMARK(face_of_its_own)->Arg(1)->Arg(2)->UseRealTime()->MeasureProcessCPUTime()->Unit(benchmark::kMillisecond);

/// Every variant another bow: the draw cycle, without its spread.
void bow_of_its_own(benchmark::State& state) {
  run(state, SweepPlan(bow(), {parse_variation("bow.axle_to_axle=30 in..36 in/0.2 mm")}, std::nullopt));
}
BENCHMARK(bow_of_its_own)->Arg(1)->Arg(2)->UseRealTime()->MeasureProcessCPUTime()->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
