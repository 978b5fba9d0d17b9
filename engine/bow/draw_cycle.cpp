// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/draw_cycle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/bow/follow.hpp"
#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

using Eigen::Vector2d;

namespace {
// Lengths are some hundred millimetres: 1e-11 is a few hundred rounding errors of them.
constexpr double length_tolerance_mm = 1e-11;
constexpr int newton_steps = 30;
}  // namespace

/// Both lines at one bend and turn, with the derivatives that Newton and the force need.
struct DrawCycle::Lines {
  TangentLine string, cable;
  Vector2d arm, string_offset, cable_offset;
  double string_by_bend, string_by_turn, string_by_draw;
  double cable_by_bend, cable_by_turn;
};

DrawCycle::DrawCycle(double axle_to_axle_mm, double brace_height_mm, const BowDesign& design,
                     double limb_stiffness_n_mm)
    : design_(design), brace_mm_(brace_height_mm), stiffness_(limb_stiffness_n_mm) {
  limb_.radius_mm = design.limb_radius_factor * design.limb_length_mm;
  limb_.angle_rad = design.limb_angle_rad;
  limb_.preload_rad = design.limb_preload_rad;
  // At rest the string is straight and touches the string track on the archer's side.
  const double axle_x = -brace_height_mm + design.string_track.radius_mm - track_offset(design.string_track, 0).x();
  limb_.pivot = Vector2d(axle_x, axle_to_axle_mm / 2) - limb_.arm(0);
  const Lines rest = lines(brace_height_mm, 0, 0);
  string_mm_ = rest.string.length_mm;
  cable_mm_ = rest.cable.length_mm;
  const double reach = design.string_track.radius_mm + design.string_track.eccentricity_mm;
  if (!(axle_to_axle_mm > 2 * reach) || !std::isfinite(string_mm_) || !std::isfinite(cable_mm_))
    throw Error(ErrorCode::input, fmt::format("cams that reach {} from their axle do not fit a bow of {} axle to axle: "
                                              "check the cam radii and the axle-to-axle length",
                                              both_text(reach), both_text(axle_to_axle_mm)));
  if (!(rest.string_by_turn < 0 && rest.cable_by_turn > 0 && rest.string_by_bend < 0 && rest.cable_by_bend < 0))
    throw Error(ErrorCode::input,
                fmt::format("string or cable would be slack at rest: the string pulls {}, the cable {} off "
                            "the axle; both must be above zero, and bending must close the bow: check the cam radii, "
                            "eccentricities and angles, and the limb angle",
                            both_text(-rest.string_by_turn), both_text(rest.cable_by_turn)));
}

DrawCycle::Lines DrawCycle::lines(double draw_mm, double bend_rad, double turn_rad) const {
  Lines l;
  l.arm = limb_.arm(bend_rad);
  const Vector2d axle = limb_.pivot + l.arm;
  l.string_offset = track_offset(design_.string_track, turn_rad);
  l.cable_offset = track_offset(design_.cable_track, turn_rad);
  l.string = tangent_line({-draw_mm, design_.bend_off_nock_mm}, axle + l.string_offset, design_.string_track.radius_mm,
                          turn_rad, Winding::feeds_out);
  l.cable = tangent_line({axle.x(), -axle.y()}, axle + l.cable_offset, design_.cable_track.radius_mm, turn_rad,
                         Winding::winds_in);
  const Vector2d rate = arm_rate(l.arm);
  l.string_by_bend = l.string.direction.dot(rate);
  l.string_by_turn = l.string.direction.dot(quarter_turn(l.string_offset)) - design_.string_track.radius_mm;
  l.string_by_draw = l.string.direction.x();
  l.cable_by_bend = 2 * l.cable.direction.y() * rate.y();  // the cable's far end is the other axle, which mirrors ours
  l.cable_by_turn = l.cable.direction.dot(quarter_turn(l.cable_offset)) + design_.cable_track.radius_mm;
  return l;
}

DrawState DrawCycle::complete(double draw_mm, double bend_rad, double turn_rad, const Lines& l) const {
  DrawState s;
  s.draw_mm = draw_mm;
  s.bend_rad = bend_rad;
  s.turn_rad = turn_rad;
  const double det = l.string_by_bend * l.cable_by_turn - l.string_by_turn * l.cable_by_bend;
  s.bend_rate = -l.string_by_draw * l.cable_by_turn / det;
  s.turn_rate = l.string_by_draw * l.cable_by_bend / det;

  // Second derivatives along the path: each length's own curvature in the direction of motion is
  // (quarter turn of u · w)² / free + u · (acceleration of centre less end), and must be made good.
  const Vector2d rate = arm_rate(l.arm) * s.bend_rate;
  const Vector2d bend_acceleration = -l.arm * (s.bend_rate * s.bend_rate);
  const double turn_square = s.turn_rate * s.turn_rate;
  const Vector2d w_string = rate + quarter_turn(l.string_offset) * s.turn_rate + Vector2d(1, 0);
  const double across_string = quarter_turn(l.string.direction).dot(w_string);
  const double string_curvature = across_string * across_string / l.string.free_mm +
                                  l.string.direction.dot(bend_acceleration - l.string_offset * turn_square);
  const Vector2d w_cable = Vector2d(0, 2 * rate.y()) + quarter_turn(l.cable_offset) * s.turn_rate;
  const double across_cable = quarter_turn(l.cable.direction).dot(w_cable);
  const double cable_curvature =
      across_cable * across_cable / l.cable.free_mm +
      l.cable.direction.dot(Vector2d(0, 2 * bend_acceleration.y()) - l.cable_offset * turn_square);
  s.bend_curvature = -(string_curvature * l.cable_by_turn - l.string_by_turn * cable_curvature) / det;
  s.turn_curvature = -(l.string_by_bend * cable_curvature - string_curvature * l.cable_by_bend) / det;

  const Vector2d axle = limb_.pivot + l.arm;
  s.leg_angle_rad = l.string.angle_rad;
  s.leg_free_mm = l.string.free_mm;
  s.axle_behind_pivot_mm = -axle.x();
  s.axle_height_mm = axle.y();
  s.take_off_radius_mm = -l.string_by_turn;
  s.cable_arm_mm = l.cable_by_turn;
  return s;
}

DrawState DrawCycle::at_rest() const {
  Lines l = lines(brace_mm_, 0, 0);
  l.string_by_draw = 0;  // the string is straight: what cos(90°) leaves of rounding would be a false start
  return complete(brace_mm_, 0, 0, l);
}

std::optional<DrawState> DrawCycle::solve(double draw_mm, const DrawState& near) const {
  const double dx = draw_mm - near.draw_mm;
  double bend = near.bend_rad + dx * (near.bend_rate + dx / 2 * near.bend_curvature);
  double turn = near.turn_rad + dx * (near.turn_rate + dx / 2 * near.turn_curvature);
  for (int i = 0; i < newton_steps; ++i) {
    const Lines l = lines(draw_mm, bend, turn);
    const double string_error = l.string.length_mm - string_mm_;
    const double cable_error = l.cable.length_mm - cable_mm_;
    const double det = l.string_by_bend * l.cable_by_turn - l.string_by_turn * l.cable_by_bend;
    if (!std::isfinite(string_error) || !std::isfinite(cable_error)) return std::nullopt;
    // Both terms of the determinant have one sign in a working bow; zero means that string and cable no longer
    // hold the cam between them.
    if (!(det < 0)) return std::nullopt;
    const double bend_step = -(string_error * l.cable_by_turn - l.string_by_turn * cable_error) / det;
    const double turn_step = -(l.string_by_bend * cable_error - string_error * l.cable_by_bend) / det;
    if (std::max(std::abs(string_error), std::abs(cable_error)) < length_tolerance_mm) {
      if (!(l.string_by_turn < 0 && l.cable_by_turn > 0)) return std::nullopt;
      return complete(draw_mm, bend, turn, l);
    }
    if (std::abs(turn_step) > off_branch_rad) return std::nullopt;
    bend += bend_step;
    turn += turn_step;
  }
  return std::nullopt;
}

std::optional<DrawState> DrawCycle::follow(double draw_mm, const DrawState& from) const {
  return follow_in_steps(draw_mm, from, [this](double draw, const DrawState& near) { return solve(draw, near); });
}

double DrawCycle::force_n(const DrawState& s) const {
  return 2 * stiffness_ * (s.bend_rad + limb_.preload_rad) * s.bend_rate;
}

double DrawCycle::force_slope_n_mm(const DrawState& s) const {
  return 2 * stiffness_ * (s.bend_rate * s.bend_rate + (s.bend_rad + limb_.preload_rad) * s.bend_curvature);
}

Tensions DrawCycle::tensions(const DrawState& s) const {
  const Lines l = lines(s.draw_mm, s.bend_rad, s.turn_rad);
  // Each line's pull on what carries it, as vectors; arms by cross products, so that this way shares no
  // derivative with virtual work.
  const auto cross = [](const Vector2d& a, const Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); };
  const Vector2d string_contact = l.string_offset + design_.string_track.radius_mm * quarter_turn(l.string.direction);
  const Vector2d cable_contact = l.cable_offset - design_.cable_track.radius_mm * quarter_turn(l.cable.direction);
  const double string_torque = cross(string_contact, -l.string.direction);
  const double cable_torque = cross(cable_contact, -l.cable.direction);
  const double cable_per_string = -string_torque / cable_torque;
  // The axle carries its string, its cable and the end of the other cam's cable, mirrored.
  const Vector2d far_end(l.cable.direction.x(), -l.cable.direction.y());
  const Vector2d pull_per_string = -l.string.direction + cable_per_string * (far_end - l.cable.direction);
  // Bending takes the axle from +x to +z about the limb's pivot as a cross product counts it.
  const double moment_per_string = cross(l.arm, pull_per_string);
  Tensions t;
  t.string_n = stiffness_ * (s.bend_rad + limb_.preload_rad) / moment_per_string;
  t.cable_n = cable_per_string * t.string_n;
  return t;
}

double DrawCycle::stored_j(const DrawState& s) const {
  const double wound = s.bend_rad + limb_.preload_rad;
  return stiffness_ * (wound * wound - limb_.preload_rad * limb_.preload_rad) / 1000;
}

std::optional<PeakAndValley> find_peak_and_valley(const DrawCycle& bow, double end_mm) {
  const auto found = peak_then_valley(
      bow.at_rest(), end_mm, [&](double draw, const DrawState& near) { return bow.solve(draw, near); },
      [&](const DrawState& s) { return bow.force_slope_n_mm(s); },
      [](const DrawState& s) { return s.turn_rad > one_turn_rad; }, 46);
  if (!found) return std::nullopt;
  return PeakAndValley{found->first, found->second};
}

double peak_force_n(const DrawCycle& bow, double end_mm) {
  if (const auto found = find_peak_and_valley(bow, end_mm)) return bow.force_n(found->peak);
  // No valley on the way; the top of a force curve is flat, so that steps this short miss it by next to nothing.
  constexpr int steps = 400;
  double highest = 0;
  std::optional<DrawState> s = bow.at_rest();
  for (int k = 1; s && k <= steps; ++k) {
    s = bow.follow(bow.brace_height_mm() + (end_mm - bow.brace_height_mm()) * k / steps, *s);
    if (s) highest = std::max(highest, bow.force_n(*s));
  }
  return highest;
}

}  // namespace peepwright
