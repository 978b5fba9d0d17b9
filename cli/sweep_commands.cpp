// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <charconv>
#include <chrono>
#include <csignal>
#include <iostream>

#include "cli/case.hpp"
#include "cli/drawings.hpp"
#include "cli/solid_files.hpp"
#include "exporters/file/output_set.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/sweep_charts.hpp"
#include "exporters/sweep/sweep_csv.hpp"
#include "exporters/sweep/sweep_file.hpp"
#include "exporters/sweep/sweep_merge.hpp"
#include "exporters/sweep/sweep_netcdf.hpp"
#include "exporters/sweep/sweep_summary.hpp"

namespace peepwright::cli {
namespace {

constexpr int interrupted = 5;
std::atomic<bool> stop_asked{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may set it");

/// Interrupt and termination finish the rows that are begun; a second one kills.
class StopOnSignal {
 public:
  StopOnSignal() {
    struct sigaction action {};
    action.sa_handler = [](int) { stop_asked = true; };
    action.sa_flags = static_cast<int>(SA_RESETHAND) | SA_RESTART;
    ::sigaction(SIGINT, &action, nullptr);
    ::sigaction(SIGTERM, &action, nullptr);
  }
};

/// "A<between>B" as two whole numbers; B stands for `without` where it is left out.
std::pair<std::uint64_t, std::uint64_t> two_numbers(const std::string& text, char between,
                                                    std::optional<std::uint64_t> without, std::string_view option,
                                                    std::string_view form) {
  const char *at = text.data(), *const end = at + text.size();
  std::uint64_t first = 0, second = without.value_or(0);
  auto read = std::from_chars(at, end, first);
  bool good = read.ec == std::errc{} && read.ptr != at;
  if (good && read.ptr != end) {
    good = *read.ptr == between;
    at = read.ptr + 1;
    if (good) {
      read = std::from_chars(at, end, second);
      good = read.ec == std::errc{} && read.ptr == end && at != end;
    }
  } else {
    good = good && without.has_value();
  }
  if (!good) throw Error(ErrorCode::input, fmt::format("{} \"{}\": {}", option, quoted_start(text, 40), form));
  return {first, second};
}

SweepPlan plan_of(const Arguments& a, Spec base) {
  std::vector<Variation> variations;
  for (const std::string& text : a.vary) variations.push_back(parse_variation(text));
  std::optional<Population> population;
  if (!a.population.empty()) population.emplace(a.population);
  Sampling sampling;
  if (!a.latin.empty()) {
    const auto [points, seed] = two_numbers(a.latin, ':', 1, "--latin", "write N or N:SEED, for example 1000:1");
    if (points < 1) throw Error(ErrorCode::input, "--latin: a hypercube of 0 points is empty; give 1 or more");
    sampling = {points, seed};
  }
  if (base.scan && population)
    throw Error(ErrorCode::input, base.scan->where,
                "archer.face.scan is one person's head and --population other people's; give one of them");
  return {std::move(base), std::move(variations), std::move(population), sampling};
}

/// Rate and time left, on a terminal; nothing elsewhere. The clock reaches the terminal alone, never a result.
class Progress {
 public:
  Progress(Slice rows, std::uint64_t from, bool quiet)
      : rows_(rows), from_(from), shown_(!quiet && ::isatty(STDERR_FILENO) == 1) {}
  ~Progress() {
    if (shown_) std::cerr << "\r\033[K" << std::flush;
  }
  void at(std::uint64_t next) {
    using namespace std::chrono_literals;
    const auto now = Clock::now();
    if (!shown_ || now - last_ < 200ms) return;
    last_ = now;
    const double seconds = std::chrono::duration<double>(now - begin_).count();
    const double rate = static_cast<double>(next - from_) / std::max(seconds, 1e-3);
    const double left = static_cast<double>(rows_.last - next) / std::max(rate, 1e-9);
    std::cerr << fmt::format("\r\033[K{} of {}, {:.0f} a second, {:.0f} s left", next - rows_.first, rows_.size(), rate,
                             left)
              << std::flush;
  }

 private:
  using Clock = std::chrono::steady_clock;
  Slice rows_;
  std::uint64_t from_;
  bool shown_;
  Clock::time_point begin_ = Clock::now(), last_ = begin_;
};

/// The assemblies of single variants. One that cannot be built is no reason to lose the table's summary and charts:
/// what comes back names it, an input error where its numbers make no bow, else a fault of ours.
std::optional<Error> add_models(const Evaluator& evaluator, const std::vector<std::uint64_t>& models,
                                OutputSet& outputs) {
  std::vector<std::string> failed;
  ErrorCode worst = ErrorCode::input;
  for (const std::uint64_t model : models) {
    const std::string name = fmt::format("assembly-{}.step", model);
    try {
      const Fit fit = evaluator.fit_at(model);
      const auto solids = solid::assembly_parts(solid::HeadModel(fit.core.face), assembly_of(fit));
      StepOptions options;
      options.assembly_name = fmt::format("peepwright assembly, variant {}", model);
      std::string step = step_text(solids, options);
      check_step(step, solids);
      outputs.add(name, std::move(step));
    } catch (const Error& e) {
      worst = std::max(worst, e.code());
      failed.push_back(fmt::format("variant {}: {}", model, e.what()));
      outputs.retire(name);
    }
  }
  if (failed.empty()) return std::nullopt;
  return Error(worst,
               fmt::format("--models: the table is whole, but no solids were written of {}", fmt::join(failed, "; ")));
}

/// Summary and charts of the finished table, on the terminal and beside it.
int report_on(const Arguments& a, const std::string& csv, const SweepManifest& manifest, OutputSet outputs) {
  const SweepSummary summary = summarise(csv, manifest);
  const std::string columnar = a.netcdf ? " " + write_sweep_netcdf(csv, manifest) : "";
  const PaperUnits units = units_of(a);
  const std::string json = summary_json(summary);
  outputs.add(sweep_stem(manifest.part, manifest.parts) + "-summary.json", json);
  // A part's charts would be taken for the sweep's.
  if (manifest.parts == 1)
    for (const NamedChart& chart : sweep_charts(summary, units))
      add_drawing(a, chart.name, chart.title, chart.page, outputs);
  outputs.write(a.folder);
  if (a.json) std::cout << json;
  else if (!a.quiet) {
    std::cout << summary_text(summary, units) << "\nWritten to " << a.folder << ": "
              << sweep_stem(manifest.part, manifest.parts) << ".csv " << sweep_stem(manifest.part, manifest.parts)
              << ".json" << columnar;
    for (const std::string& name : outputs.names()) std::cout << ' ' << name;
    std::cout << '\n';
  }
  return a.strict && summary.clear < summary.rows ? 1 : 0;
}

}  // namespace

int run_sweep_command(const Arguments& a) {
  const Case job = read_case(a.files);
  const SweepPlan plan = plan_of(a, job.spec);
  std::uint64_t part = 1, parts = 1;
  if (!a.part.empty())
    std::tie(part, parts) = two_numbers(a.part, '/', std::nullopt, "--part", "write I/N, for example 2/8");
  for (const std::uint64_t model : a.models)
    if (model >= plan.size())
      throw Error(ErrorCode::input,
                  fmt::format("--models: there is no variant {}; the sweep has 0 to {}", model, plan.size() - 1));
  const Spec reference = a.reference.empty() ? plan.base() : read_reference(a.reference, plan.base());
  const Evaluator evaluator(plan, reference, {a.uncertainty, job.scanned});
  const std::string fingerprint =
      plan.fingerprint(fmt::format("{} {} {} {}", version(), a.uncertainty, fingerprint_of(reference),
                                   job.scanned ? fingerprint_of(job.scanned->mesh()) : "no scan"));
  const SweepManifest manifest = manifest_of(plan, fingerprint, part, parts);

  SweepFile file(a.folder, manifest, csv_header(sweep_columns(plan.keys(), a.uncertainty)),
                 a.resume ? SweepFile::Start::resume : SweepFile::Start::fresh);
  if (!file.complete()) {
    const StopOnSignal stopping;
    Progress progress(manifest.rows, file.next(), a.quiet);
    const auto text = [&](const std::vector<SweepRow>& rows) { return csv_rows(rows, plan.keys(), a.uncertainty); };
    const auto sink = [&](const std::string& rows, std::uint64_t next) {
      file.append(rows, next);
      progress.at(next);
    };
    run_sweep(evaluator, {file.next(), manifest.rows.last}, text, sink, {a.threads, &stop_asked});
  }
  if (!file.complete()) {
    std::cerr << fmt::format("peepwright: interrupted; {} of {} rows are in {}. Go on with --resume\n",
                             file.next() - manifest.rows.first, manifest.rows.size(), file.partial_path());
    return interrupted;
  }
  file.finish();

  OutputSet outputs;
  const std::optional<Error> fault = add_models(evaluator, a.models, outputs);
  say_notes(a, label_notes(plan.base()));
  if (plan.population() && !plan.population()->missing().empty()) say_notes(a, {plan.population()->missing()});
  const int code = report_on(a, file.path(), manifest, std::move(outputs));
  if (fault) {
    std::cout.flush();
    throw *fault;
  }
  return code;
}

int run_merge(const Arguments& a) {
  const MergedSweep merged = merge_sweeps(a.files, a.folder);
  return report_on(a, merged.csv, merged.manifest, {});
}

}  // namespace peepwright::cli
