// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/draw_estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

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
  design.bend_off_nock_mm = bend_off_nock_mm(spec);
  if (cams_given(spec)) {
    design.string_track = {spec.value(cam_string_radius), spec.value(cam_string_eccentricity),
                           spec.value(cam_string_angle)};
    design.cable_track = {spec.value(cam_cable_radius), spec.value(cam_cable_eccentricity),
                          spec.value(cam_cable_angle)};
  }
  return design;
}

StringData strings_of(const Spec& spec) {
  StringData strings;
  strings.string.count = static_cast<int>(std::lround(spec.value(string_strands)));
  return strings;
}

constexpr std::array limb_ranges{std::pair{limb_length, "limb_length"}, std::pair{limb_angle, "limb_angle"},
                                 std::pair{limb_preload, "limb_preload"}};

/// Families' ranges that a measured number closes.
std::vector<std::string_view> fixed_ranges(const Spec& spec) {
  std::vector<std::string_view> out;
  for (const auto& [key, name] : limb_ranges)
    if (spec.given(key)) out.emplace_back(name);
  return out;
}

/// The families' ranges, those of measured numbers no wider than their uncertainty: evenly scattered over twice the
/// root of three of it, numbers have just that standard deviation.
std::vector<FamilyRange> ranges_of(const Spec& spec) {
  std::vector<FamilyRange> out = family_ranges();
  for (const auto& [key, name] : limb_ranges) {
    if (!spec.given(key)) continue;
    const double half = std::sqrt(3.0) * spec[key].uncertainty;
    for (FamilyRange& range : out)
      if (range.name == name) range.low = spec.value(key) - half, range.high = spec.value(key) + half;
  }
  return out;
}

/// The bow, and how its limbs and cams were found where a table tells them.
struct Solved {
  FullDraw bow;
  std::optional<ForceDrawFit> fit;
};

Solved solve_bow(const Spec& spec, const BowDesign& design) {
  CatalogueBow catalogue = catalogue_of(spec);
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
  if (spec.force_draw_uncertainty) options.force_deviation_n = spec.force_draw_uncertainty->n();
  try {
    ForceDrawFit fit = fit_force_draw(catalogue, table, design, options);
    // A misfit that is smooth, as of cams that are not round, hides in the unknowns: what is left of it is a third or
    // less, and the leg angle pays for the rest. Measured on bows of every family with waves of 2 to 8 N on their
    // tables: readings held for eight times as uncertain as they scatter keep the angle's error within what is claimed.
    constexpr double hidden = 8;
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

Solved solve_bow(const Spec& spec) {
  BowDesign design = design_of(spec);
  try {
    return solve_bow(spec, design);
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input || spec.given(limb_angle) || cams_given(spec)) throw;
    // Flat limbs bring the axles nearer in a long draw, and less cam has room: steep ones may make this bow.
    design.limb_angle_rad = 60 * unit::degree_rad;
    try {
      return solve_bow(spec, design);
    } catch (const Error& again) {
      if (again.code() != ErrorCode::input) throw;
    }
    throw;
  }
}

/// What a limb that stands anywhere in the families' range moves the upper leg of cams that are given by.
double limb_deviation_rad(const Spec& spec) {
  const auto range = std::ranges::find(family_ranges(), std::string_view("limb_angle"), &FamilyRange::name);
  const double half =
      spec.given(limb_angle) ? spec[limb_angle].uncertainty : (range->high - range->low) / std::sqrt(12);
  const auto leg = [&](double by) {
    BowDesign design = design_of(spec);
    design.limb_angle_rad += by;
    try {
      return full_draw_as_built(catalogue_of(spec), design, strings_of(spec)).full_draw.upper.leg_angle_rad;
    } catch (const Error& e) {
      if (e.code() != ErrorCode::input) throw;
      return no_value;  // cannot be drawn so far
    }
  };
  for (const double share : {1.0, 0.25})
    if (const double moved = (leg(share * half) - leg(-share * half)) / (2 * share); !std::isnan(moved))
      return std::abs(moved);
  return 3 * unit::degree_rad;  // as where most families make no bow
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
  // bow agreed with measurement to about 7 % (Sports Engineering 15 (2012) 167-175); a third of that for an angle is
  // judgement. Limbs that nobody measured come on top.
  if (cams_given(spec))
    return {std::hypot(0.023 * solved.bow.full_draw.upper.leg_angle_rad, limb_deviation_rad(spec)), known_radius_mm};
  constexpr int families = 48;
  try {
    const LegSpread spread =
        leg_spread(catalogue_of(spec), design_of(spec), strings_of(spec), families, {}, ranges_of(spec));
    // The usual design stands, and not the families' mean, so that what lies between the two is open as well.
    const HalfState& own = solved.bow.full_draw.upper;
    return {spread.upper_leg_angle_rad.deviation_from(own.leg_angle_rad),
            spread.take_off_radius_mm.deviation_from(own.take_off_radius_mm)};
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;
    // Most families make no bow of these numbers, but the usual one does: its angle stands, less sure than any that a
    // spread gave (0.8 to 1.4 deg over 96 bows of 28 to 40 in, brace 6 and 7 in, draw 24 to 30 in). Judgement, no
    // source.
    return {3 * unit::degree_rad, 10};
  }
}

DrawAssumptions assumptions_of(const Spec& spec, const Solved& solved, DrawDetail detail) {
  const FullDraw& bow = solved.bow;
  const Deviations deviations = detail == DrawDetail::with_spread ? deviations_of(spec, solved) : Deviations{};
  DrawAssumptions out;
  out.closing_mm = bow.closing_mm();
  const ElasticState &rest = bow.rest(), &full = bow.full_draw;
  const auto mean = [](const ElasticState& s, double HalfState::*of) { return (s.upper.*of + s.lower.*of) / 2; };
  out.travel_mm = mean(full, &HalfState::axle_behind_pivot_mm) - mean(rest, &HalfState::axle_behind_pivot_mm);
  out.rest_take_off_radius_mm = mean(rest, &HalfState::take_off_radius_mm);
  out.take_off_radius_mm = mean(full, &HalfState::take_off_radius_mm);
  out.upper_leg_rad = full.upper.leg_angle_rad;
  out.lower_leg_rad = full.lower.leg_angle_rad;
  out.leg_deviation_rad = deviations.leg_rad;
  out.radius_deviation_mm = deviations.radius_mm;
  constexpr double usual_mark_mm = 130;
  out.stretch_at_mark_mm = -bow.mark_change_mm(usual_mark_mm);
  out.from_table = solved.fit.has_value();
  out.peak_n = bow.peak.force_n;
  out.let_off = bow.let_off();
  if (const auto read = forces_read(spec); read && out.from_table && read->peak.force.n() > 0) {
    out.peak_n = read->peak.force.n();
    if (read->holding_n) out.let_off = 1 - *read->holding_n / out.peak_n;
  }
  out.usual_cams = !out.from_table && !cams_given(spec);
  out.stored_j = full.stored_j;
  return out;
}

/// A table that was measured and fits no bow is a mistake to mend, not a gap to fill with an assumption.
bool may_be_assumed(const Spec& spec, const Error& e) {
  return e.code() == ErrorCode::input && spec.force_draw.empty();
}

}  // namespace

bool has_catalogue_numbers(const Spec& spec) {
  return spec.has(bow_axle_to_axle) && spec.has(bow_brace_height) && spec.has(bow_draw_length);
}

std::optional<ForcesRead> forces_read(const Spec& spec) {
  if (spec.force_draw.empty()) return std::nullopt;
  const auto force_of = [](const ForceReading& r) { return r.force.n(); };
  ForcesRead out{*std::ranges::max_element(spec.force_draw, {}, force_of), std::nullopt};
  const ForceReading& last = spec.force_draw.back();
  constexpr double near_enough_mm = unit::inch_mm / 2;
  if (spec.has(bow_draw_length) && std::abs(last.draw.mm() - spec.value(bow_draw_length)) <= near_enough_mm)
    out.holding_n = last.force.n();
  return out;
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
    Solved solved = solve_bow(spec);
    const DrawAssumptions assumptions = assumptions_of(spec, solved, DrawDetail::with_spread);
    put(assumptions, spec);
    estimate.leg_deviation_rad = assumptions.leg_deviation_rad;
    estimate.stored = stored_energy(assumptions, spec);
    estimate.speed = speed_of(assumptions, spec);
    if (solved.fit) estimate.table_deviation_n = solved.fit->root_mean_square_n;
    estimate.bow = std::move(solved.bow);
  } catch (const Error& e) {
    if (!may_be_assumed(spec, e)) throw;
    estimate.refusal = e.what();
  }
  return estimate;
}

std::optional<DrawAssumptions> draw_assumptions(const Spec& spec, DrawDetail detail) {
  if (!has_catalogue_numbers(spec)) return std::nullopt;
  try {
    return assumptions_of(spec, solve_bow(spec), detail);
  } catch (const Error& e) {
    if (!may_be_assumed(spec, e)) throw;
    return std::nullopt;
  }
}

StoredEnergy stored_energy(const DrawAssumptions& a, const Spec& spec) {
  if (a.from_table) return stored_as_measured(a.stored_j);
  const Input& peak = spec[bow_peak_weight];
  const double peak_uncertainty = peak.uncertainty / peak.value;
  constexpr double model = 0.07;  // as above: a published model's agreement with measurement
  return a.usual_cams ? stored_by_catalogue(a.stored_j, peak_uncertainty)
                      : stored_as_measured(a.stored_j, std::hypot(model, peak_uncertainty));
}

SpeedByEnergy speed_of(const DrawAssumptions& a, const Spec& spec) {
  const Input& arrow = spec[arrow_mass];
  return speed_by_energy(stored_energy(a, spec), arrow.value, arrow.uncertainty);
}

void put(const DrawAssumptions& a, Spec& spec) {
  // With both axles measured the angle's spread no longer counts, and that of the radius does by itself.
  const bool axles_measured = spec.has(full_draw_axle_to_axle) && spec.has(full_draw_axle_set_back);
  const std::string_view reason =
      a.from_table ? "the draw cycle fitted to bow.force_draw" : "the draw cycle of the catalogue's bow";
  spec.assume(assumed_axle_closing, a.closing_mm, 0, reason);
  spec.assume(assumed_axle_travel, a.travel_mm, 0, reason);
  spec.assume(assumed_rest_take_off_radius, a.rest_take_off_radius_mm, 0, reason);
  spec.assume(assumed_take_off_radius, a.take_off_radius_mm, axles_measured ? a.radius_deviation_mm : 0, reason);
  spec.set_uncertainty(spread_leg_angle, a.leg_deviation_rad);
  spec.travel_from_draw_cycle = true;
  // A nocking point off the middle draws the halves apart, which means of the two do not tell.
  const double ahead = spec.pivot_x().mm() - (spec.value(bow_brace_height) - a.rest_take_off_radius_mm + a.travel_mm);
  const double half = (spec.value(bow_axle_to_axle) - a.closing_mm) / 2, above = spec.value(bow_nock_above_centre);
  const double bend = bend_off_nock_mm(spec);
  const auto by_means = [&](double aside) {
    return leg_from_axle(ahead, aside - bend, a.take_off_radius_mm).angle_rad;
  };
  spec.legs_off_means_rad = {a.upper_leg_rad - by_means(half - above), a.lower_leg_rad - by_means(half + above)};
  if (a.from_table) {
    spec.assume(bow_peak_weight, a.peak_n, info_of(bow_peak_weight).measured_uncertainty, reason);
    spec.assume(bow_let_off, a.let_off, info_of(bow_let_off).measured_uncertainty, reason);
  }
  const SpeedByEnergy speed = speed_of(a, spec);
  // As it is, though a file may not say a speed so low or so high: the sight marks are those of this bow.
  spec.assume(arrow_speed, speed.m_s, speed.deviation_m_s,
              a.from_table   ? "stored energy by the draw-force table"
              : a.usual_cams ? "stored energy by the draw cycle, cams as usual"
                             : "stored energy by the draw cycle of the cams given");
  // The string carries more at rest, and a mark set there comes nearer to the nock when it is drawn. The modulus
  // is known to a quarter; what a new string creeps is not modelled (0.1 mm, from memory).
  constexpr double creep_mm = 0.1;
  spec.assume(string_stretch_at_mark, a.stretch_at_mark_mm,
              std::hypot(modulus_uncertainty * a.stretch_at_mark_mm, creep_mm),
              "string tension at rest and at full draw by the draw cycle");
}

DrawInputs draw_inputs(const Spec& spec) {
  constexpr std::array keys{
      bow_axle_to_axle,       bow_brace_height,  bow_draw_length,         bow_peak_weight,  bow_let_off,
      bow_nock_above_centre,  string_strands,    string_knots_apart,      limb_length,      limb_angle,
      limb_preload,           cam_string_radius, cam_string_eccentricity, cam_string_angle, cam_cable_radius,
      cam_cable_eccentricity, cam_cable_angle};
  static_assert(keys.size() + 1 == std::tuple_size_v<DrawInputs>);
  DrawInputs out{};
  for (std::size_t i = 0; i < keys.size(); ++i) out[i] = spec.maybe(keys[i]).value_or(-1e9);
  out.back() = spec.pivot_x().mm();
  return out;
}

}  // namespace peepwright
