// SPDX-License-Identifier: GPL-3.0-or-later
// Wanted: one solve from a neighbouring draw under 5 µs, a full sizing under 5 ms.
#include <benchmark/benchmark.h>

#include "engine/bow/families.hpp"

namespace peepwright {
namespace {

CatalogueBow shop_bow() {
  CatalogueBow b;
  b.axle_to_axle_mm = 33 * unit::inch_mm;
  b.brace_height_mm = 6.75 * unit::inch_mm;
  b.draw_length_to_pivot_mm = 27.75 * unit::inch_mm;
  b.peak_weight_n = 60 * unit::pound_force_n;
  b.let_off = 0.8;
  b.nock_above_centre_mm = 8;
  return b;
}

void solve_symmetric(benchmark::State& state) {
  const SizedBow b = size_to_catalogue(shop_bow());
  double draw = b.full_draw.draw_mm;
  for (auto _ : state) {
    draw = draw > 700 ? draw - 5 : draw + 5;
    benchmark::DoNotOptimize(b.cycle.solve(draw, b.full_draw));
  }
}
BENCHMARK(solve_symmetric);

void solve_whole_bow_with_stretch(benchmark::State& state) {
  const FullDraw b = full_draw_from_catalogue(shop_bow());
  double draw = b.full_draw.draw_mm;
  for (auto _ : state) {
    draw = draw > 700 ? draw - 5 : draw + 5;
    benchmark::DoNotOptimize(b.cycle.solve(draw, b.full_draw));
  }
}
BENCHMARK(solve_whole_bow_with_stretch);

void size_symmetric(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(size_to_catalogue(shop_bow()));
}
BENCHMARK(size_symmetric)->Unit(benchmark::kMicrosecond);

void size_whole_bow_with_stretch(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(full_draw_from_catalogue(shop_bow()));
}
BENCHMARK(size_whole_bow_with_stretch)->Unit(benchmark::kMicrosecond);

void spread_over_families(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(leg_spread(shop_bow()));
}
BENCHMARK(spread_over_families)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
