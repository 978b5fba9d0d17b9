// SPDX-License-Identifier: GPL-3.0-or-later
// A sweep over all cores, its rows handed out in order.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>

#include "engine/sweep/evaluate.hpp"

namespace peepwright {

/// Rows `first` … `last` − 1 of a plan.
struct Slice {
  std::uint64_t first = 0, last = 0;
  [[nodiscard]] std::uint64_t size() const { return last - first; }
};

/// Slice `part` of `parts` (1 … parts) of `total` rows: they join without gap or overlap, and differ by one row at
/// most. Throws Error(input) for a part that is not among them, and for more parts than rows.
Slice slice_of(std::uint64_t total, std::uint64_t part, std::uint64_t parts);

struct RunOptions {
  unsigned threads = 0;                     ///< 0: as many as there are cores
  const std::atomic<bool>* stop = nullptr;  ///< when it turns true, rows begun are finished and no more are begun
};

/// Rows to text; called from several threads at once.
using RowText = std::function<std::string(const std::vector<SweepRow>&)>;
/// Takes texts in the order of rows; never called twice at once. `next` is the first row that is still to come.
using TextSink = std::function<void(const std::string& text, std::uint64_t next)>;

/// Gives the first row that was not handed out: `slice.last` unless it was stopped. The same texts for any number of
/// threads. Memory does not grow with the slice. What `text` or `sink` throw is thrown on.
std::uint64_t run_sweep(const Evaluator& evaluator, Slice slice, const RowText& text, const TextSink& sink,
                        const RunOptions& options = {});

}  // namespace peepwright
