// SPDX-License-Identifier: GPL-3.0-or-later
// The quasi-static draw of a symmetric twin-cam bow whose string and cables do not stretch.
#pragma once

#include <optional>
#include <vector>

#include "engine/bow/bow_design.hpp"
#include "engine/bow/limb.hpp"

namespace peepwright {

/// One half of the bow at one draw, with derivatives by the draw (mm). Draw = nocking point to grip pivot.
struct DrawState {
  double draw_mm = 0;
  double bend_rad = 0, bend_rate = 0, bend_curvature = 0;  ///< limb rotation; rad/mm, rad/mm²
  double turn_rad = 0, turn_rate = 0, turn_curvature = 0;  ///< cam rotation
  double leg_angle_rad = 0;                                ///< string leg against the arrow
  double leg_free_mm = 0;                                  ///< from the string's bend by the nock to the cam
  double axle_behind_pivot_mm = 0;                         ///< axle centre towards the archer
  double axle_height_mm = 0;                               ///< axle centre above the arrow's line
  double take_off_radius_mm = 0;                           ///< axle to the string's line, square to it
  double cable_arm_mm = 0;                                 ///< axle to the cable's line, square to it
};

/// Tensions in newtons.
struct Tensions {
  double string_n = 0;
  double cable_n = 0;
};

/// Geometry and spring of a symmetric bow. Two lengths are conserved in each half:
///     string: free + R_s (θ - turn),    cable: free - R_c (φ - turn),
/// with θ and φ the lines' angles from +x. Two unknowns, bend and turn, at each draw; the equations are
/// regular from rest on (at rest they depend on the draw to second order only, so that force and turn rate start
/// at zero there).
class DrawCycle {
 public:
  /// A bow at rest with the given axle-to-axle length and brace height. `limb_stiffness_n_mm` is K of one limb.
  /// Throws Error(input) where the parts cannot be put together.
  DrawCycle(double axle_to_axle_mm, double brace_height_mm, const BowDesign& design, double limb_stiffness_n_mm = 1);

  [[nodiscard]] const BowDesign& design() const { return design_; }
  [[nodiscard]] const Limb& limb() const { return limb_; }
  [[nodiscard]] double brace_height_mm() const { return brace_mm_; }
  [[nodiscard]] double limb_stiffness_n_mm() const { return stiffness_; }
  void set_limb_stiffness_n_mm(double value) { stiffness_ = value; }

  /// The bow at rest, exactly.
  [[nodiscard]] DrawState at_rest() const;

  /// The state at `draw_mm`, by Newton from a state nearby. Nothing if there is none: the string is out of cam, or
  /// string or cable has lost its arm on the cam, so that it would go slack.
  [[nodiscard]] std::optional<DrawState> solve(double draw_mm, const DrawState& near) const;

  /// Follows the draw from rest, or from any state, to `draw_mm`.
  [[nodiscard]] std::optional<DrawState> follow(double draw_mm) const { return follow(draw_mm, at_rest()); }
  [[nodiscard]] std::optional<DrawState> follow(double draw_mm, const DrawState& from) const;

  /// Draw force and its slope by virtual work: F = dE/dx over both limbs.
  [[nodiscard]] double force_n(const DrawState& s) const;
  [[nodiscard]] double force_slope_n_mm(const DrawState& s) const;

  /// String and cable tension from the balance of moments on cam and limb; needs no derivative by the draw and so
  /// holds at rest too. Draw force by this way is 2 T cos θ.
  [[nodiscard]] Tensions tensions(const DrawState& s) const;

  /// Energy put into both limbs since rest (J).
  [[nodiscard]] double stored_j(const DrawState& s) const;

 private:
  struct Lines;
  [[nodiscard]] Lines lines(double draw_mm, double bend_rad, double turn_rad) const;
  [[nodiscard]] DrawState complete(double draw_mm, double bend_rad, double turn_rad, const Lines& l) const;

  BowDesign design_;
  Limb limb_;
  double brace_mm_;
  double stiffness_;
  double string_mm_ = 0;
  double cable_mm_ = 0;
};

/// First peak of the draw force and the valley after it.
struct PeakAndValley {
  DrawState peak;
  DrawState valley;
};

/// Nothing where the force has no valley within one turn of the cam, or where the draw would pass `end_mm`.
std::optional<PeakAndValley> find_peak_and_valley(const DrawCycle& bow, double end_mm);

/// The highest draw force up to `end_mm`, whether or not a valley follows it; zero where the bow cannot be drawn.
double peak_force_n(const DrawCycle& bow, double end_mm);

}  // namespace peepwright
