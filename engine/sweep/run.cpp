// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/sweep/run.hpp"

#include <fmt/format.h>
#include <oneapi/tbb/info.h>
#include <oneapi/tbb/parallel_pipeline.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>

namespace peepwright {

Slice slice_of(std::uint64_t total, std::uint64_t part, std::uint64_t parts) {
  if (parts < 1 || part < 1 || part > parts)
    throw Error(ErrorCode::input, fmt::format("part {} of {}: parts are counted from 1 to their number", part, parts));
  if (parts > total)
    throw Error(ErrorCode::input,
                fmt::format("{} parts of {} variants: some would be empty; take fewer parts", parts, total));
  const auto before = [&](std::uint64_t k) { return total / parts * k + std::min(k, total % parts); };
  return {before(part - 1), before(part)};
}

std::uint64_t run_sweep(const Evaluator& evaluator, Slice slice, const RowText& text, const TextSink& sink,
                        const RunOptions& options) {
  // Long enough that a head serves many rows and threads seldom wait; short enough that an interrupt is obeyed at once.
  constexpr std::uint64_t rows_at_a_time = 64;
  struct Written {
    std::string text;
    std::uint64_t next = 0;
  };
  namespace tbb = oneapi::tbb;
  const int threads = options.threads > 0 ? static_cast<int>(options.threads) : tbb::info::default_concurrency();
  std::uint64_t begun = slice.first, done = slice.first;
  const auto begin_rows = [&](tbb::flow_control& flow) {
    if (begun >= slice.last || (options.stop && *options.stop)) {
      flow.stop();
      return Slice{};
    }
    const Slice rows{begun, std::min(begun + rows_at_a_time, slice.last)};
    begun = rows.last;
    return rows;
  };
  const auto solve_rows = [&](const Slice& rows) {
    return Written{text(evaluator.rows(rows.first, rows.last)), rows.last};
  };
  const auto hand_out = [&](const Written& rows) {
    sink(rows.text, rows.next);
    done = rows.next;
  };
  tbb::task_arena arena(threads);
  arena.execute([&] {
    tbb::parallel_pipeline(static_cast<std::size_t>(4 * threads),
                           tbb::make_filter<void, Slice>(tbb::filter_mode::serial_in_order, begin_rows) &
                               tbb::make_filter<Slice, Written>(tbb::filter_mode::parallel, solve_rows) &
                               tbb::make_filter<Written, void>(tbb::filter_mode::serial_in_order, hand_out));
  });
  return done;
}

}  // namespace peepwright
