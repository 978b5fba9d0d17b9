// SPDX-License-Identifier: GPL-3.0-or-later
// Where the head goes: the pose at which the eye looks through peep and pin while nose tip and mouth corner
// touch the string, the arrow lies where it should on the face and the head is as upright as it can be.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "engine/face/landmark.hpp"

namespace peepwright {

/// What the posture is solved for. Lengths mm, angles rad. The archer draws with the right hand; a left-handed
/// one is the mirror image and has the same numbers.
struct PostureInput {
  double leg_angle_rad = 0;  ///< upper string leg to arrow
  double bend_mm = 0;        ///< the string bends this far above the nocking point
  double line_down_rad = 0;  ///< β: the line of sight falls this much toward the pin, against the arrow
  double string_radius_mm = 1.2, serving_radius_mm = 1.4;
  std::optional<double> eye_to_arrow_mm;  ///< measured height of the pupil above the arrow
  std::optional<double> tied_along_mm;    ///< a peep tied already: nocking point to peep along the string
};

/// The least-squares residuals, in the order they are stored.
enum class Residual : unsigned {
  eye_sideways,
  eye_on_line,
  nose_sideways,
  nose_on_string,
  mouth_sideways,
  mouth_on_string,
  arrow_height,
  pitch,
  roll,
  yaw,
  peep_tied,
};
inline constexpr std::size_t residual_count = 11;

struct ResidualInfo {
  std::string_view name, unit;  ///< unit "mm" or "deg"
};
const ResidualInfo& info_of(Residual residual);

struct Posture {
  double along_string_mm = 0;  ///< s
  Point3 pupil{};              ///< aiming pupil in W, right-handed archer
  double yaw_rad = 0;          ///< turned off the target line toward the string side, positive
  double pitch_rad = 0, roll_rad = 0;
  std::array<double, residual_count> off{};        ///< value less target, mm or deg
  std::array<double, residual_count> tolerance{};  ///< same unit
  double along_string_sd_mm = 0;                   ///< from (JᵀJ)⁻¹: how far the peep may go before a head minds
  double peep_height_sd_mm = 0;
  Point3 pupil_sd{};
  double nose_gap_mm = 0;   ///< nose tip to string surface, square to the string; negative: pressed
  double mouth_gap_mm = 0;  ///< string-side mouth corner to the serving's surface

  /// Frame F to frame W for this pose and face: p ↦ R (p − aiming pupil) + pupil.
  [[nodiscard]] Point3 to_bow(const Face& face, Point3 in_head) const;
};

/// "as wanted" within the tolerance, "strained" within three of them, "forced" beyond.
std::string_view verdict_of(const Posture& posture, Residual residual);

/// Solves for the head and, unless a peep is tied, for its place. `near`, a solution of much the same input, saves most
/// of the work and changes the result by less than 1e-9 mm. Throws Error(input) if no posture is found.
Posture solve_posture(const Face& face, const PostureInput& input, const Posture* near = nullptr);

}  // namespace peepwright
