// SPDX-License-Identifier: GPL-3.0-or-later
// Round, eccentric tracks of a cam, and the length of a string or cable that runs off one.
//
// Frame: the riser's. Origin on the bow's mid-line at the grip pivot's station, +x to the target, +z up.
// Everything here is written for the upper half; the lower half is its mirror image in z.
#pragma once

#include <Eigen/Core>
#include <cmath>

namespace peepwright {

/// A round track whose centre stands off the axle. `angle_rad` is the direction from axle to track centre
/// when the bow is at rest, from +x towards +z; the cam's rotation is counted from rest in the same sense.
struct RoundTrack {
  double radius_mm = 0;
  double eccentricity_mm = 0;
  double angle_rad = 0;
};

/// Which way a line leaves its track. A drawn cam turns from +x to +z: the string runs off the archer's
/// side and is fed out, the cable comes on at the target's side and is wound in.
enum class Winding { feeds_out, winds_in };

/// What turning by +90 degrees does to a vector.
inline Eigen::Vector2d quarter_turn(const Eigen::Vector2d& v) { return {-v.y(), v.x()}; }

/// The straight part of a line from a fixed end to the point where it touches its track, and the conserved
/// length L = free length + (length on the track, up to a constant).
///
/// Writing w for the velocity of the track's centre less that of the fixed end, and p for the cam's turn rate:
///     dL/dt = u · w - s R p,    d(angle)/dt = (quarter turn of u) · w / free length,
/// with s = +1 where the line is fed out and -1 where it is wound in.
struct TangentLine {
  Eigen::Vector2d direction{0, 0};  ///< u: unit vector from the fixed end to the track
  double angle_rad = 0;             ///< of `direction`
  double free_mm = 0;               ///< from the fixed end to the point of contact; NaN if the end is inside the track
  double length_mm = 0;             ///< L
};

/// The tangent from `end` to a circle of radius `radius_mm` about `centre`; `turn_rad` is the cam's rotation.
inline TangentLine tangent_line(const Eigen::Vector2d& end, const Eigen::Vector2d& centre, double radius_mm,
                                double turn_rad, Winding winding) {
  const double sign = winding == Winding::feeds_out ? 1 : -1;
  const Eigen::Vector2d d = centre - end;
  const double square = d.squaredNorm();
  TangentLine line;
  line.free_mm = std::sqrt(square - radius_mm * radius_mm);
  line.direction = (line.free_mm * d + sign * radius_mm * quarter_turn(d)) / square;
  line.angle_rad = std::atan2(line.direction.y(), line.direction.x());
  line.length_mm = line.free_mm + sign * radius_mm * (line.angle_rad - turn_rad);
  return line;
}

/// Axle to track centre with the cam turned by `turn_rad`. Its derivative by the turn is its quarter turn.
inline Eigen::Vector2d track_offset(const RoundTrack& track, double turn_rad) {
  const double angle = track.angle_rad + turn_rad;
  return {track.eccentricity_mm * std::cos(angle), track.eccentricity_mm * std::sin(angle)};
}

}  // namespace peepwright
