// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_drawing. Inside the process; whole commands are in bench_process.
#include <benchmark/benchmark.h>

#include "engine/solid/parts.hpp"
#include "exporters/sheet/fit_sheet.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright {
namespace {

const FitReport& report() {
  static const FitReport made = make_report(test::first_fit_spec(), std::nullopt);
  return made;
}

const SideScene& scene() {
  static const SideScene made = side_scene(report().fit);
  return made;
}

const SideViewOptions options{"a4", PaperUnits::millimetres, "", "peepwright"};

void hidden_lines_and_face(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(side_scene(report().fit));
}
BENCHMARK(hidden_lines_and_face)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

void side_view_laid_out(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(side_view(report().fit, scene(), options));
}
BENCHMARK(side_view_laid_out)->Unit(benchmark::kMillisecond);

void side_view_as_pdf(benchmark::State& state) {
  const Canvas canvas = side_view(report().fit, scene(), options);
  for (auto _ : state) benchmark::DoNotOptimize(canvas.pdf({}));
}
BENCHMARK(side_view_as_pdf)->Unit(benchmark::kMillisecond);

void side_view_as_svg(benchmark::State& state) {
  const Canvas canvas = side_view(report().fit, scene(), options);
  for (auto _ : state) benchmark::DoNotOptimize(canvas.svg(0));
}
BENCHMARK(side_view_as_svg)->Unit(benchmark::kMillisecond);

void side_view_as_svg_with_text(benchmark::State& state) {
  const Canvas canvas = side_view(report().fit, scene(), options);
  for (auto _ : state) benchmark::DoNotOptimize(canvas.svg(0, SvgLetters::text));
}
BENCHMARK(side_view_as_svg_with_text)->Unit(benchmark::kMillisecond);

void side_view_as_png(benchmark::State& state) {
  const Canvas canvas = side_view(report().fit, scene(), options);
  for (auto _ : state) benchmark::DoNotOptimize(canvas.png(0, 150));
}
BENCHMARK(side_view_as_png)->Unit(benchmark::kMillisecond);

/// Solids, hidden lines, layout, PDF. Wanted: under 0.5 s.
void side_view_from_a_fit(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(side_view(report().fit, side_scene(report().fit), options).pdf({}));
}
BENCHMARK(side_view_from_a_fit)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

/// The same for the fit sheet. Wanted: under 0.6 s.
void fit_sheet_from_a_fit(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(fit_sheet(report(), side_scene(report().fit), options).pdf({}));
}
BENCHMARK(fit_sheet_from_a_fit)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

}  // namespace
}  // namespace peepwright

BENCHMARK_MAIN();
