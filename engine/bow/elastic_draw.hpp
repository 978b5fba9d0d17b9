// SPDX-License-Identifier: GPL-3.0-or-later
// The quasi-static draw of the whole bow: both halves for themselves, so that the nocking point may stand off
// centre, and string and cables that may stretch.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>

#include "engine/bow/bow_design.hpp"
#include "engine/bow/limb.hpp"
#include "engine/bow/stretch.hpp"

namespace peepwright {

/// One half at one draw. `leg_angle_rad` is against the arrow, which points from the nocking point to where the
/// nocking point's rest height meets the pivot's station.
struct HalfState {
  double bend_rad = 0;
  double turn_rad = 0;
  double leg_angle_rad = 0;
  double leg_free_mm = 0;
  double axle_behind_pivot_mm = 0;
  double axle_from_centre_mm = 0;  ///< axle centre from the bow's mid-line, away from it
  double take_off_radius_mm = 0;
  double string_n = 0;
  double cable_n = 0;
};

/// The whole bow at one draw.
struct ElasticState {
  double draw_mm = 0;
  HalfState upper, lower;
  double nock_above_centre_mm = 0;
  double force_n = 0;           ///< of the archer, along the line from grip pivot to nocking point
  double force_slope_n_mm = 0;  ///< by the draw
  double stored_j = 0;          ///< limbs, string and cables, since rest
  bool stable = false;          ///< the halves return when pushed against each other; `solve` gives no others

  /// Unknowns and their rates by the draw, for the solver: bend and turn (upper, lower), nock height, string and
  /// cable tension (upper, lower).
  Eigen::Matrix<double, 9, 1> unknowns = Eigen::Matrix<double, 9, 1>::Zero();
  Eigen::Matrix<double, 9, 1> rates = Eigen::Matrix<double, 9, 1>::Zero();
};

/// Where the nocking point goes. `balanced`: the bow hangs between two hands, so the archer's pull runs from the
/// nocking point away from the grip pivot, and both halves settle. `level`: it keeps its height at rest, as on a bow
/// whose cams were timed for it (common practice, no source); the pull's force is then its part along the draw.
enum class NockPath { balanced, level };

/// Equilibrium of limbs, cams and nocking point with the lengths of string and cables. Tensions are unknowns too;
/// stretch enters as length = length at rest + (tension - tension at rest) · compliance.
class ElasticDraw {
 public:
  /// `design` as built (already scaled). `leg_mm` and `cable_mm`: the lengths that stretch, from nocking point to
  /// where the string ends, and of one cable; what lies on a cam for good is not counted.
  /// Throws Error(input) where the parts make no bow. One that would tip over to one side at rest says so in the
  /// rest's `stable`.
  ElasticDraw(const CatalogueBow& bow, const BowDesign& design, double limb_stiffness_n_mm, const StringData& strings,
              double leg_mm, double cable_mm, NockPath path = NockPath::balanced);

  [[nodiscard]] const ElasticState& at_rest() const { return rest_; }
  /// By Newton from a state nearby; nothing where no equilibrium is found, where string
  /// or cable would be slack, or where the bow would tip over to one side.
  [[nodiscard]] std::optional<ElasticState> solve(double draw_mm, const ElasticState& near) const;
  /// Follows the draw from rest, or from any state, to `draw_mm`.
  [[nodiscard]] std::optional<ElasticState> follow(double draw_mm) const { return follow(draw_mm, rest_); }
  [[nodiscard]] std::optional<ElasticState> follow(double draw_mm, const ElasticState& from) const;

 private:
  using Vector9 = Eigen::Matrix<double, 9, 1>;
  using Matrix9 = Eigen::Matrix<double, 9, 9>;
  struct Length;
  struct Equations;
  [[nodiscard]] std::array<Length, 4> lengths(double draw_mm, const Vector9& y) const;
  [[nodiscard]] Equations equations(double draw_mm, const Vector9& y) const;
  [[nodiscard]] ElasticState complete(double draw_mm, const Vector9& y, const Equations& e) const;

  BowDesign design_;
  Limb limb_;
  NockPath path_;
  double stiffness_;
  double brace_mm_;
  double pivot_z_mm_;
  double nock_z_mm_;
  std::array<double, 4> compliance_mm_n_{};  ///< string upper, lower; cable upper, lower
  std::array<double, 4> rest_length_mm_{};
  std::array<double, 4> rest_tension_n_{};
  ElasticState rest_;
};

/// First peak and the valley after it, as in draw_cycle.hpp.
struct ElasticPeakAndValley {
  ElasticState peak;
  ElasticState valley;
};
std::optional<ElasticPeakAndValley> find_peak_and_valley(const ElasticDraw& bow, double end_mm);

}  // namespace peepwright
