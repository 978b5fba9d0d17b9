// SPDX-License-Identifier: GPL-3.0-or-later
// Laws that hold for every plausible archer and bow, whatever the numbers: hands, units, what grows with what, sums.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "engine/bow/draw_estimate.hpp"
#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"
#include "engine/quantity/format.hpp"
#include "tests/engine/between.hpp"

namespace peepwright {
namespace {

using test::between;

/// A catalogue bow and an adult, as a shop meets them.
Spec plausible() {
  using enum Key;
  Spec spec;
  spec.build = *rc::gen::element(Build::adult_male, Build::adult_female);
  spec.hand = *rc::gen::element(Hand::right, Hand::left);
  spec.give(bow_axle_to_axle, Length::in(between(28, 40)).mm());
  spec.give(bow_brace_height, Length::in(between(6, 8)).mm());
  spec.give(bow_draw_length, Length::in(between(26, 31)).mm());
  spec.give(bow_peak_weight, Force::lbf(between(40, 70)).n());
  spec.give(bow_let_off, between(0.6, 0.85));
  spec.give(face_percentile, between(1, 99));
  spec.give(arrow_speed, between(65, 105));
  spec.give(arrow_mass, between(0.019, 0.035));
  return spec;
}

RC_GTEST_PROP(Laws, TheOtherHandIsTheMirrorImage, ()) {
  Spec one = plausible(), other = one;
  other.hand = one.hand == Hand::right ? Hand::left : Hand::right;
  const CoreFit a = solve_core(one), b = solve_core(other);
  RC_ASSERT(a.mark_mm == b.mark_mm);
  const Point3 p = as_archer_stands(one, a.peep), q = as_archer_stands(other, b.peep);
  RC_ASSERT(p.x == q.x);
  RC_ASSERT(p.y == -q.y);
  RC_ASSERT(p.z == q.z);
}

/// The given values as TOML, in the units people use, or in each dimension's other unit.
std::string written(const Spec& spec, bool other_units) {
  std::string out =
      fmt::format("archer.face.build = \"{}\"\n", spec.build == Build::adult_male ? "adult-male" : "adult-female");
  for (const KeyInfo& row : all_keys()) {
    if (!spec.given(row.key)) continue;
    const double v = spec.value(row.key);
    switch (row.dimension) {
      case Dimension::length:
        out +=
            fmt::format("{} = \"{} {}\"\n", row.path, other_units ? Length::mm(v).in() : v, other_units ? "in" : "mm");
        break;
      case Dimension::force:
        out +=
            fmt::format("{} = \"{} {}\"\n", row.path, other_units ? Force::n(v).lbf() : v, other_units ? "lbf" : "N");
        break;
      case Dimension::mass:
        out += fmt::format("{} = \"{} {}\"\n", row.path, other_units ? v * 1000 : v, other_units ? "g" : "kg");
        break;
      case Dimension::angle:
        out += fmt::format("{} = \"{} {}\"\n", row.path, other_units ? degrees(v) : v, other_units ? "deg" : "rad");
        break;
      case Dimension::ratio:
        out += fmt::format("{} = \"{}{}\"\n", row.path, other_units ? 100 * v : v, other_units ? " %" : "");
        break;
      case Dimension::speed: out += fmt::format("{} = \"{} m/s\"\n", row.path, v); break;
      case Dimension::number: out += fmt::format("{} = {}\n", row.path, v); break;
    }
  }
  return out;
}

RC_GTEST_PROP(Laws, UnitsChangeNothing, ()) {
  const Spec spec = plausible();
  const double metric = solve_core(parse_spec({{"mm.toml", written(spec, false)}})).mark_mm;
  const double imperial = solve_core(parse_spec({{"in.toml", written(spec, true)}})).mark_mm;
  RC_ASSERT(std::abs(metric - solve_core(spec).mark_mm) < 1e-9);
  RC_ASSERT(std::abs(metric - imperial) < 1e-6);
}

RC_GTEST_PROP(Laws, WhatGrowsWithWhat, ()) {
  using enum Key;
  const Spec spec = plausible();
  const CoreFit fit = solve_core(spec);
  const auto mark_with = [&](Key key, double value) {
    Spec changed = spec;
    changed.give(key, value);
    return solve_core(changed).mark_mm;
  };
  RC_ASSERT(mark_with(bow_axle_to_axle, spec.value(bow_axle_to_axle) + 25) < fit.mark_mm);
  // The higher the eye stands over the arrow, the higher the peep.
  const double eye = 95 + between(-8, 8);
  RC_ASSERT(mark_with(face_eye_to_arrow, eye + 3) > mark_with(face_eye_to_arrow, eye));
  // s is counted from the arrow's axis, the mark from the top of the nock: half its height apart.
  const double nock = spec.value(string_nock_height);
  RC_ASSERT(std::abs(mark_with(string_nock_height, nock + 1) - (fit.mark_mm - 0.5)) < 1e-9);
}

RC_GTEST_PROP(Laws, TheBudgetIsTheSumOfItsLines, ()) {
  if (*rc::gen::inRange(0, 10) != 0) return;  // a budget costs a hundred solves
  Spec spec = plausible();
  if (const auto assumed = draw_assumptions(spec, DrawDetail::angle_alone)) put(*assumed, spec);
  const Budget budget = mark_budget(spec, solve_core(spec));
  double sum = 0, before = HUGE_VAL;
  for (const BudgetLine& line : budget.lines) {
    RC_ASSERT(std::isfinite(line.contribution_mm));
    RC_ASSERT(line.contribution_mm <= before);
    RC_ASSERT(std::abs(line.contribution_mm - std::abs(line.sensitivity) * line.standard_uncertainty) <=
              1e-9 * (1 + line.contribution_mm));
    before = line.contribution_mm;
    sum += line.contribution_mm * line.contribution_mm;
  }
  RC_ASSERT(std::abs(budget.combined_mm - std::sqrt(sum)) <= 1e-6 * budget.combined_mm);
  RC_ASSERT(budget.expanded_mm() == 2 * budget.combined_mm);
}

}  // namespace
}  // namespace peepwright
