// SPDX-License-Identifier: GPL-3.0-or-later
// Wanted: one solve from a neighbouring draw under 5 µs, a full sizing under 5 ms.
#include <benchmark/benchmark.h>

#include "engine/bow/families.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

CatalogueBow off_centre() { return test::shop_bow(0.8, 8); }

void solve_symmetric(benchmark::State& state) {
  const SizedBow b = size_to_catalogue(off_centre());
  double draw = b.full_draw.draw_mm;
  for (auto _ : state) {
    draw = draw > 700 ? draw - 5 : draw + 5;
    benchmark::DoNotOptimize(b.cycle.solve(draw, b.full_draw));
  }
}
BENCHMARK(solve_symmetric);

void solve_whole_bow_with_stretch(benchmark::State& state) {
  const FullDraw b = full_draw_from_catalogue(off_centre());
  double draw = b.full_draw.draw_mm;
  for (auto _ : state) {
    draw = draw > 700 ? draw - 5 : draw + 5;
    benchmark::DoNotOptimize(b.cycle.solve(draw, b.full_draw));
  }
}
BENCHMARK(solve_whole_bow_with_stretch);

void size_symmetric(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(size_to_catalogue(off_centre()));
}
BENCHMARK(size_symmetric)->Unit(benchmark::kMicrosecond);

void size_whole_bow_with_stretch(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(full_draw_from_catalogue(off_centre()));
}
BENCHMARK(size_whole_bow_with_stretch)->Unit(benchmark::kMicrosecond);

void spread_over_families(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(leg_spread(off_centre()));
}
BENCHMARK(spread_over_families)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
