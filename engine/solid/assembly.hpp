// SPDX-License-Identifier: GPL-3.0-or-later
// Archer's head and bow at full draw, in the bow frame W: what the solve found, as solids and as distances between
// them. Everything is given for a right-handed archer; `right_handed = false` mirrors all of it in y.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/solid/head_distance.hpp"
#include "engine/solid/head_surface.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// One half of the bow. The take-off radius follows: the string leaves its cam as a tangent at the leg's angle.
struct LimbEnd {
  double leg_angle_rad = 0;  ///< string leg to arrow
  double axle_ahead_mm = 0;  ///< axle centre ahead of the nocking point
  double axle_aside_mm = 0;  ///< axle centre off the arrow axis, positive for either end
  double bend_mm = 0;        ///< the string bends here, off the arrow axis, and is straight across the nock
};

/// Lengths in mm, angles in rad. Defaults are sizes that only dress the picture (common practice, no source).
struct AssemblyInput {
  bool right_handed = true;
  Face face;
  Pose head;  ///< frame F to frame W

  LimbEnd upper, lower;
  double pivot_x_mm = 0;

  double string_diameter_mm = 2.4, serving_diameter_mm = 2.8;
  double serving_above_mm = 55, serving_below_mm = 70;  ///< from the nocking point along the string
  double nock_height_mm = 7, loop_length_mm = 14, loop_cord_diameter_mm = 2.2;

  double peep_along_string_mm = 0, peep_bore_mm = 4.8, peep_body_length_mm = 8, peep_body_diameter_mm = 9;
  double peep_bore_angle_rad = 0.7;  ///< bore axis against the string

  double arrow_length_mm = 711, shaft_diameter_mm = 5.5, vane_height_mm = 9, vane_length_mm = 45;
  int vane_count = 3;

  double sight_x_mm = 0, pin_height_mm = 0;    ///< of the pin as drawn
  std::optional<double> lowest_pin_height_mm;  ///< lowest pin of all marks, for sight-arrow; else as drawn
  double housing_diameter_mm = 42, housing_depth_mm = 20;
  double bar_drop_mm = 0;  ///< lowest part of a mount below the pin, if below the housing

  /// Spectacles' lens ahead of the cornea, if worn; "peep-eye" is then to the lens where that is nearer. No key gives
  /// it: for programs that embed the engine.
  std::optional<double> spectacles_ahead_mm;
};

/// Throws Error(input) when the numbers cannot stand together: a leg that misses its cam, a peep off its string,
/// a bore wider than its body …
void check_assembly(const AssemblyInput& input);

/// Radius at which the string leaves the cam, from the leg's angle and the axle's place.
double take_off_radius_mm(const LimbEnd& end);

/// From the bend to where the string leaves the cam.
double free_leg_mm(const LimbEnd& end);

/// Where the loop's cord ends flat at the serving, ahead of the nocking point: knots are not drawn.
double loop_knot_x_mm(const AssemblyInput& input, const LimbEnd& end);

/// Where the vanes begin ahead of the nocking point; only dresses the picture.
inline constexpr double vane_start_mm = 25;

/// One measured gap.
struct Gap {
  std::string name;  ///< "arrow-chin", "string-nose", "string-mouth-corner", "sight-arrow", "peep-eye", "nock-face"
  double distance_mm = 0;      ///< negative: depth of overlap
  std::string nearest;         ///< landmark or part that comes nearest, in plain words
  Point3 on_first, on_second;  ///< nearest points in W, in the order of the name; of the deepest place, if overlapping
};

class HeadShape;

/// The head of one archer, made once and asked many times.
class HeadModel {
 public:
  /// With `scanned`, clearances and meshes are those of the scan; the B-rep solid stays the parametric head of `face`.
  /// Throws Error(input) as check_face does.
  explicit HeadModel(const Face& face, std::shared_ptr<const HeadSurface> scanned = nullptr);

  [[nodiscard]] const Face& face() const { return face_; }
  [[nodiscard]] const HeadDistance& distance() const { return distance_; }
  [[nodiscard]] const Ball& left_eye() const { return eye_; }
  [[nodiscard]] const HeadSurface* scanned() const { return scanned_.get(); }
  /// Rod in frame F against the skin, scanned or parametric.
  [[nodiscard]] Contact to(const Rod& rod, FacePatch patch) const;
  /// The same where it is less than `limit_mm`, else nothing.
  [[nodiscard]] std::optional<Contact> to_nearer(const Rod& rod, FacePatch patch, double limit_mm) const;

 private:
  HeadModel(const HeadShape& shape, std::shared_ptr<const HeadSurface> scanned);
  Face face_;
  Ball eye_;
  HeadDistance distance_;
  std::shared_ptr<const HeadSurface> scanned_;
};

/// The six gaps of the fit, between the same bodies that `assembly_parts` draws. Fast: for sweeps.
std::vector<Gap> gaps(const HeadModel& head, const AssemblyInput& input);

/// Every part, where the solve put it. Throws Error(internal) if the kernel fails on one, naming it.
std::vector<Part> assembly_parts(const HeadModel& head, const AssemblyInput& input);

/// Bodies of the gaps in W, for checks against the kernel: shaft, nock, loop and so on as plain rods.
struct FitBodies {
  Rod shaft, nock, upper_leg, upper_serving, lower_serving, peep_body;
  std::vector<Rod> loop;
};
FitBodies fit_bodies(const AssemblyInput& input);

/// Where the drawn string stops for the peep: the strands part around its body. At the body's face the cut lies in that
/// face (`mitred`), else it is square to the string and stays clear of the flank.
struct PeepGap {
  double half_mm = 0;   ///< from the peep's centre along the string to the cut's middle
  double slant_mm = 0;  ///< from there to the cut's far edge
  bool mitred = false;
};
PeepGap peep_gap(const AssemblyInput& input);

}  // namespace peepwright::solid
