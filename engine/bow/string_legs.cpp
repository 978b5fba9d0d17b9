// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/string_legs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/quantity/format.hpp"

namespace peepwright {

std::string_view text_of(LegSource source) {
  switch (source) {
    case LegSource::string_angle: return "read at full draw";
    case LegSource::tied_peep: return "from the tied peep's mark at rest and its height at full draw";
    case LegSource::axle_positions: return "from axle positions measured at full draw";
    case LegSource::force_draw: return "by the draw cycle, from the measured draw-force table";
    case LegSource::draw_cycle: return "from catalogue numbers by the draw cycle";
    case LegSource::assumed_travel: return "from catalogue numbers and assumed axle travel";
  }
  return "";
}

std::string_view name_of(LegSource source) {
  switch (source) {
    case LegSource::string_angle: return "string_angle";
    case LegSource::tied_peep: return "tied_peep";
    case LegSource::axle_positions: return "axle_positions";
    case LegSource::force_draw: return "force_draw";
    case LegSource::draw_cycle: return "draw_cycle";
    case LegSource::assumed_travel: return "assumed_travel";
  }
  return "";
}

Leg leg_from_axle(double ahead_mm, double aside_mm, double take_off_radius_mm) {
  const double distance = std::hypot(ahead_mm, aside_mm);
  if (!(take_off_radius_mm < distance))
    throw Error(ErrorCode::input,
                fmt::format("the string cannot leave a cam of take-off radius {} whose axle is {} from "
                            "the string's bend; check take_off_radius and the axle positions",
                            both_text(take_off_radius_mm), both_text(distance)));
  Leg leg;
  leg.angle_rad = std::atan2(aside_mm, ahead_mm) + std::asin(take_off_radius_mm / distance);
  leg.free_length_mm = std::sqrt(distance * distance - take_off_radius_mm * take_off_radius_mm);
  leg.tangent_x_mm = leg.free_length_mm * std::cos(leg.angle_rad);
  leg.tangent_z_mm = leg.free_length_mm * std::sin(leg.angle_rad);
  return leg;
}

double bend_off_nock_mm(const Spec& spec) { return spec.value(Key::string_knots_apart) / 2; }

OnLeg on_upper_leg(double along_mm, double leg_rad, double bend_mm) {
  return {(along_mm - bend_mm) * std::cos(leg_rad), bend_mm + (along_mm - bend_mm) * std::sin(leg_rad)};
}

double along_of_height_mm(double height_mm, double leg_rad, double bend_mm) {
  return bend_mm + (height_mm - bend_mm) / std::sin(leg_rad);
}

double tied_along_mm(const Spec& spec) {
  using enum Key;
  return spec.value(tied_mark) + spec.value(string_nock_height) / 2 + spec.value(string_stretch_at_mark);
}

namespace {

/// Axles from what was measured at full draw, the rest assumed: by the key table, or by the draw cycle once
/// use_draw_cycle has put its results there.
StringLegs from_axles(const Spec& spec) {
  using enum Key;
  StringLegs out;
  const bool measured_spread = spec.has(full_draw_axle_to_axle), measured_back = spec.has(full_draw_axle_set_back),
             measured_radius = spec.has(full_draw_take_off_radius);
  const double apart = measured_spread ? spec.value(full_draw_axle_to_axle)
                                       : spec.value(bow_axle_to_axle) - spec.value(assumed_axle_closing);
  const double back = measured_back ? spec.value(full_draw_axle_set_back)
                                    : spec.value(bow_brace_height) - spec.value(assumed_rest_take_off_radius) +
                                          spec.value(assumed_axle_travel);
  out.take_off_radius_mm =
      measured_radius ? spec.value(full_draw_take_off_radius) : spec.value(assumed_take_off_radius);
  const auto rests_on = [&](Key key) {
    if (!spec.given(key)) out.assumptions.push_back(key);
  };
  if (!measured_spread) rests_on(assumed_axle_closing);
  if (!measured_back) rests_on(assumed_rest_take_off_radius), rests_on(assumed_axle_travel);
  if (!measured_radius) rests_on(assumed_take_off_radius);
  // Whoever writes the travel himself gets his own, not the draw cycle's.
  const bool own_travel =
      (!measured_spread && spec.given(assumed_axle_closing)) || (!measured_back && spec.given(assumed_axle_travel));
  out.source = measured_spread && measured_back             ? LegSource::axle_positions
               : own_travel || !spec.travel_from_draw_cycle ? LegSource::assumed_travel
               : spec.force_draw.empty()                    ? LegSource::draw_cycle
                                                            : LegSource::force_draw;
  out.axle_ahead_mm = spec.pivot_x().mm() - back;
  out.upper_axle_mm = apart / 2 - spec.value(bow_nock_above_centre);
  out.lower_axle_mm = apart / 2 + spec.value(bow_nock_above_centre);
  out.bend_mm = bend_off_nock_mm(spec);
  out.has_axles = true;
  if (!(out.axle_ahead_mm > 0 && out.upper_axle_mm > out.bend_mm && out.lower_axle_mm > out.bend_mm))
    throw Error(ErrorCode::input,
                fmt::format("at full draw the axles would stand {} ahead of the nocking point and {} and "
                            "{} off the arrow; check bow.draw_length, bow.brace_height and bow.axle_to_axle",
                            both_text(out.axle_ahead_mm), both_text(out.upper_axle_mm), both_text(out.lower_axle_mm)));
  const double spread = out.source == LegSource::axle_positions ? 0 : spec.value(spread_leg_angle);
  const bool by_cycle = out.source == LegSource::draw_cycle || out.source == LegSource::force_draw;
  const auto [upper_off, lower_off] = by_cycle ? spec.legs_off_means_rad : std::array<double, 2>{};
  const auto leg = [&](double aside) {
    return leg_from_axle(out.axle_ahead_mm, aside - out.bend_mm, out.take_off_radius_mm);
  };
  out.upper_rad = leg(out.upper_axle_mm).angle_rad + upper_off + spread;
  out.lower_rad = leg(out.lower_axle_mm).angle_rad + lower_off + spread;
  return out;
}

bool can_use_axles(const Spec& spec) {
  using enum Key;
  return (spec.has(full_draw_axle_to_axle) || spec.has(bow_axle_to_axle)) &&
         (spec.has(full_draw_axle_set_back) || spec.has(bow_brace_height));
}

/// What to look at where the angle of that source cannot be, the number that says most of it first.
struct Remedy {
  Key first;
  std::string_view words;
};

Remedy remedy_of(LegSource source) {
  using enum Key;
  switch (source) {
    case LegSource::string_angle:
      return {full_draw_string_angle, "Read bow.full_draw.string_angle again, and check bow.nock_above_centre"};
    case LegSource::tied_peep:
      return {tied_height_full_draw,
              "Measure peep.tied.mark and peep.tied.height_full_draw again, to the peep's centre"};
    case LegSource::axle_positions:
      return {full_draw_axle_to_axle,
              "Measure bow.full_draw.axle_to_axle and bow.full_draw.axle_set_back again, and check bow.draw_length"};
    default: break;
  }
  return {bow_draw_length, "Check bow.axle_to_axle, bow.brace_height and bow.draw_length"};
}

void check_legs(const Spec& spec, const StringLegs& legs) {
  for (const double angle_deg : {degrees(legs.upper_rad), degrees(legs.lower_rad)}) {
    if (angle_deg >= least_leg_deg && angle_deg <= most_leg_deg) continue;
    const auto [first, words] = remedy_of(legs.source);
    throw Error(ErrorCode::input, spec[first].where,
                fmt::format("these numbers ({}) put a string leg at {:.1f} deg to the arrow at full draw; {:g} to {:g} "
                            "deg can be. {}",
                            text_of(legs.source), angle_deg, least_leg_deg, most_leg_deg, words));
  }
}

/// How much nearer together the axles would be at full draw than at rest, for legs at these angles to end on them.
double closing_mm(const Spec& spec, const StringLegs& legs) {
  const auto aside = [&](double leg_rad) {
    return legs.bend_mm + (legs.axle_ahead_mm * std::sin(leg_rad) - legs.take_off_radius_mm) / std::cos(leg_rad);
  };
  return spec.value(Key::bow_axle_to_axle) - aside(legs.upper_rad) - aside(legs.lower_rad);
}

/// An angle that no bow of this length makes: limbs bend inward, by a tenth of what the axles are apart or so. The
/// share that is let pass either way is a reading some 10 deg off, of which a note says that sources disagree;
/// judgement, no source.
void check_closing(const Spec& spec, const StringLegs& legs) {
  using enum Key;
  const bool read = legs.source == LegSource::string_angle || legs.source == LegSource::tied_peep;
  if (!read || !legs.has_axles || !spec.has(bow_axle_to_axle) || spec.has(full_draw_axle_to_axle)) return;
  constexpr double most_of_all = 0.4;
  const double closing = closing_mm(spec, legs), rest = spec.value(bow_axle_to_axle);
  if (std::abs(closing) <= most_of_all * rest) return;
  const auto [first, words] = remedy_of(legs.source);
  throw Error(
      ErrorCode::input, spec[first].where,
      fmt::format(
          "these numbers ({}) put the upper string leg at {:.1f} deg, and the axles {} {} at full draw than the "
          "{} of bow.axle_to_axle at rest, which no bow does. {}. Check bow.axle_to_axle and bow.draw_length, too",
          text_of(legs.source), degrees(legs.upper_rad), both_text(std::abs(closing)),
          closing < 0 ? "farther apart" : "nearer together", both_text(rest), words));
}

}  // namespace

std::vector<StringLegs> all_string_legs(const Spec& spec) {
  using enum Key;
  std::vector<StringLegs> out;
  StringLegs axles;
  axles.bend_mm = bend_off_nock_mm(spec);
  // Half of what the upper leg is steeper or flatter than the lower, which an angle alone cannot tell.
  double half_difference = 0;
  if (can_use_axles(spec)) {
    axles = from_axles(spec);
    half_difference = (axles.upper_rad - axles.lower_rad) / 2;
  }
  const auto with_angles = [&](LegSource source, double upper, double lower) {
    StringLegs legs = axles;
    legs.source = source;
    legs.upper_rad = upper;
    legs.lower_rad = lower;
    legs.assumptions.clear();
    out.push_back(legs);
  };
  if (const auto included = spec.maybe(full_draw_string_angle))
    with_angles(LegSource::string_angle, *included / 2 + half_difference, *included / 2 - half_difference);
  if (spec.has(tied_mark) && spec.has(tied_height_full_draw)) {
    const double rise = spec.value(tied_height_full_draw) - axles.bend_mm, along = tied_along_mm(spec) - axles.bend_mm;
    const double upper = std::asin(std::clamp(rise / along, -1.0, 1.0));
    with_angles(LegSource::tied_peep, upper, upper - 2 * half_difference);
  }
  if (axles.has_axles) out.push_back(axles);
  if (out.empty())
    throw Error(ErrorCode::internal, "no source for the string's angle at full draw; check_spec should have said so");
  check_legs(spec, out.front());
  check_closing(spec, out.front());
  return out;
}

StringLegs string_legs(const Spec& spec) { return all_string_legs(spec).front(); }

}  // namespace peepwright
