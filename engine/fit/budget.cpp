// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/budget.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "engine/bow/draw_estimate.hpp"
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

namespace {

/// What the sight's uncertainty is made of: every mark's pin and clearance, the lowest clearance, the longest distance,
/// and where the vanes would begin to strike, of a sight that is struck.
struct SightNumbers {
  std::vector<double> pins_mm, clearances_mm;
  double lowest_mm = 0;
  std::optional<double> longest_m, strikes_past_m;
};

SightNumbers sight_numbers(const Spec& spec, const Fit& fit, double drag_coefficient, const Point3& peep) {
  const Shot shot = shot_of(spec, drag_coefficient);
  const SightGeometry geometry = geometry_of(spec, peep);
  const SightBody body = body_of(spec);
  SightNumbers out;
  for (const MarkRow& row : fit.marks) {
    const SightMark mark = sight_mark(shot, geometry, body, row.mark.distance_m);
    out.pins_mm.push_back(mark.pin_height_mm);
    out.clearances_mm.push_back(mark.clearance_mm);
  }
  out.lowest_mm = sight_mark(shot, geometry, body, fit.lowest.distance_m).clearance_mm;
  const auto met = [&](double wanted_mm) -> std::optional<double> {
    const Reach reach = longest_distance(shot, geometry, body, wanted_mm);
    return reach.longest_m > 0 && !reach.beyond_limit ? std::optional(reach.longest_m) : std::nullopt;
  };
  out.longest_m = met(spec.value(Key::wanted_sight_arrow));
  if (fit.lowest.clearance_mm <= 0) out.strikes_past_m = met(0);
  return out;
}

/// Sum of squares of a distance that need not be there.
class DistanceSquares {
 public:
  explicit DistanceSquares(std::optional<double> at_m) : at_m_(at_m) {}

  void add(std::optional<double> high_m, std::optional<double> low_m, double share) {
    if (!at_m_) return;
    // Where one way the sight never clears, or clears wherever was looked at, the other way counts twice.
    const double both = high_m && low_m ? 1 : 2;
    const double apart = high_m.value_or(*at_m_) - low_m.value_or(*at_m_);
    sum_ += std::pow(both * apart / (2 * share), 2);
  }

  [[nodiscard]] std::optional<double> expanded() const {
    return at_m_ ? std::optional(2 * std::sqrt(sum_)) : std::nullopt;
  }

 private:
  std::optional<double> at_m_;
  double sum_ = 0;
};

/// Sums of squares over the inputs that were moved.
class SightSquares {
 public:
  explicit SightSquares(const SightNumbers& at)
      : pins_(at.pins_mm.size()),
        gaps_(pins_),
        clearances_(pins_),
        longest_(at.longest_m),
        strikes_past_(at.strikes_past_m) {}

  /// Both ways moved by `share` of one standard uncertainty.
  void add(const SightNumbers& high, const SightNumbers& low, double share) {
    const auto half = [&](double a, double b) { return (a - b) / (2 * share); };
    for (std::size_t i = 0; i < pins_.size(); ++i) {
      const double pin = half(high.pins_mm[i], low.pins_mm[i]), first = half(high.pins_mm[0], low.pins_mm[0]);
      pins_[i] += pin * pin;
      gaps_[i] += (pin - first) * (pin - first);
      clearances_[i] += std::pow(half(high.clearances_mm[i], low.clearances_mm[i]), 2);
    }
    lowest_ += std::pow(half(high.lowest_mm, low.lowest_mm), 2);
    longest_.add(high.longest_m, low.longest_m, share);
    strikes_past_.add(high.strikes_past_m, low.strikes_past_m, share);
  }

  [[nodiscard]] SightUncertainty expanded() const {
    SightUncertainty out;
    for (std::size_t i = 0; i < pins_.size(); ++i)
      out.pins.push_back({2 * std::sqrt(pins_[i]), 2 * std::sqrt(gaps_[i]), 2 * std::sqrt(clearances_[i])});
    out.lowest_clearance_mm = 2 * std::sqrt(lowest_);
    out.longest_m = longest_.expanded();
    out.strikes_past_m = strikes_past_.expanded();
    return out;
  }

 private:
  std::vector<double> pins_, gaps_, clearances_;
  double lowest_ = 0;
  DistanceSquares longest_, strikes_past_;
};

}  // namespace

SightUncertainty sight_uncertainty(const Spec& given, const Fit& fit) {
  const Spec spec = with_spreads(given);
  SightSquares squares(sight_numbers(spec, fit, fit.core.drag_coefficient, fit.core.peep));
  // The head settles within the posture's tolerances, and the peep up and down the string with it.
  const auto up_the_string = [&](double along_mm) {
    const Point3& at = fit.core.peep;
    const double leg = fit.core.legs.upper_rad;
    const Point3 peep{at.x + along_mm * std::cos(leg), at.y, at.z + along_mm * std::sin(leg)};
    return sight_numbers(spec, fit, fit.core.drag_coefficient, peep);
  };
  const double settles_mm = fit.core.posture.along_string_sd_mm;
  squares.add(up_the_string(settles_mm), up_the_string(-settles_mm), 1);
  const auto moved = [&](Key key, double by) {
    Spec other = spec;
    other.nudge(key, by);
    const CoreFit core = solve_core(other, fit.peep);
    return sight_numbers(other, fit, core.drag_coefficient, core.peep);
  };
  for (const KeyInfo& row : all_keys()) {
    const Input& input = spec[row.key];
    if (input.status == Status::absent || input.status == Status::chosen || !(input.uncertainty > 0)) continue;
    // As `contribution` does, for all of it from the same two solves.
    const auto [high, low, taken] = with_share_possible([&](double share) {
      return std::tuple(moved(row.key, share * input.uncertainty), moved(row.key, -share * input.uncertainty), share);
    });
    squares.add(high, low, taken);
  }
  return squares.expanded();
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
      {limb_angle, BowDesign{}.limb_angle_rad},
      {string_nock_height, spec.value(string_nock_height)},
      {string_knots_apart, 2 * fit.legs.bend_mm},
      {arrow_speed, spec.value(arrow_speed)},
  };
  constexpr double worth_it = 0.95;
  std::vector<Advice> out;
  for (const auto& candidate : candidates) {
    const Key key = candidate.first;  // no structured binding: clang 14 captures none
    const double value = candidate.second;
    if (spec.given(key)) continue;
    // A tied pair is a reading at full draw already; a string angle on top would only hide it.
    if (key == full_draw_string_angle && fit.legs.source == LegSource::tied_peep) continue;
    // The limb's angle counts by the draw cycle alone: its spread of families has one range less with it.
    const bool by_draw_cycle = key == limb_angle;
    if (by_draw_cycle && fit.legs.source != LegSource::draw_cycle) continue;
    const auto left = if_possible([&] {
      Spec measured = spec;
      measured.give(key, value);
      if (by_draw_cycle)
        if (const auto drawn = draw_assumptions(measured, DrawDetail::with_spread)) put(*drawn, measured);
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
