// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/budget.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "engine/face/face.hpp"
#include "engine/fit/propagate.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

constexpr double smallest_line_mm = 1e-6;

}  // namespace

Spec with_spreads(const Spec& spec) {
  Spec out = spec;
  set_face_spreads(out);
  return out;
}

Budget make_budget(const Spec& given, const Result& result, double posture_sd_mm) {
  const Spec spec = with_spreads(given);
  Budget budget;
  std::vector<double> contributions;
  const auto add = [&](BudgetLine line) {
    if (!(line.contribution_mm >= smallest_line_mm)) return;
    contributions.push_back(line.contribution_mm);
    budget.lines.push_back(std::move(line));
  };
  for (const KeyInfo& row : all_keys()) {
    const Input& input = spec[row.key];
    if (input.status == Status::absent || input.status == Status::chosen || !(input.uncertainty > 0)) continue;
    const auto moved = [&](double by) {
      Spec other = spec;
      other.nudge(row.key, by);
      return result(solve_core(other));
    };
    const double change = contribution(moved, input.uncertainty);
    const double shown_u = shown_value(input.uncertainty, row.dimension);
    add({std::string(row.path), std::string(row.help), std::string(shown_unit(row.dimension)), change / shown_u,
         shown_u, std::abs(change), input.status != Status::given});
  }
  add({"posture", "how closely a head settles where it should", "mm", 1, posture_sd_mm, posture_sd_mm, true});
  std::ranges::stable_sort(budget.lines, std::greater{}, &BudgetLine::contribution_mm);
  budget.combined_mm = combined(contributions);
  return budget;
}

std::vector<PinUncertainty> pin_uncertainties(const Spec& given, const Fit& fit) {
  const Spec spec = with_spreads(given);
  const std::size_t count = fit.marks.size();
  const auto pins_behind = [&](const Spec& moved, double drag_coefficient, const Point3& peep) {
    const Shot shot = shot_of(moved, drag_coefficient);
    const SightGeometry geometry = geometry_of(moved, peep);
    std::vector<double> out;
    for (const MarkRow& row : fit.marks)
      out.push_back(sight_mark(shot, geometry, body_of(moved), row.mark.distance_m).pin_height_mm);
    return out;
  };
  const auto pins = [&](const Spec& moved) {
    const CoreFit core = solve_core(moved);
    return pins_behind(moved, core.drag_coefficient, core.peep);
  };
  std::vector<double> pin_squares(count), gap_squares(count);
  const auto count_in = [&](const std::vector<double>& high, const std::vector<double>& low, double share) {
    for (std::size_t i = 0; i < count; ++i) {
      const double pin = (high[i] - low[i]) / (2 * share), first = (high[0] - low[0]) / (2 * share);
      pin_squares[i] += pin * pin;
      gap_squares[i] += (pin - first) * (pin - first);
    }
  };
  // The head settles within the posture's tolerances, and the peep up and down the string with it.
  const auto up_the_string = [&](double along_mm) {
    const Point3& at = fit.core.peep;
    const double leg = fit.core.legs.upper_rad;
    return Point3{at.x + along_mm * std::cos(leg), at.y, at.z + along_mm * std::sin(leg)};
  };
  const double settles_mm = fit.core.posture.along_string_sd_mm;
  count_in(pins_behind(spec, fit.core.drag_coefficient, up_the_string(settles_mm)),
           pins_behind(spec, fit.core.drag_coefficient, up_the_string(-settles_mm)), 1);
  for (const KeyInfo& row : all_keys()) {
    const Input& input = spec[row.key];
    if (input.status == Status::absent || input.status == Status::chosen || !(input.uncertainty > 0)) continue;
    // As `contribution` does, for all marks from the same two solves.
    const auto [high, low, taken] = with_share_possible([&](double share) {
      Spec more = spec, less = spec;
      more.nudge(row.key, share * input.uncertainty);
      less.nudge(row.key, -share * input.uncertainty);
      return std::tuple(pins(more), pins(less), share);
    });
    count_in(high, low, taken);
  }
  std::vector<PinUncertainty> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back({2 * std::sqrt(pin_squares[i]), 2 * std::sqrt(gap_squares[i])});
  return out;
}

Budget mark_budget(const Spec& spec, const CoreFit& fit) {
  return make_budget(
      spec, [](const CoreFit& core) { return core.mark_mm; }, fit.posture.along_string_sd_mm);
}

std::vector<Assumption> assumptions(const Spec& spec, const Budget& budget) {
  std::vector<Assumption> out;
  for (const BudgetLine& line : budget.lines) {
    if (!line.assumed) continue;
    const KeyInfo* row = find_key(line.input);
    if (!row) {  // the posture is no key
      out.push_back({line.input, 0, line.unit, "the tolerances of the posture's targets; common practice, no source",
                     line.contribution_mm});
      continue;
    }
    const std::string_view reason = spec[row->key].reason.empty() ? row->reason : spec[row->key].reason;
    out.push_back({line.input, shown_value(spec.value(row->key), row->dimension), line.unit, std::string(reason),
                   line.contribution_mm});
  }
  return out;
}

std::vector<Advice> what_to_measure_next(const Spec& spec, const CoreFit& fit, double expanded_mm) {
  using enum Key;
  const Point3& eye = fit.posture.pupil;
  const auto below = [&](Landmark l) { return -fit.face.at(l).z; };
  const std::pair<Key, double> candidates[] = {
      {face_eye_to_arrow, eye.z},
      {full_draw_string_angle, fit.legs.upper_rad + fit.legs.lower_rad},
      {face_hollow_below_eye, below(Landmark::sublabiale)},
      {face_nose_tip_below_eye, below(Landmark::pronasale)},
      {face_nose_tip_ahead_of_eye, fit.face.at(Landmark::pronasale).x},
      {face_mouth_corner_below_eye, below(Landmark::cheilion)},
      {bow_nock_above_centre, spec.value(bow_nock_above_centre)},
      {string_nock_height, spec.value(string_nock_height)},
      {string_knots_apart, 2 * fit.legs.bend_mm},
      {arrow_speed, spec.value(arrow_speed)},
  };
  constexpr double worth_it = 0.95;
  std::vector<Advice> out;
  for (const auto& [key, value] : candidates) {
    if (spec.given(key)) continue;
    // A tied pair is a reading at full draw already; a string angle on top would only hide it.
    if (key == full_draw_string_angle && fit.legs.source == LegSource::tied_peep) continue;
    const auto left = if_possible([&] {
      Spec measured = spec;
      measured.give(key, value);
      return mark_budget(measured, solve_core(measured)).expanded_mm();
    });
    // Without: the fit's own value is outside what the key accepts, and no advice can be built on it.
    if (left && *left < worth_it * expanded_mm)
      out.push_back({std::string(info_of(key).path), std::string(info_of(key).help), *left});
  }
  std::ranges::stable_sort(out, {}, &Advice::expanded_mm);
  return out;
}

}  // namespace peepwright
