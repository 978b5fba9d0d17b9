// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/full_draw.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

namespace {

constexpr double past_valley_mm = 60;  // stretch and offset move the valley by a few millimetres
constexpr double draw_tolerance_mm = 1e-4;
constexpr double let_off_tolerance = 1e-6;
constexpr double weight_tolerance = 1e-9;  // relative
constexpr int corrections = 12;

[[noreturn]] void refuse_off_centre(const CatalogueBow& bow) {
  throw Error(ErrorCode::input,
              fmt::format("a bow of {} axle to axle with its nocking point {} above centre and its pivot "
                          "{} above centre has no full draw at {}: check nock_above_centre",
                          both_text(bow.axle_to_axle_mm), both_text(bow.nock_above_centre_mm),
                          both_text(bow.pivot_above_centre_mm), both_text(bow.draw_length_to_pivot_mm)));
}

ElasticDraw elastic(const CatalogueBow& bow, const DrawCycle& cycle, const DrawState& full, const StringData& strings,
                    NockPath path) {
  // By full draw nearly all the string is off its cams; the cable that stretches is what spans the axles at rest.
  return {bow,     cycle.design(),   cycle.limb_stiffness_n_mm(),
          strings, full.leg_free_mm, 2 * cycle.at_rest().axle_height_mm,
          path};
}

/// Nothing where this bow cannot be drawn along this path.
std::optional<FullDraw> sized_along(NockPath path, const CatalogueBow& bow, const BowDesign& design,
                                    const StringData& strings, const CamSizeLimits& limits) {
  CatalogueBow aim = bow;  // what the symmetric, inextensible bow is sized to
  for (int i = 0; i < corrections; ++i) {
    const SizedBow sized = size_to_catalogue(aim, design, limits);
    ElasticDraw cycle = elastic(bow, sized.cycle, sized.full_draw, strings, path);
    auto found = find_peak_and_valley(cycle, bow.draw_length_to_pivot_mm + past_valley_mm);
    if (!found) return std::nullopt;
    const double draw_miss = found->valley.draw_mm - bow.draw_length_to_pivot_mm;
    const double let_off_miss = 1 - found->valley.force_n / found->peak.force_n - bow.let_off;
    const double weight_ratio = bow.peak_weight_n / found->peak.force_n;
    if (std::abs(draw_miss) < draw_tolerance_mm && std::abs(let_off_miss) < let_off_tolerance &&
        std::abs(weight_ratio - 1) < weight_tolerance) {
      const auto full = cycle.solve(bow.draw_length_to_pivot_mm, found->valley);
      if (!full) return std::nullopt;
      return FullDraw{sized.cycle.design(),
                      sized.cam_scale,
                      sized.cycle.limb_stiffness_n_mm(),
                      strings,
                      path,
                      std::move(cycle),
                      found->peak,
                      *full};
    }
    aim.draw_length_to_pivot_mm -= draw_miss;
    aim.let_off = std::clamp(aim.let_off - let_off_miss, bow.let_off / 2, (1 + bow.let_off) / 2);
    aim.peak_weight_n *= weight_ratio;
  }
  return std::nullopt;
}

/// The highest force up to `end_mm`; nothing where the draw ends before.
std::optional<ElasticState> peak_until(const ElasticDraw& cycle, double end_mm) {
  if (!cycle.at_rest().stable) return std::nullopt;
  if (const auto found = find_peak_and_valley(cycle, end_mm)) return found->peak;
  // No valley on the way: the force is highest at its only peak, looked for in short steps, or at the end.
  constexpr int steps = 400;
  const double brace = cycle.at_rest().draw_mm;
  std::optional<ElasticState> s = cycle.at_rest();
  std::optional<ElasticState> best = s;
  for (int k = 1; s && k <= steps; ++k) {
    s = cycle.follow(brace + (end_mm - brace) * k / steps, *s);
    if (s && s->force_n > best->force_n) best = s;
  }
  return s ? best : s;
}

/// Nothing where this bow cannot be drawn along this path.
std::optional<FullDraw> built_along(NockPath path, const CatalogueBow& bow, const BowDesign& design,
                                    const StringData& strings) {
  const double end = bow.draw_length_to_pivot_mm;
  DrawCycle cycle(bow.axle_to_axle_mm, bow.brace_height_mm, design);
  const auto unit_full = cycle.follow(end);
  if (!unit_full) return std::nullopt;
  const auto unit_peak = peak_until(elastic(bow, cycle, *unit_full, inextensible(), path), end);
  if (!unit_peak || !(unit_peak->force_n > 0)) return std::nullopt;
  // Stretch changes the peak by parts in a thousand; a few corrections of the stiffness meet the weight.
  double stiffness = bow.peak_weight_n / unit_peak->force_n;
  for (int i = 0; i < corrections; ++i) {
    cycle.set_limb_stiffness_n_mm(stiffness);
    ElasticDraw whole = elastic(bow, cycle, *unit_full, strings, path);
    const auto peak = peak_until(whole, end);
    const auto full = whole.follow(end);
    if (!peak || !full || !(peak->force_n > 0)) return std::nullopt;
    const double ratio = bow.peak_weight_n / peak->force_n;
    if (std::abs(ratio - 1) < weight_tolerance)
      return FullDraw{design, 1, stiffness, strings, path, std::move(whole), *peak, *full};
    stiffness *= ratio;
  }
  return std::nullopt;
}

}  // namespace

double FullDraw::closing_mm() const {
  const ElasticState& r = rest();
  return r.upper.axle_from_centre_mm + r.lower.axle_from_centre_mm - full_draw.upper.axle_from_centre_mm -
         full_draw.lower.axle_from_centre_mm;
}

double FullDraw::mark_change_mm(double along_mm) const {
  return peepwright::mark_change_mm(along_mm, rest().upper.string_n, full_draw.upper.string_n, strings.string);
}

std::vector<ForceDrawPoint> FullDraw::curve(int points) const {
  if (points < 2)
    throw Error(ErrorCode::input, fmt::format("a draw-force curve of {} points: it needs two at least", points));
  std::vector<double> draws;
  for (int i = 1; i < points; ++i)
    draws.push_back(rest().draw_mm + (full_draw.draw_mm - rest().draw_mm) * i / (points - 1));
  std::vector<ForceDrawPoint> out{{rest().draw_mm, 0}};
  for (const ElasticState& s : states(draws)) out.push_back({s.draw_mm, s.force_n});
  return out;
}

std::vector<ElasticState> FullDraw::states(const std::vector<double>& draws_mm) const {
  std::vector<ElasticState> out;
  for (const double draw : draws_mm) {
    const ElasticState& before = out.empty() ? rest() : out.back();
    const auto next = draw == before.draw_mm ? std::optional(before) : cycle.follow(draw, before);
    if (!next)
      throw Error(ErrorCode::input, fmt::format("these cams and limbs cannot be drawn through {} to the pivot: "
                                                "check the cam radii, eccentricities and angles",
                                                both_text(draw)));
    out.push_back(*next);
  }
  return out;
}

FullDraw full_draw_from_catalogue(const CatalogueBow& bow, const BowDesign& design, const StringData& strings,
                                  const CamSizeLimits& limits) {
  for (const NockPath path : {NockPath::balanced, NockPath::level})
    if (auto found = sized_along(path, bow, design, strings, limits)) return std::move(*found);
  refuse_off_centre(bow);
}

FullDraw full_draw_as_built(const CatalogueBow& bow, const BowDesign& design, const StringData& strings) {
  CatalogueBow checked = bow;
  checked.let_off = 0.5;
  check_catalogue(checked);
  check_design(design);
  for (const NockPath path : {NockPath::balanced, NockPath::level})
    if (auto found = built_along(path, bow, design, strings)) return std::move(*found);
  throw Error(ErrorCode::input,
              fmt::format("these cams and limbs cannot be drawn {} to the pivot: check the cam radii, "
                          "eccentricities, angles and the draw length",
                          both_text(bow.draw_length_to_pivot_mm)));
}

}  // namespace peepwright
