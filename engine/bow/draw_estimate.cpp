// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/draw_estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/bow/force_draw_fit.hpp"
#include "engine/bow/string_legs.hpp"

namespace peepwright {
namespace {

using enum Key;

CatalogueBow catalogue_of(const Spec& spec) {
  CatalogueBow bow;
  bow.axle_to_axle_mm = spec.value(bow_axle_to_axle);
  bow.brace_height_mm = spec.value(bow_brace_height);
  bow.draw_length_to_pivot_mm = spec.pivot_x().mm();
  bow.peak_weight_n = spec.value(bow_peak_weight);
  bow.let_off = spec.value(bow_let_off);
  bow.nock_above_centre_mm = spec.value(bow_nock_above_centre);
  return bow;
}

bool cams_given(const Spec& spec) { return spec.given(cam_string_radius); }  // check_spec: all six or none

BowDesign design_of(const Spec& spec) {
  BowDesign design;
  design.limb_length_mm = spec.maybe(limb_length).value_or(design.limb_length_mm);
  design.limb_angle_rad = spec.maybe(limb_angle).value_or(design.limb_angle_rad);
  design.limb_preload_rad = spec.maybe(limb_preload).value_or(design.limb_preload_rad);
  if (cams_given(spec)) {
    design.string_track = {spec.value(cam_string_radius), spec.value(cam_string_eccentricity), spec.value(cam_string_angle)};
    design.cable_track = {spec.value(cam_cable_radius), spec.value(cam_cable_eccentricity), spec.value(cam_cable_angle)};
  }
  return design;
}

StringData strings_of(const Spec& spec) {
  StringData strings;
  strings.string.count = static_cast<int>(std::lround(spec.value(string_strands)));
  return strings;
}

/// Families' ranges that a measured number closes.
std::vector<std::string_view> fixed_ranges(const Spec& spec) {
  std::vector<std::string_view> out;
  if (spec.given(limb_length)) out.emplace_back("limb_length");
  if (spec.given(limb_angle)) out.emplace_back("limb_angle");
  if (spec.given(limb_preload)) out.emplace_back("limb_preload");
  return out;
}

/// The bow, and how its limbs and cams were found where a table tells them.
struct Solved {
  FullDraw bow;
  std::optional<ForceDrawFit> fit;
};

Solved solve_bow(const Spec& spec) {
  CatalogueBow catalogue = catalogue_of(spec);
  const BowDesign design = design_of(spec);
  const StringData strings = strings_of(spec);
  if (cams_given(spec)) return {full_draw_as_built(catalogue, design, strings), std::nullopt};
  if (spec.force_draw.empty()) return {full_draw_from_catalogue(catalogue, design, strings), std::nullopt};

  std::vector<ForceDrawPoint> table;
  double highest = 0;
  for (const ForceReading& r : spec.force_draw) {
    table.push_back({spec.to_pivot(r.draw).mm(), r.force.n()});
    highest = std::max(highest, r.force.n());
  }
  // A first guess that the catalogue's round numbers would only make worse.
  constexpr double least_let_off = 0.3, most_let_off = 0.95;
  catalogue.peak_weight_n = highest;
  if (highest > 0) catalogue.let_off = std::clamp(1 - table.back().force_n / highest, least_let_off, most_let_off);
  FitOptions options;
  options.fixed = fixed_ranges(spec);
  try {
    ForceDrawFit fit = fit_force_draw(catalogue, table, design, options);
    // A misfit that is smooth, as of cams that are not round, hides in the unknowns: what is left of it is a third or
    // less, and the leg angle pays for the rest. Measured on bows of every family with waves of 2 to 8 N on their
    // tables: readings held for four times as uncertain as they scatter keep the angle's error within what is claimed.
    constexpr double hidden = 4;
    options.force_deviation_n = std::max(options.force_deviation_n, hidden * fit.root_mean_square_n);
    fit = fit_force_draw(catalogue, table, design, options);
    const DrawCycle cycle(catalogue.axle_to_axle_mm, catalogue.brace_height_mm, fit.design, fit.limb_stiffness_n_mm);
    catalogue.peak_weight_n = peak_force_n(cycle, catalogue.draw_length_to_pivot_mm);
    return {full_draw_as_built(catalogue, fit.design, strings), fit};
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    throw Error(ErrorCode::input, spec.force_draw.front().where, fmt::format("bow.force_draw: {}", e.what()));
  }
}

/// Standard uncertainties of the upper leg's angle and of the take-off radius.
struct Deviations {
  double leg_rad = 0, radius_mm = 0;
};

Deviations deviations_of(const Spec& spec, const Solved& solved) {
  // A cam that was measured, or fitted to a table, is known to about a millimetre; from memory, no source.
  constexpr double known_radius_mm = 1;
  if (solved.fit) return {solved.fit->leg_angle_uncertainty_rad, known_radius_mm};
  // Designers' own cams leave nothing to vary but what the model leaves out: a published model of a compound
  // bow agreed with measurement to about 7 % (Sports Engineering 15 (2012) 167-175); a third of that for an angle.
  if (cams_given(spec)) return {0.023 * solved.bow.full_draw.upper.leg_angle_rad, known_radius_mm};
  constexpr int families = 48;
  const LegSpread spread = leg_spread(catalogue_of(spec), design_of(spec), strings_of(spec), families, fixed_ranges(spec));
  return {spread.upper_leg_angle_rad.deviation, spread.take_off_radius_mm.deviation};
}

}  // namespace

bool has_catalogue_numbers(const Spec& spec) {
  return spec.has(bow_axle_to_axle) && spec.has(bow_brace_height) && spec.has(bow_draw_length);
}

FullDraw draw_cycle_of(const Spec& spec) {
  if (!has_catalogue_numbers(spec))
    throw Error(ErrorCode::input,
                "the draw cycle needs bow.axle_to_axle, bow.brace_height and bow.draw_length; one of them is missing");
  return solve_bow(spec).bow;
}

DrawEstimate use_draw_cycle(Spec& spec) {
  DrawEstimate estimate;
  if (!has_catalogue_numbers(spec)) {
    estimate.refusal = "bow.axle_to_axle or bow.brace_height is missing";
    return estimate;
  }
  try {
    const Solved solved = solve_bow(spec);
    const FullDraw& bow = solved.bow;
    const Deviations deviations = deviations_of(spec, solved);
    estimate.leg_deviation_rad = deviations.leg_rad;
    if (solved.fit) estimate.table_deviation_n = solved.fit->root_mean_square_n;
    // With both axles measured the angle's spread no longer counts, and that of the radius does by itself.
    const bool axles_measured = spec.has(full_draw_axle_to_axle) && spec.has(full_draw_axle_set_back);

    const std::string_view reason =
        solved.fit ? "the draw cycle fitted to bow.force_draw" : "the draw cycle of the catalogue's bow";
    const double travel = bow.full_draw.upper.axle_behind_pivot_mm - bow.rest().upper.axle_behind_pivot_mm;
    spec.assume(assumed_axle_closing, bow.closing_mm(), 0, reason);
    spec.assume(assumed_axle_travel, travel, 0, reason);
    spec.assume(assumed_rest_take_off_radius, bow.rest().upper.take_off_radius_mm, 0, reason);
    spec.assume(assumed_take_off_radius, bow.full_draw.upper.take_off_radius_mm,
                axles_measured ? deviations.radius_mm : 0, reason);
    spec.set_uncertainty(spread_leg_angle, deviations.leg_rad);
    spec.travel_from_draw_cycle = true;
    if (solved.fit) {
      spec.assume(bow_peak_weight, bow.peak.force_n, info_of(bow_peak_weight).measured_uncertainty, reason);
      spec.assume(bow_let_off, bow.let_off(), info_of(bow_let_off).measured_uncertainty, reason);
    }

    // The string carries more at rest, and a mark set there comes nearer to the nock when it is drawn. The modulus
    // is known to a quarter; what a new string creeps is not modelled (0.1 mm, from memory).
    constexpr double usual_mark_mm = 130, creep_mm = 0.1;
    const double stretch = -bow.mark_change_mm(usual_mark_mm);
    spec.assume(string_stretch_at_mark, stretch, std::hypot(modulus_uncertainty * stretch, creep_mm),
                "string tension at rest and at full draw by the draw cycle");
    estimate.bow = bow;
  } catch (const Error& e) {
    // A table that was measured and fits no bow is a mistake to mend, not a gap to fill with an assumption.
    if (e.code() != ErrorCode::input || !spec.force_draw.empty()) throw;
    estimate.refusal = e.what();
  }
  return estimate;
}

}  // namespace peepwright
