// SPDX-License-Identifier: GPL-3.0-or-later
// One variant solved: what a row of a sweep says.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/clearance/on_solids.hpp"
#include "engine/sweep/plan.hpp"

namespace peepwright {

inline constexpr std::array<std::string_view, 6> clearance_names{"arrow-chin",  "string-nose", "string-mouth-corner",
                                                                 "sight-arrow", "peep-eye",    "nock-face"};

struct SweepOutcome {
  double mark_mm = 0, peep_height_mm = 0, leg_angle_rad = 0;
  std::optional<double> expanded_mm;  ///< of the mark, k = 2; where it was asked for
  double yaw_rad = 0, pitch_rad = 0, roll_rad = 0;
  double eye_to_arrow_mm = 0;
  HeadShift shift;  ///< against the reference
  double longest_m = 0;
  bool reaches = true;  ///< false: the sight clears at no distance at all
  std::array<double, clearance_names.size()> gap_mm{};
  std::array<Verdict, clearance_names.size()> verdict{};
  std::array<bool, clearance_names.size()> met{};
  [[nodiscard]] bool all_met() const;
};

struct SweepRow {
  std::uint64_t index = 0;
  std::vector<double> values;           ///< of the plan's keys, internal units
  std::optional<SweepOutcome> outcome;  ///< nothing where this variant cannot be
  std::string problem;                  ///< and why
};

struct EvaluateOptions {
  bool uncertainty = false;  ///< a budget for every variant, and the spread of cam families for every bow
  std::shared_ptr<const solid::HeadSurface> scanned{};  ///< the archer's own skin, for the clearances of every variant
};

/// Solves variants of one plan. Safe from several threads; what it keeps (the bows of the sweep, within bounds) never
/// changes a result. The mark of a variant is, to the last bit, that of `use_draw_cycle` and `solve_fit` on its spec.
class Evaluator {
 public:
  /// Throws Error(input) when the reference has no fit.
  Evaluator(const SweepPlan& plan, const Spec& reference, EvaluateOptions options = {});
  ~Evaluator();

  /// Rows `first` … `last` − 1, in order. A variant that cannot be is a row with a problem; Error(internal) is thrown
  /// on.
  [[nodiscard]] std::vector<SweepRow> rows(std::uint64_t first, std::uint64_t last) const;

  /// The whole fit of one variant, for its model. Throws Error(input) where it cannot be.
  [[nodiscard]] Fit fit_at(std::uint64_t index) const;

 private:
  struct Bows;
  class Heads;
  void use_bow(Spec& spec) const;
  [[nodiscard]] SweepOutcome outcome(const Spec& spec, Heads& heads) const;

  const SweepPlan& plan_;
  EvaluateOptions options_;
  CoreFit reference_;
  std::shared_ptr<const solid::HeadModel> shared_head_;  ///< where every variant has the same face
  std::unique_ptr<Bows> bows_;
};

}  // namespace peepwright
