// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/elastic_draw.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "engine/bow/draw_cycle.hpp"
#include "engine/bow/follow.hpp"

namespace peepwright {

using Eigen::Vector2d;

namespace {
constexpr int newton_steps = 40;
// Newton stops on its own step: lengths and tensions have different units, but each unknown has a size of its own.
constexpr double angle_tolerance_rad = 1e-12;
constexpr double slack_n = 1e-6;  // limbs without preload leave the string at rest without tension

// Places in the vector of unknowns, by half (0 upper, 1 lower).
constexpr int bend_at(int half) { return 2 * half; }
constexpr int turn_at(int half) { return 2 * half + 1; }
constexpr int nock_at = 4;
constexpr int string_at(int half) { return 5 + half; }
constexpr int cable_at(int half) { return 7 + half; }
}  // namespace

/// One conserved length with first and second derivatives by the three unknowns it depends on and by the draw.
struct ElasticDraw::Length {
  TangentLine line;
  std::array<int, 3> unknown;      ///< places of the three unknowns
  std::array<Vector2d, 3> motion;  ///< of track centre less fixed end, by each unknown
  std::array<double, 3> gradient;
  Eigen::Matrix3d hessian;
  double by_draw = 0, by_draw_twice = 0;       ///< first and second derivative by the draw
  std::array<double, 3> by_draw_and{0, 0, 0};  ///< mixed derivatives
};

struct ElasticDraw::Equations {
  std::array<Length, 4> length;
  Vector9 residual;
  Matrix9 jacobian;
  Vector9 by_draw;
};

ElasticDraw::ElasticDraw(const CatalogueBow& bow, const BowDesign& design, double limb_stiffness_n_mm,
                         const StringData& strings, double leg_mm, double cable_mm, NockPath path)
    : design_(design),
      path_(path),
      stiffness_(limb_stiffness_n_mm),
      brace_mm_(bow.brace_height_mm),
      pivot_z_mm_(bow.pivot_above_centre_mm),
      nock_z_mm_(bow.nock_above_centre_mm) {
  // At rest both halves are alike wherever the nocking point is: the straight string does not feel it.
  const DrawCycle symmetric(bow.axle_to_axle_mm, bow.brace_height_mm, design, limb_stiffness_n_mm);
  limb_ = symmetric.limb();
  const Tensions t = symmetric.tensions(symmetric.at_rest());
  rest_tension_n_ = {t.string_n, t.string_n, t.cable_n, t.cable_n};
  const auto compliance = [](double length, double stiffness) { return stiffness > 0 ? length / stiffness : 0; };
  const double string_stiffness = strings.string.stiffness_n();
  const double c = compliance(cable_mm, strings.cable.stiffness_n());
  compliance_mm_n_ = {compliance(leg_mm - nock_z_mm_, string_stiffness),
                      compliance(leg_mm + nock_z_mm_, string_stiffness), c, c};
  Vector9 y = Vector9::Zero();
  y[nock_at] = nock_z_mm_;
  for (int half = 0; half < 2; ++half) {
    y[string_at(half)] = t.string_n;
    y[cable_at(half)] = t.cable_n;
  }
  const auto l = lengths(brace_mm_, y);
  for (std::size_t i = 0; i < 4; ++i) rest_length_mm_[i] = l[i].line.length_mm;
  rest_ = complete(brace_mm_, y, equations(brace_mm_, y));
}

std::array<ElasticDraw::Length, 4> ElasticDraw::lengths(double draw_mm, const Vector9& y) const {
  std::array<Length, 4> out;
  std::array<Vector2d, 2> arm;
  for (int half = 0; half < 2; ++half) arm[half] = limb_.arm(y[bend_at(half)]);
  const auto fill = [](Length& l, const Vector2d& end, const Vector2d& centre, double radius, double turn,
                       Winding winding, const std::array<Vector2d, 3>& second) {
    l.line = tangent_line(end, centre, radius, turn, winding);
    const Vector2d& u = l.line.direction;
    const Vector2d across = quarter_turn(u);
    const double sign = winding == Winding::feeds_out ? 1 : -1;
    std::array<double, 3> swing;
    for (int i = 0; i < 3; ++i) {
      l.gradient[i] = u.dot(l.motion[i]);
      swing[i] = across.dot(l.motion[i]);
    }
    l.gradient[1] -= sign * radius;  // the second unknown is always the cam's own turn
    for (int i = 0; i < 3; ++i) {
      for (int j = 0; j < 3; ++j) l.hessian(i, j) = swing[i] * swing[j] / l.line.free_mm;
      l.hessian(i, i) += u.dot(second[i]);
    }
    if (winding == Winding::feeds_out) {  // only the string ends at the nocking point, which the draw moves
      l.by_draw = u.x();
      l.by_draw_twice = across.x() * across.x() / l.line.free_mm;
      for (int i = 0; i < 3; ++i) l.by_draw_and[i] = across.x() * swing[i] / l.line.free_mm;
    }
  };
  for (int half = 0; half < 2; ++half) {
    const int other = 1 - half;
    const double turn = y[turn_at(half)];
    const Vector2d axle = limb_.pivot + arm[half];
    const Vector2d far = limb_.pivot + arm[other];
    const Vector2d rate = arm_rate(arm[half]);
    const Vector2d far_rate = arm_rate(arm[other]);
    // Each half is written as an upper one: for the lower half the nocking point's height changes sign.
    const double side = half == 0 ? 1 : -1;
    const Vector2d string_offset = track_offset(design_.string_track, turn);
    Length& s = out[static_cast<std::size_t>(half)];
    s.unknown = {bend_at(half), turn_at(half), nock_at};
    s.motion = {rate, quarter_turn(string_offset), Vector2d(0, -side)};
    fill(s, {-draw_mm, side * y[nock_at] + design_.bend_off_nock_mm}, axle + string_offset,
         design_.string_track.radius_mm, turn, Winding::feeds_out, {-arm[half], -string_offset, Vector2d(0, 0)});
    const Vector2d cable_offset = track_offset(design_.cable_track, turn);
    Length& c = out[static_cast<std::size_t>(2 + half)];
    c.unknown = {bend_at(half), turn_at(half), bend_at(other)};
    c.motion = {rate, quarter_turn(cable_offset), Vector2d(-far_rate.x(), far_rate.y())};
    fill(c, {far.x(), -far.y()}, axle + cable_offset, design_.cable_track.radius_mm, turn, Winding::winds_in,
         {-arm[half], -cable_offset, Vector2d(arm[other].x(), -arm[other].y())});
  }
  return out;
}

ElasticDraw::Equations ElasticDraw::equations(double draw_mm, const Vector9& y) const {
  Equations e;
  e.length = lengths(draw_mm, y);
  e.residual.setZero();
  e.jacobian.setZero();
  e.by_draw.setZero();
  for (int half = 0; half < 2; ++half) {
    const int at = bend_at(half);
    e.residual[at] = stiffness_ * (y[at] + limb_.preload_rad);
    e.jacobian(at, at) = stiffness_;
  }
  for (int k = 0; k < 4; ++k) {
    const Length& l = e.length[static_cast<std::size_t>(k)];
    const int tension_at = string_at(0) + k;
    const double tension = y[tension_at];
    for (int i = 0; i < 3; ++i) {
      const int at = l.unknown[i];
      e.residual[at] += tension * l.gradient[i];
      for (int j = 0; j < 3; ++j) e.jacobian(at, l.unknown[j]) += tension * l.hessian(i, j);
      e.jacobian(at, tension_at) += l.gradient[i];
      e.jacobian(tension_at, at) = l.gradient[i];
      e.by_draw[at] += tension * l.by_draw_and[i];
    }
    const std::size_t n = static_cast<std::size_t>(k);
    e.residual[tension_at] =
        l.line.length_mm - rest_length_mm_[n] - (tension - rest_tension_n_[n]) * compliance_mm_n_[n];
    e.jacobian(tension_at, tension_at) = -compliance_mm_n_[n];
    e.by_draw[tension_at] = l.by_draw;
  }
  if (path_ == NockPath::level) {
    e.jacobian.row(nock_at).setZero();
    e.jacobian(nock_at, nock_at) = 1;
    e.residual[nock_at] = y[nock_at] - nock_z_mm_;
    e.by_draw[nock_at] = 0;
    return e;
  }
  // The pull points away from the grip pivot: its part square to that line is nil. So far the nocking point's row is
  // the pull's vertical part; take off what a pull along the sloping line has of it.
  const double slope = (y[nock_at] - pivot_z_mm_) / draw_mm;
  double along = 0;
  for (int half = 0; half < 2; ++half) {
    const Length& l = e.length[static_cast<std::size_t>(half)];
    const double tension = y[string_at(half)];
    along += tension * l.by_draw;
    for (int i = 0; i < 3; ++i) e.jacobian(nock_at, l.unknown[i]) -= slope * tension * l.by_draw_and[i];
    e.jacobian(nock_at, string_at(half)) -= slope * l.by_draw;
    e.by_draw[nock_at] -= slope * tension * l.by_draw_twice;
  }
  e.residual[nock_at] -= slope * along;
  e.jacobian(nock_at, nock_at) -= along / draw_mm;
  e.by_draw[nock_at] += slope / draw_mm * along;
  return e;
}

ElasticState ElasticDraw::complete(double draw_mm, const Vector9& y, const Equations& e) const {
  ElasticState s;
  s.draw_mm = draw_mm;
  s.unknowns = y;
  const Eigen::PartialPivLU<Matrix9> lu(e.jacobian);
  s.rates = lu.solve(-e.by_draw);
  // Five coordinates and four lengths leave one motion free, the two halves against each other. The determinant has
  // the sign of its stiffness (four constraints: an even number of sign changes). A level path leaves none.
  s.stable = lu.determinant() > 0;
  s.nock_above_centre_mm = y[nock_at];
  // The arrow points from the nocking point to its height at rest, at the pivot's station.
  const double arrow = std::atan2(nock_z_mm_ - y[nock_at], draw_mm);
  Vector2d pull(0, 0), pull_rate(0, 0);
  for (int half = 0; half < 2; ++half) {
    const double side = half == 0 ? 1 : -1;
    const Length& l = e.length[static_cast<std::size_t>(half)];
    HalfState& h = half == 0 ? s.upper : s.lower;
    h.bend_rad = y[bend_at(half)];
    h.turn_rad = y[turn_at(half)];
    h.leg_angle_rad = l.line.angle_rad - side * arrow;
    h.leg_free_mm = l.line.free_mm;
    const Vector2d axle = limb_.axle(h.bend_rad);
    h.axle_behind_pivot_mm = -axle.x();
    h.axle_from_centre_mm = axle.y();
    h.take_off_radius_mm = -l.gradient[1];
    h.string_n = y[string_at(half)];
    h.cable_n = y[cable_at(half)];
    const Vector2d u = l.line.direction;
    double swing = quarter_turn(u).x();
    for (int i = 0; i < 3; ++i) swing += quarter_turn(u).dot(l.motion[i]) * s.rates[l.unknown[i]];
    const Vector2d leg_rate = s.rates[string_at(half)] * u + h.string_n * swing / l.line.free_mm * quarter_turn(u);
    pull += Vector2d(h.string_n * u.x(), side * h.string_n * u.y());
    pull_rate += Vector2d(leg_rate.x(), side * leg_rate.y());
    const double wound = h.bend_rad + limb_.preload_rad;
    s.stored_j += stiffness_ / 2 * (wound * wound - limb_.preload_rad * limb_.preload_rad);
  }
  for (std::size_t k = 0; k < 4; ++k) {
    const double tension = y[string_at(0) + static_cast<int>(k)];
    s.stored_j += compliance_mm_n_[k] / 2 * (tension * tension - rest_tension_n_[k] * rest_tension_n_[k]);
  }
  s.stored_j /= 1000;
  // Along the line to the pivot; at rest there is no pull and the line's direction still holds.
  const double drop = path_ == NockPath::level ? 0 : pivot_z_mm_ - y[nock_at];
  const Vector2d line = Vector2d(draw_mm, drop).normalized();
  s.force_n = pull.dot(line);
  s.force_slope_n_mm = pull_rate.dot(line);  // the line's own turning is square to the pull
  return s;
}

std::optional<ElasticState> ElasticDraw::solve(double draw_mm, const ElasticState& near) const {
  if (!(draw_mm > 0 && draw_mm < longest_draw_mm)) return std::nullopt;
  Vector9 y = near.unknowns + near.rates * (draw_mm - near.draw_mm);
  for (int i = 0; i < newton_steps; ++i) {
    const Equations e = equations(draw_mm, y);
    if (!e.residual.allFinite()) return std::nullopt;
    const Vector9 step = e.jacobian.partialPivLu().solve(-e.residual);
    if (!step.allFinite() || step.head<4>().cwiseAbs().maxCoeff() > off_branch_rad) return std::nullopt;
    y += step;
    if (step.head<4>().cwiseAbs().maxCoeff() < angle_tolerance_rad) {
      if (y.tail<4>().minCoeff() < -slack_n) return std::nullopt;
      const ElasticState s = complete(draw_mm, y, equations(draw_mm, y));
      return s.stable ? std::optional<ElasticState>(s) : std::nullopt;
    }
  }
  return std::nullopt;
}

std::optional<ElasticState> ElasticDraw::follow(double draw_mm, const ElasticState& from) const {
  return follow_in_steps(draw_mm, from, [this](double draw, const ElasticState& near) { return solve(draw, near); });
}

std::optional<ElasticPeakAndValley> find_peak_and_valley(const ElasticDraw& bow, double end_mm) {
  if (!bow.at_rest().stable) return std::nullopt;
  const auto found = peak_then_valley(
      bow.at_rest(), end_mm, [&](double draw, const ElasticState& near) { return bow.solve(draw, near); },
      [](const ElasticState& s) { return s.force_slope_n_mm; },
      [](const ElasticState& s) { return std::max(s.upper.turn_rad, s.lower.turn_rad) > one_turn_rad; }, 40);
  if (!found) return std::nullopt;
  return ElasticPeakAndValley{found->first, found->second};
}

}  // namespace peepwright
