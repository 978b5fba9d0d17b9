// SPDX-License-Identifier: GPL-3.0-or-later
// What cannot be, though each key by itself could.
#include <fmt/format.h>

#include <cmath>
#include <initializer_list>

#include "engine/quantity/format.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {
namespace {

std::string shown(const Spec& spec, Key key) {
  const KeyInfo& row = info_of(key);
  const Input& input = spec[key];
  return fmt::format("{} = {}", row.path, text_as_written(input.value, row.dimension, input.unit));
}

const Location& place_of(const Spec& spec, Key a, Key b) { return spec.given(a) ? spec[a].where : spec[b].where; }

void refuse_unless(bool holds, const Spec& spec, Key a, std::string_view relation, Key b) {
  if (!holds)
    throw Error(ErrorCode::input, place_of(spec, a, b),
                fmt::format("{} must be {} {}", shown(spec, a), relation, shown(spec, b)));
}

void smaller(const Spec& spec, Key a, Key b) {
  if (spec.has(a) && spec.has(b)) refuse_unless(spec.value(a) < spec.value(b), spec, a, "less than", b);
}

void at_most(const Spec& spec, Key a, Key b) {
  if (spec.has(a) && spec.has(b)) refuse_unless(spec.value(a) <= spec.value(b), spec, a, "at most", b);
}

void together(const Spec& spec, std::initializer_list<Key> keys) {
  for (const Key given : keys)
    for (const Key missing : keys)
      if (spec.given(given) && !spec.given(missing))
        throw Error(
            ErrorCode::input, spec[given].where,
            fmt::format("{} is given without {}; give both or neither", info_of(given).path, info_of(missing).path));
}

void require(const Spec& spec, Key key, double example_in, std::string_view why) {
  if (spec.has(key)) return;
  const KeyInfo& row = info_of(key);
  throw Error(ErrorCode::input, fmt::format("{} is missing ({}); {}, for example {} = \"{:.4g} in\"", row.path,
                                            row.help, why, row.path, example_in));
}

/// A measured table goes from brace to full draw, counted as the draw length is, and tells the cams alone.
void check_force_draw(const Spec& spec) {
  if (spec.force_draw.empty()) return;
  constexpr std::string_view path = "bow.force_draw";
  const auto refuse = [&](const Location& where, const std::string& problem) {
    throw Error(ErrorCode::input, where, fmt::format("{}: {}", path, problem));
  };
  const ForceReading &first = spec.force_draw.front(), &last = spec.force_draw.back();
  for (const Key needed : {Key::bow_axle_to_axle, Key::bow_brace_height})
    if (!spec.has(needed)) refuse(first.where, fmt::format("needs {} beside it", info_of(needed).path));
  if (spec.given(Key::cam_string_radius))
    refuse(first.where, "and the bow.cam keys both fix the cams; give one of them");
  const double brace_mm = spec.value(Key::bow_brace_height), full_mm = spec.pivot_x().mm();
  const double slack_mm = Length::in(1).mm();
  const std::string counting = spec.draw_length_includes_offset
                                   ? "draws count to the pivot plus 1 3/4 in, as bow.draw_length_to says"
                                   : "draws count to the pivot, as bow.draw_length_to says";
  const auto counted = [&](double to_pivot_mm) { return spec.from_pivot(Length::mm(to_pivot_mm)).mm(); };
  for (const ForceReading& r : spec.force_draw)
    if (const double draw_mm = spec.to_pivot(r.draw).mm();
        !(draw_mm > brace_mm - slack_mm && draw_mm < full_mm + slack_mm))
      refuse(r.where, fmt::format("{} is not between brace, {}, and full draw, {}; {}", both_text(r.draw.mm()),
                                  both_text(counted(brace_mm)), both_text(counted(full_mm)), counting));
  constexpr double rounding_mm = 1;
  if (spec.to_pivot(last.draw).mm() < full_mm - slack_mm - rounding_mm)
    refuse(last.where, fmt::format("ends at {}, full draw is at {}; read on to full draw ({})",
                                   both_text(last.draw.mm()), both_text(counted(full_mm)), counting));
}

}  // namespace

void check_spec(const Spec& spec) {
  using enum Key;
  require(spec, bow_draw_length, 29.5, "it is always needed");
  const bool tied_pair = spec.has(tied_mark) && spec.has(tied_height_full_draw);
  if (!spec.has(full_draw_string_angle) && !tied_pair) {
    constexpr std::string_view why =
        "it is needed unless bow.full_draw.string_angle, or peep.tied.mark with peep.tied.height_full_draw, is given";
    if (!spec.has(full_draw_axle_to_axle)) require(spec, bow_axle_to_axle, 33, why);
    if (!spec.has(full_draw_axle_set_back)) require(spec, bow_brace_height, 6.75, why);
  }

  if (spec.has(tied_height_full_draw) && !spec.has(tied_mark))
    throw Error(
        ErrorCode::input, spec[tied_height_full_draw].where,
        "peep.tied.height_full_draw is given without peep.tied.mark; only both together tell the string's angle");

  const double pivot_mm = spec.pivot_x().mm();
  if (spec.has(bow_brace_height) && spec.value(bow_brace_height) >= pivot_mm)
    throw Error(ErrorCode::input, place_of(spec, bow_brace_height, bow_draw_length),
                fmt::format("{} must be less than the draw to the pivot, {}", shown(spec, bow_brace_height),
                            both_text(pivot_mm)));
  smaller(spec, full_draw_axle_to_axle, bow_axle_to_axle);
  smaller(spec, assumed_axle_closing, bow_axle_to_axle);
  smaller(spec, assumed_rest_take_off_radius, bow_brace_height);
  if (spec.has(full_draw_axle_set_back) && spec.value(full_draw_axle_set_back) >= pivot_mm)
    throw Error(ErrorCode::input, spec[full_draw_axle_set_back].where,
                fmt::format("{} must be less than the draw to the pivot, {}", shown(spec, full_draw_axle_set_back),
                            both_text(pivot_mm)));

  // The face, from the eyes down. The face room checks landmarks again, with what the statistics fill in.
  constexpr Key down[] = {face_nose_tip_below_eye, face_mouth_corner_below_eye, face_hollow_below_eye,
                          face_chin_below_eye};
  for (std::size_t i = 0; i < std::size(down); ++i)
    for (std::size_t j = i + 1; j < std::size(down); ++j) smaller(spec, down[i], down[j]);

  if (const double count = spec.value(arrow_vane_count); count != std::round(count))
    throw Error(ErrorCode::input, spec[arrow_vane_count].where,
                fmt::format("arrow.vane_count = {:.6g}: vanes are counted; write a whole number", count));
  smaller(spec, peep_bore, peep_body_diameter);
  at_most(spec, distances_near, distances_fit);
  at_most(spec, distances_fit, distances_far);
  together(spec, {cam_string_radius, cam_string_eccentricity, cam_string_angle, cam_cable_radius,
                  cam_cable_eccentricity, cam_cable_angle});
  smaller(spec, cam_string_eccentricity, cam_string_radius);
  check_force_draw(spec);
  together(spec, {slowed_speed, slowed_distance});
  smaller(spec, slowed_speed, arrow_speed);
  together(spec, {two_marks_near, two_marks_far, two_marks_moved});
  smaller(spec, two_marks_near, two_marks_far);
  for (const Key key : {slowed_speed, two_marks_moved})
    if (spec.given(arrow_drag_coefficient) && spec.given(key))
      throw Error(ErrorCode::input, spec[key].where,
                  fmt::format("{} and arrow.drag_coefficient both fix the drag; give one of them", info_of(key).path));
  if (spec.given(slowed_speed) && spec.given(two_marks_moved))
    throw Error(ErrorCode::input, spec[two_marks_moved].where,
                "sight.two_marks and arrow.slowed both fix the drag; give one of them");

  if (spec.given(slowed_speed) && !spec.given(arrow_speed))
    throw Error(ErrorCode::input, spec[slowed_speed].where,
                "arrow.slowed tells the drag only beside the speed that the same arrow left the bow with; give "
                "arrow.speed too");

  if (tied_pair)
    if (const auto fault = tied_pair_fault(spec, spec.value(tied_height_full_draw), spec.value(tied_mark)))
      throw Error(ErrorCode::input, spec[tied_height_full_draw].where,
                  fmt::format("{} and {} do not go together: {}", shown(spec, tied_height_full_draw),
                              shown(spec, tied_mark), *fault));
}

std::optional<std::string> tied_pair_fault(const Spec& spec, double height_mm, double mark_mm) {
  const auto can_be = [](double sine) {
    return sine >= std::sin(least_leg_deg * unit::degree_rad) && sine <= std::sin(most_leg_deg * unit::degree_rad);
  };
  // From the nocking point along the string at full draw, as the legs are reckoned.
  const double beyond_mark_mm = spec.value(Key::string_nock_height) / 2 + spec.value(Key::string_stretch_at_mark);
  const double bend_mm = spec.value(Key::string_knots_apart) / 2;
  const auto sine_of = [&](double height, double mark) {
    return (height - bend_mm) / (mark + beyond_mark_mm - bend_mm);
  };
  const double sine = sine_of(height_mm, mark_mm);
  if (can_be(sine)) return std::nullopt;
  return fmt::format("they put the string's upper leg at {} to the arrow; {:g} to {:g} deg can be. {}",
                     sine >= 1 ? "no angle" : fmt::format("{:.1f} deg", degrees(std::asin(sine))), least_leg_deg,
                     most_leg_deg,
                     can_be(sine_of(mark_mm, height_mm)) ? "The other way round they would: were the two swapped?"
                                                         : "Measure both again, to the peep's centre");
}

}  // namespace peepwright
