// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_solid
#include <benchmark/benchmark.h>

#include "engine/clearance/on_solids.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/parts.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/step/step.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright::solid {
namespace {

const AssemblyInput& input() {
  static const AssemblyInput in = assembly_of(solve_fit(test::shop_spec()));
  return in;
}

const std::vector<Part>& parts() {
  static const std::vector<Part> all = assembly_parts(HeadModel(input().face), input());
  return all;
}

/// Wanted: under 0.2 ms.
void gaps_on_a_built_head(benchmark::State& state) {
  const HeadModel head(input().face);
  for (auto _ : state) benchmark::DoNotOptimize(gaps(head, input()));
}
BENCHMARK(gaps_on_a_built_head)->Unit(benchmark::kMicrosecond);

/// Skin and search tree: what a sweep over faces pays for each. Wanted with solid and mesh: under 20 ms.
void new_head_for_distances(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(HeadModel(input().face));
}
BENCHMARK(new_head_for_distances)->Unit(benchmark::kMillisecond);

void new_head_with_solid_and_mesh(benchmark::State& state) {
  for (auto _ : state) {
    const HeadModel head(input().face);
    benchmark::DoNotOptimize(head_solid(head.distance().skin()));
  }
}
BENCHMARK(new_head_with_solid_and_mesh)->Unit(benchmark::kMillisecond);

void all_parts(benchmark::State& state) {
  const HeadModel head(input().face);
  for (auto _ : state) benchmark::DoNotOptimize(assembly_parts(head, input()));
}
BENCHMARK(all_parts)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();

void step(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(step_text(parts()));
}
BENCHMARK(step)->Unit(benchmark::kMillisecond);

void step_read_again_and_compared(benchmark::State& state) {
  const std::string text = step_text(parts());
  for (auto _ : state) check_step(text, parts());
}
BENCHMARK(step_read_again_and_compared)->Unit(benchmark::kMillisecond);

void meshes(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(meshes_of(parts()));
}
BENCHMARK(meshes)->Unit(benchmark::kMillisecond);

void glb(benchmark::State& state) {
  const auto all = meshes_of(parts());
  for (auto _ : state) benchmark::DoNotOptimize(glb_bytes(all));
}
BENCHMARK(glb)->Unit(benchmark::kMillisecond);

void stl(benchmark::State& state) {
  const auto all = meshes_of(parts());
  for (auto _ : state) benchmark::DoNotOptimize(stl_bytes(all));
}
BENCHMARK(stl)->Unit(benchmark::kMillisecond);

void threemf(benchmark::State& state) {
  const auto all = meshes_of(parts());
  for (auto _ : state) benchmark::DoNotOptimize(threemf_bytes(all));
}
BENCHMARK(threemf)->Unit(benchmark::kMillisecond);

/// What the fast distance is measured against.
void one_exact_distance_by_the_kernel(benchmark::State& state) {
  const Shape head = parts().front().shape, shaft = rod_solid(fit_bodies(input()).shaft);
  for (auto _ : state) benchmark::DoNotOptimize(head.exact_distance_mm(shaft));
}
BENCHMARK(one_exact_distance_by_the_kernel)->Unit(benchmark::kMillisecond);

/// Why many holes are cut with one list: all at once, or one after another.
void a_hundred_holes(benchmark::State& state) {
  const Shape plate = plate_solid({{0, 0, 0}, {100, 0, 0}, {100, 100, 0}, {0, 100, 0}}, 2);
  std::vector<Shape> holes;
  for (int i = 0; i < 10; ++i)
    for (int j = 0; j < 10; ++j)
      holes.push_back(rod_solid({{5.0 + 10 * i, 5.0 + 10 * j, -2}, {5.0 + 10 * i, 5.0 + 10 * j, 2}, 2}));
  const bool at_once = state.range(0) != 0;
  for (auto _ : state) {
    Shape rest = plate;
    if (at_once) rest = cut(rest, holes, "a plate");
    else
      for (const Shape& hole : holes) rest = cut(rest, {hole}, "a plate");
    benchmark::DoNotOptimize(rest);
  }
}
BENCHMARK(a_hundred_holes)->Arg(1)->Arg(0)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace peepwright::solid

BENCHMARK_MAIN();
