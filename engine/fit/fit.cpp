// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "engine/face/face.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

constexpr double least_drag = 1.0, most_drag = 4.0;  // what thin shafts are known to have (see drag_coefficient)

double checked_drag(double coefficient, std::string_view source, const Location& where) {
  if (!(coefficient >= least_drag && coefficient <= most_drag))
    throw Error(ErrorCode::input, where,
                fmt::format("{} gives a drag coefficient of {:.2f}; {:.1f} to {:.1f} can be. Measure again", source,
                            coefficient, least_drag, most_drag));
  return coefficient;
}

/// Drag from the speed lost over a distance, if that was measured; else the spec's coefficient.
double drag_without_marks(const Spec& spec) {
  using enum Key;
  if (!spec.has(slowed_speed)) return spec.value(arrow_drag_coefficient);
  const double fitted = drag_coefficient_from_speeds(spec.value(arrow_speed), spec.value(slowed_speed),
                                                     spec.value(slowed_distance) / 1000,
                                                     isa_density_kg_m3(spec.value(air_altitude) / 1000),
                                                     spec.value(arrow_shaft_diameter) / 1000, spec.value(arrow_mass));
  return checked_drag(fitted, "arrow.slowed", spec[slowed_speed].where);
}

/// Drag that makes the pin come down as far as it did between two proven marks.
double drag_from_marks(const Spec& spec, const SightGeometry& geometry) {
  using enum Key;
  const auto excess = [&](double drag) {
    Shot shot = shot_of(spec, drag);
    shot.slope_rad = 0;  // marks are proven on level ground
    const auto near = launch_above_line(shot, geometry, spec.value(two_marks_near) / 1000);
    const auto far = launch_above_line(shot, geometry, spec.value(two_marks_far) / 1000);
    if (!near || !far) return 1e3;  // too much drag to get there at all
    return pin_height_mm(geometry, *near) - pin_height_mm(geometry, *far) - spec.value(two_marks_moved);
  };
  double low = 0.05, high = 20;  // wider than what is believed, so that the message can say what came out
  if (excess(low) > 0 || excess(high) < 0)
    throw Error(ErrorCode::input, spec[two_marks_moved].where,
                fmt::format("sight.two_marks: no drag makes the pin move {} between these marks at {:.1f} m/s; "
                            "measure again",
                            both_text(spec.value(two_marks_moved)), spec.value(arrow_speed)));
  std::uintmax_t iterations = 80;
  const auto close_enough = [](double a, double b) { return std::abs(b - a) < 1e-12; };
  const auto [a, b] = boost::math::tools::toms748_solve(excess, low, high, close_enough, iterations);
  return checked_drag((a + b) / 2, "sight.two_marks", spec[two_marks_moved].where);
}

}  // namespace

Shot shot_of(const Spec& spec, double drag_coefficient) {
  using enum Key;
  return {spec.value(arrow_speed),
          drag_per_metre(isa_density_kg_m3(spec.value(air_altitude) / 1000), drag_coefficient,
                         spec.value(arrow_shaft_diameter) / 1000, spec.value(arrow_mass)),
          spec.value(distances_slope)};
}

SightGeometry geometry_of(const Spec& spec, const Point3& peep) {
  const double pivot = spec.pivot_x().mm();
  return {peep.x, peep.z, pivot, pivot + spec.value(Key::sight_extension)};
}

SightBody body_of(const Spec& spec) {
  using enum Key;
  return {std::max(spec.value(sight_housing_diameter) / 2, spec.maybe(sight_bar_drop).value_or(0)),
          spec.value(arrow_shaft_diameter) / 2 + spec.value(arrow_vane_height)};
}

CoreFit solve_core(const Spec& spec, Peep peep) {
  using enum Key;
  CoreFit fit;
  fit.face = make_face(spec);
  fit.legs = string_legs(spec);
  fit.drag_coefficient = drag_without_marks(spec);

  PostureInput input;
  input.leg_angle_rad = fit.legs.upper_rad;
  input.bend_mm = fit.legs.bend_mm;
  input.string_radius_mm = spec.value(string_diameter) / 2;
  input.serving_radius_mm = spec.value(string_serving_diameter) / 2;
  input.eye_to_arrow_mm = spec.maybe(face_eye_to_arrow);
  if (peep == Peep::tied) input.tied_along_mm = tied_along_mm(spec);

  // The line of sight tilts with the peep's height, and the head moves with the line. The coupling is weak
  // (1 mm of peep height is 1 mm over the fit distance): repetition closes in by three digits a turn, secants by more.
  const double distance_m = spec.value(distances_fit) / 1000;
  constexpr int most_turns = 30;
  constexpr double settled_rad = 1e-12;
  input.line_down_rad = Angle::deg(2).rad();
  double line_before = 0, change_before = 0;
  for (int turn = 0; turn < most_turns; ++turn) {
    fit.posture = solve_posture(fit.face, input, turn > 0 ? &fit.posture : nullptr);
    const OnLeg at = on_upper_leg(fit.posture.along_string_mm, input.leg_angle_rad, input.bend_mm);
    fit.peep = {at.x_mm, 0, at.z_mm};
    const SightGeometry geometry = geometry_of(spec, fit.peep);
    if (spec.has(two_marks_moved)) fit.drag_coefficient = drag_from_marks(spec, geometry);
    const SightMark mark = sight_mark(shot_of(spec, fit.drag_coefficient), geometry, body_of(spec), distance_m);
    const double line = input.line_down_rad, change = mark.launch_rad - line;
    input.line_down_rad = mark.launch_rad;
    if (std::abs(change) < settled_rad) break;
    if (turn + 1 == most_turns)
      throw Error(ErrorCode::input,
                  "the line of sight and the head do not settle; check the face measures and distances.fit");
    if (turn > 0) {
      const double slope = (change - change_before) / (line - line_before);  // -1, were there no coupling
      if (slope < -0.5 && slope > -1.5) input.line_down_rad = line - change / slope;
    }
    line_before = line, change_before = change;
  }
  fit.line_down_rad = input.line_down_rad;
  fit.peep_height_mm = fit.peep.z;
  fit.mark_mm = fit.posture.along_string_mm - spec.value(string_stretch_at_mark) - spec.value(string_nock_height) / 2;
  const Point3& eye = fit.posture.pupil;
  fit.eye_to_peep_mm = std::hypot(fit.peep.x - eye.x, fit.peep.y - eye.y, fit.peep.z - eye.z);
  if (!(fit.mark_mm > 0))
    throw Error(ErrorCode::input,
                fmt::format("the peep would have to stand {} above the top of the nock, inside it; check the "
                            "face measures",
                            both_text(fit.mark_mm)));
  return fit;
}

namespace {

/// Whether the distances given are whole yards, and not all whole metres as well: then so are those between. Where none
/// is given, what is round hangs on who asks.
bool counts_in_yards(const Spec& spec) {
  const auto whole = [](double v) { return std::abs(v - std::round(v)) < 1e-6; };
  bool given = false, yards = true, metres = true;
  for (const Key key : {Key::distances_near, Key::distances_fit, Key::distances_far}) {
    if (!spec.given(key)) continue;
    const Length distance = Length::mm(spec.value(key));
    given = true;
    yards = yards && whole(distance.mm() / unit::yard_mm);
    metres = metres && whole(distance.m());
  }
  return given ? yards && !metres : spec.speaks_in_yards;
}

}  // namespace

std::vector<double> mark_distances_m(const Spec& spec) {
  std::vector<double> out;
  if (!spec.mark_distances.empty()) {
    for (const Length distance : spec.mark_distances) out.push_back(distance.m());
  } else {
    const double near = spec.value(Key::distances_near) / 1000, far = spec.value(Key::distances_far) / 1000;
    const bool in_yards = counts_in_yards(spec);
    // What is assumed is round in metres: among yards it needs no mark of its own.
    for (const Key key : {Key::distances_near, Key::distances_fit, Key::distances_far})
      if (spec.given(key) || !in_yards) out.push_back(spec.value(key) / 1000);
    const double step_m = 10 * (in_yards ? unit::yard_mm / 1000 : 1);
    for (int i = 1; i * step_m < far; ++i)
      if (i * step_m > near) out.push_back(i * step_m);
  }
  std::ranges::sort(out);
  const auto same = [](double a, double b) { return std::abs(a - b) < 1e-6; };
  out.erase(std::unique(out.begin(), out.end(), same), out.end());
  return out;
}

HeadShift head_shift(const CoreFit& fit, const CoreFit& reference) {
  return {fit.posture.pupil.x - reference.posture.pupil.x, fit.posture.pupil.z - reference.posture.pupil.z};
}

namespace {

/// Nearest of the lower face's landmarks to the shaft, with the two points.
Clearance arrow_chin(const Spec& spec, const CoreFit& core) {
  using enum Landmark;
  const double radius = spec.value(Key::arrow_shaft_diameter) / 2, length = spec.value(Key::arrow_length);
  double best = 1e9;
  Clearance nearest;
  const auto offer = [&](Landmark landmark, Point3 in_head) {
    const Point3 p = core.posture.to_bow(core.face, in_head);
    const double x = std::clamp(p.x, 0.0, length);
    const double aside = std::hypot(p.y, p.z), beyond = p.x - x;
    const double distance = beyond == 0 ? aside - radius : std::hypot(std::max(aside - radius, 0.0), beyond);
    if (distance >= best) return;
    best = distance;
    nearest = room("arrow-chin", distance, spec.value(Key::wanted_arrow_chin));
    nearest.nearest = name_of(landmark);
    const double share = aside > 1e-9 ? std::min(radius / aside, 1.0) : 0;
    nearest.points = {{x, p.y * share, p.z * share}, p};
  };
  for (const Landmark l : {stomion, labrale_inferius, sublabiale, pogonion, menton}) offer(l, core.face.at(l));
  for (const Landmark l : {cheilion, gonion}) {
    offer(l, core.face.at(l));
    offer(l, mirrored(core.face.at(l)));
  }
  nearest.note = "to the landmarks; the skin between them may come nearer";
  return nearest;
}

/// Point of the string's surface nearest to `p`, on the face's side.
Point3 on_string(const Point3& p, const StringLegs& legs, double radius) {
  const double c = std::cos(legs.upper_rad), s = std::sin(legs.upper_rad);
  const double up = p.x * c + (p.z - legs.bend_mm) * s;
  return {up * c - radius * s, 0, legs.bend_mm + up * s + radius * c};
}

}  // namespace

Fit solve_fit(const Spec& spec, Peep peep) {
  using enum Key;
  Fit fit;
  fit.spec = spec;
  fit.peep = peep;
  fit.core = solve_core(spec, peep);
  const CoreFit& core = fit.core;
  const Shot shot = shot_of(spec, core.drag_coefficient);
  const SightGeometry geometry = geometry_of(spec, core.peep);
  const SightBody body = body_of(spec);

  const auto row_at = [&](double distance_m) {
    MarkRow row{sight_mark(shot, geometry, body, distance_m), 0};
    // The eye stays as far behind the peep as it was fitted and follows the line up or down.
    row.eye_height_mm = core.peep_height_mm + (core.peep.x - core.posture.pupil.x) * std::tan(row.mark.launch_rad);
    return row;
  };
  for (const double distance : mark_distances_m(spec)) fit.marks.push_back(row_at(distance));
  const MarkRow near = row_at(spec.value(distances_near) / 1000), far = row_at(spec.value(distances_far) / 1000);
  // Marks rise and then fall with distance, so the lowest pin is at one of the ends, wherever the marks lie.
  fit.lowest = near.mark.clearance_mm < far.mark.clearance_mm ? near.mark : far.mark;
  for (const MarkRow& row : fit.marks)
    if (row.mark.clearance_mm < fit.lowest.clearance_mm) fit.lowest = row.mark;
  fit.eye_travel_mm = fit.marks.back().eye_height_mm - fit.marks.front().eye_height_mm;
  fit.reach = longest_distance(shot, geometry, body, spec.value(wanted_sight_arrow));

  fit.bore = bore_seen(spec.value(peep_bore), spec.value(peep_body_length), spec.value(peep_bore_angle),
                       core.legs.upper_rad, core.line_down_rad);
  const double peep_to_housing =
      std::hypot(geometry.pin_x_mm - core.peep.x, pin_height_mm(geometry, core.line_down_rad) - core.peep.z);
  fit.framing_bore_mm = framing_bore_mm(spec.value(sight_housing_diameter), core.eye_to_peep_mm, peep_to_housing);
  fit.nearest_bore = nearest_bore(spec.peep_bores, fit.framing_bore_mm);
  const double pin_to_target_mm = spec.value(distances_far) - spec.value(sight_extension);
  const double peep_to_far_pin = std::hypot(geometry.pin_x_mm - core.peep.x, far.mark.pin_height_mm - core.peep.z);
  fit.aim_error_mm = aim_error(1, pin_to_target_mm, peep_to_far_pin);

  fit.clearances.push_back(arrow_chin(spec, core));
  const Point3 nose = core.posture.to_bow(core.face, core.face.at(Landmark::pronasale));
  Clearance at_nose = contact("string-nose", core.posture.nose_gap_mm, spec.wanted_string_nose);
  at_nose.nearest = name_of(Landmark::pronasale);
  at_nose.points = {on_string(nose, core.legs, spec.value(string_diameter) / 2), nose};
  fit.clearances.push_back(at_nose);
  const Point3 mouth = core.posture.to_bow(core.face, mirrored(core.face.at(Landmark::cheilion)));
  Clearance at_mouth = contact("string-mouth-corner", core.posture.mouth_gap_mm, spec.wanted_string_mouth);
  at_mouth.nearest = name_of(Landmark::cheilion);
  at_mouth.points = {on_string(mouth, core.legs, spec.value(string_serving_diameter) / 2), mouth};
  fit.clearances.push_back(at_mouth);
  Clearance sight = room("sight-arrow", fit.lowest.clearance_mm, spec.value(wanted_sight_arrow));
  sight.note = fmt::format("lowest at {:.4g} m", fit.lowest.distance_m);
  sight.nearest = spec.maybe(sight_bar_drop).value_or(0) > spec.value(sight_housing_diameter) / 2 ? "bar" : "housing";
  sight.points = {{geometry.pin_x_mm, 0, fit.lowest.pin_height_mm - body.below_pin_mm},
                  {geometry.pin_x_mm, 0, body.envelope_radius_mm}};
  fit.clearances.push_back(sight);
  const double cornea = core.face.at(Landmark::corneal_apex).x - core.face.at(Landmark::pupil).x;
  Clearance eye =
      room("peep-eye", core.eye_to_peep_mm - cornea - spec.value(peep_body_length) / 2, spec.value(wanted_peep_eye));
  eye.nearest = name_of(Landmark::corneal_apex);
  fit.clearances.push_back(eye);
  return fit;
}

Point3 as_archer_stands(const Spec& spec, Point3 in_bow) {
  return spec.hand == Hand::right ? in_bow : mirrored(in_bow);
}

bool Fit::all_met() const { return std::ranges::all_of(clearances, &Clearance::met); }

}  // namespace peepwright
