// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_fit
#include <benchmark/benchmark.h>

#include "engine/face/face.hpp"
#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

Spec five_marks() {
  Spec spec = test::shop_spec();
  spec.mark_distances = {Length::m(10), Length::m(20), Length::m(30), Length::m(50), Length::m(70)};
  return spec;
}

/// Posture, marks at five distances, longest distance, clearances.
void numeric_fit(benchmark::State& state) {
  const Spec spec = five_marks();
  for (auto _ : state) benchmark::DoNotOptimize(solve_fit(spec));
}
BENCHMARK(numeric_fit)->Unit(benchmark::kMicrosecond);

void posture_alone(benchmark::State& state) {
  const Face face = make_face(five_marks());
  PostureInput input;
  input.leg_angle_rad = Angle::deg(40).rad();
  input.line_down_rad = Angle::deg(2).rad();
  for (auto _ : state) benchmark::DoNotOptimize(solve_posture(face, input));
}
BENCHMARK(posture_alone)->Unit(benchmark::kMicrosecond);

void budget(benchmark::State& state) {
  const Spec spec = five_marks();
  const CoreFit fit = solve_core(spec);
  for (auto _ : state) benchmark::DoNotOptimize(mark_budget(spec, fit));
}
BENCHMARK(budget)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
