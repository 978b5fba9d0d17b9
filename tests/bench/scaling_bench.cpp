// SPDX-License-Identifier: GPL-3.0-or-later
// Run: build/dev/tests/bench_scaling. The same sweep on one thread and on two, in turn, five times; the least time of
// each and their ratio. Wanted: 1.8 or more. It says nothing on a machine that is busy, so the load average stands
// beside it.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>

#include "engine/sweep/run.hpp"
#include "exporters/sweep/sweep_csv.hpp"
#include "tests/shared/shop_bow.hpp"

namespace {

using namespace peepwright;

double seconds(const SweepPlan& plan, unsigned threads) {
  const Evaluator evaluator(plan, plan.base());
  const auto begin = std::chrono::steady_clock::now();
  run_sweep(
      evaluator, {0, plan.size()},
      [&](const std::vector<SweepRow>& rows) { return csv_rows(rows, plan.keys(), false); },
      [](const std::string&, std::uint64_t) {}, {threads, nullptr});
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

void compare(const char* name, const SweepPlan& plan) {
  double one = 1e9, two = 1e9;
  for (int turn = 0; turn < 5; ++turn) {
    one = std::min(one, seconds(plan, 1));
    two = std::min(two, seconds(plan, 2));
  }
  const double variants = static_cast<double>(plan.size());
  fmt::print("{:<20} {:.0f} a second on one thread, {:.0f} on two: ratio {:.2f}\n", name, variants / one,
             variants / two, one / two);
}

}  // namespace

int main() {
  const Spec bow = peepwright::test::shop_spec();
  double load[1]{};
  if (::getloadavg(load, 1) == 1) fmt::print("load average before: {:.2f}\n", load[0]);
  compare("shared head", SweepPlan(bow, {parse_variation("sight.extension=100 mm..250 mm/0.01 mm")}, std::nullopt));
  compare("a face of its own", SweepPlan(bow, {}, Population("adult-male:2000")));
}
