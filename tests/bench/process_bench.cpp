// SPDX-License-Identifier: GPL-3.0-or-later
// The program as a process, from its start to its last file. Run: build/dev/tests/bench_process
// Wanted of "fit with every file": under 0.35 s on two free cores; of view: under 0.5 s. "cpu_ms" is what the process
// used on all cores.
#include <benchmark/benchmark.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <string>
#include <vector>

extern char** environ;

namespace {

double children_cpu_ms() {
  rusage used{};
  ::getrusage(RUSAGE_CHILDREN, &used);
  const auto ms = [](const timeval& t) { return 1e3 * double(t.tv_sec) + 1e-3 * double(t.tv_usec); };
  return ms(used.ru_utime) + ms(used.ru_stime);
}

bool run(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), PEEPWRIGHT_PROGRAM);
  std::vector<char*> argv;
  for (std::string& a : arguments) argv.push_back(a.data());
  argv.push_back(nullptr);
  pid_t child = 0;
  int status = 0;
  return ::posix_spawn(&child, argv[0], nullptr, nullptr, argv.data(), environ) == 0 &&
         ::waitpid(child, &status, 0) == child && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

void process(benchmark::State& state, std::vector<std::string> arguments, bool writes) {
  const auto folder = std::filesystem::temp_directory_path() / ("peepwright-bench-" + std::to_string(::getpid()));
  for (const char* file : {"archer", "bow", "arrow"})
    arguments.push_back(PEEPWRIGHT_SOURCE_DIR "/examples/first-fit/" + std::string(file) + ".toml");
  arguments.emplace_back("--quiet");
  if (writes) arguments.insert(arguments.end(), {"-o", folder.string()});
  const double before = children_cpu_ms();
  for (auto _ : state)
    if (!run(arguments)) state.SkipWithError("the program failed");
  state.counters["cpu_ms"] = (children_cpu_ms() - before) / double(state.iterations());
  std::filesystem::remove_all(folder);
}

void starting(benchmark::State& state) {
  for (auto _ : state)
    if (!run({"verify", "--help"})) state.SkipWithError("the program failed");
}

BENCHMARK(starting)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(process, fit_report_alone, {"fit"}, false)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(process, fit_with_every_file, {"fit"}, true)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(process, gauge, {"gauge"}, true)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(process, model, {"model"}, true)->UseRealTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(process, view, {"view"}, true)->UseRealTime()->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
