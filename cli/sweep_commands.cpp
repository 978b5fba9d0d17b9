// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <charconv>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>

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

namespace fs = std::filesystem;

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

constexpr std::string_view model_stem = "assembly-", model_ending = ".step";

std::string model_name(std::uint64_t variant) { return fmt::format("{}{}{}", model_stem, variant, model_ending); }

bool is_model_name(const std::string& name) {
  if (!name.starts_with(model_stem)) return false;
  std::uint64_t variant = 0;
  const auto read = std::from_chars(name.data() + model_stem.size(), name.data() + name.size(), variant);
  return read.ec == std::errc{} && name == model_name(variant);
}

/// The assemblies of single variants. One that cannot be built is no reason to lose the table's summary and charts:
/// what comes back names it, an input error where its numbers make no bow, else a fault of ours.
std::optional<Error> add_models(const Evaluator& evaluator, const std::vector<std::uint64_t>& models,
                                OutputSet& outputs) {
  std::vector<std::string> failed;
  ErrorCode worst = ErrorCode::input;
  for (const std::uint64_t model : models) {
    const std::string name = model_name(model);
    try {
      const Fit fit = evaluator.fit_at(model);
      const auto solids = solid::assembly_parts(solid::HeadModel(fit.core.face), assembly_of(fit));
      StepOptions options;
      options.assembly_name = fmt::format("peepwright assembly, variant {}", model);
      outputs.add(name, checked_step(solids, options));
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

std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

bool is_chart_file(const fs::path& name) {
  const fs::path ending = name.extension();
  return (ending == ".pdf" || ending == ".svg" || ending == ".png") && is_sweep_chart(name.stem().string());
}

enum class Models { of_this_folder, may_be_of_a_part };

/// What an earlier sweep left in the folder and this one does not write would be taken for its own. Where the summary
/// that is there is this one's already, to the byte, so are columns and models: --resume came back for something else.
void retire_earlier_results(const Arguments& a, const SweepManifest& manifest, const std::string& summary,
                            Models models, OutputSet& outputs) {
  const std::string stem = sweep_stem(manifest.part, manifest.parts);
  const bool whole = manifest.parts == 1;  // parts of one sweep share a folder, and each its models with the others
  const bool another = bytes_of(fs::path(a.folder) / (stem + "-summary.json")) != summary;
  const bool columns = another && !a.netcdf, solids = another && whole && models == Models::of_this_folder;
  const std::vector<std::string> written = outputs.names();
  std::error_code status;
  for (fs::directory_iterator at(a.folder, status), end; !status && at != end; at.increment(status)) {
    std::error_code unknown;
    if (at->symlink_status(unknown).type() != fs::file_type::regular) continue;
    const std::string name = at->path().filename().string();
    const bool earlier =
        (whole && is_chart_file(name)) || (columns && name == stem + ".nc") || (solids && is_model_name(name));
    if (earlier && std::ranges::find(written, name) == written.end()) outputs.retire(name);
  }
}

/// Summary and charts of the finished table, on the terminal and beside it.
int report_on(const Arguments& a, const std::string& csv, const SweepManifest& manifest, OutputSet outputs,
              Models models = Models::of_this_folder) {
  const SweepSummary summary = summarise(csv, manifest);
  const std::string columnar = a.netcdf ? " " + write_sweep_netcdf(csv, manifest) : "";
  const PaperUnits units = units_of(a);
  const std::string json = summary_json(summary);
  outputs.add(sweep_stem(manifest.part, manifest.parts) + "-summary.json", json);
  // A part's charts would be taken for the sweep's.
  if (manifest.parts == 1)
    for (const NamedChart& chart : sweep_charts(summary, units))
      add_drawing(a, chart.name, chart.title, chart.page, outputs);
  retire_earlier_results(a, manifest, json, models, outputs);
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
  say_notes(a, job.notes);
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
  // Parts that lie in the folder itself may have brought their models there.
  const bool together = std::ranges::any_of(a.files, [&](const std::string& part) {
    std::error_code unknown;
    return fs::equivalent(fs::absolute(part, unknown).parent_path(), a.folder, unknown);
  });
  return report_on(a, merged.csv, merged.manifest, {}, together ? Models::may_be_of_a_part : Models::of_this_folder);
}

}  // namespace peepwright::cli
