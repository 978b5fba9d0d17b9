// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/draw_estimate.hpp"

#include <cmath>

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

}  // namespace

bool has_catalogue_numbers(const Spec& spec) {
  return spec.has(bow_axle_to_axle) && spec.has(bow_brace_height) && spec.has(bow_draw_length);
}

FullDraw draw_cycle_of(const Spec& spec) {
  if (!has_catalogue_numbers(spec))
    throw Error(ErrorCode::input,
                "the draw cycle needs bow.axle_to_axle, bow.brace_height and bow.draw_length; one of them is missing");
  return cams_given(spec) ? full_draw_as_built(catalogue_of(spec), design_of(spec), strings_of(spec))
                          : full_draw_from_catalogue(catalogue_of(spec), design_of(spec), strings_of(spec));
}

DrawEstimate use_draw_cycle(Spec& spec) {
  DrawEstimate estimate;
  if (!has_catalogue_numbers(spec)) {
    estimate.refusal = "bow.axle_to_axle or bow.brace_height is missing";
    return estimate;
  }
  try {
    estimate.bow = draw_cycle_of(spec);
    const FullDraw& bow = *estimate.bow;
    constexpr int families = 48;
    // Designers' own cams leave nothing to vary but what the model leaves out: a published model of a compound
    // bow agreed with measurement to about 7 % (Sports Engineering 15 (2012) 167-175); a third of that for an angle.
    double spread_rad = 0.023 * bow.full_draw.upper.leg_angle_rad, radius_sd_mm = 1;
    if (!cams_given(spec)) {
      const LegSpread spread = leg_spread(catalogue_of(spec), design_of(spec), strings_of(spec), families, fixed_ranges(spec));
      spread_rad = spread.upper_leg_angle_rad.deviation;
      radius_sd_mm = spread.take_off_radius_mm.deviation;
    }
    // With both axles measured the angle's spread no longer counts, and that of the radius does by itself.
    const bool axles_measured = spec.has(full_draw_axle_to_axle) && spec.has(full_draw_axle_set_back);

    constexpr std::string_view reason = "the draw cycle of the catalogue's bow";
    const double travel = bow.full_draw.upper.axle_behind_pivot_mm - bow.rest().upper.axle_behind_pivot_mm;
    spec.assume(assumed_axle_closing, bow.closing_mm(), 0, reason);
    spec.assume(assumed_axle_travel, travel, 0, reason);
    spec.assume(assumed_rest_take_off_radius, bow.rest().upper.take_off_radius_mm, 0, reason);
    spec.assume(assumed_take_off_radius, bow.full_draw.upper.take_off_radius_mm, axles_measured ? radius_sd_mm : 0, reason);
    spec.set_uncertainty(spread_leg_angle, spread_rad);
    spec.travel_from_draw_cycle = true;

    // The string carries more at rest, and a mark set there comes nearer to the nock when it is drawn. The modulus
    // is known to a quarter; what a new string creeps is not modelled (0.1 mm, from memory).
    constexpr double usual_mark_mm = 130, creep_mm = 0.1;
    const double stretch = -bow.mark_change_mm(usual_mark_mm);
    spec.assume(string_stretch_at_mark, stretch, std::hypot(modulus_uncertainty * stretch, creep_mm),
                "string tension at rest and at full draw by the draw cycle");
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    estimate.bow.reset();
    estimate.refusal = e.what();
  }
  return estimate;
}

}  // namespace peepwright
