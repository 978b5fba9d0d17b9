// SPDX-License-Identifier: GPL-3.0-or-later
// Every numeric key of the input files, in one table: what it is, what is accepted, what is assumed when it
// is not given and how uncertain it then is. Reading, messages, the uncertainty budget, sweeps and the key
// reference all come from this table; a new input is a name here and a row there.
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <string_view>

#include "engine/quantity/parse.hpp"

namespace peepwright {

// clang-format off
enum class Key : unsigned {
  face_percentile, face_eye_to_arrow, face_pupil_distance, face_nose_tip_below_eye, face_nose_tip_ahead_of_eye,
  face_mouth_corner_below_eye, face_mouth_width, face_hollow_below_eye, face_chin_below_eye, face_face_length,
  face_head_length, face_head_breadth, face_jaw_breadth,
  spread_pupil_ahead, spread_pupil_up, spread_pupil_distance, spread_nose_ahead, spread_nose_up,
  spread_mouth_ahead, spread_mouth_up, spread_mouth_aside, spread_hollow_ahead, spread_hollow_up,
  bow_axle_to_axle, bow_brace_height, bow_draw_length, bow_peak_weight, bow_let_off, bow_nock_above_centre,
  full_draw_string_angle, full_draw_axle_to_axle, full_draw_axle_set_back, full_draw_take_off_radius,
  limb_length, limb_angle, limb_preload, cam_string_radius, cam_string_eccentricity, cam_string_angle,
  cam_cable_radius, cam_cable_eccentricity, cam_cable_angle,
  assumed_axle_closing, assumed_axle_travel, assumed_rest_take_off_radius, assumed_take_off_radius, spread_leg_angle,
  string_diameter, string_serving_diameter, string_nock_height, string_loop_length, string_knots_apart, string_strands, string_stretch_at_mark,
  arrow_length, arrow_shaft_diameter, arrow_mass, arrow_speed, arrow_drag_coefficient, arrow_vane_height,
  arrow_vane_length, arrow_vane_count, slowed_speed, slowed_distance,
  sight_extension, sight_housing_diameter, sight_housing_depth, sight_bar_drop,
  two_marks_near, two_marks_far, two_marks_moved,
  peep_bore, peep_body_length, peep_body_diameter, peep_bore_angle, peep_tie_in, tied_mark, tied_height_full_draw,
  distances_near, distances_fit, distances_far, distances_slope, air_altitude,
  wanted_arrow_chin, wanted_sight_arrow, wanted_peep_eye, wanted_nock_face,
  gauge_wall, gauge_groove_clearance, gauge_saddle_clearance, gauge_snap, gauge_engraving, gauge_tick_width, gauge_knot_length,
  gauge_knot_radius,
};
// clang-format on
inline constexpr std::size_t key_count = 95;
constexpr std::size_t index_of(Key key) { return static_cast<std::size_t>(key); }

/// What happens when a key is not in the files.
enum class Absence {
  required,  ///< an error, unless another source makes it unnecessary
  optional,  ///< nothing is assumed
  assumed,   ///< `fallback` is taken and listed among the assumptions
  chosen,    ///< `fallback` is taken; a wish, not a measurement, so it carries no uncertainty
  hidden,    ///< not a key a person can set: a spread of the face statistics; only its uncertainty can be
};

inline constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

/// One row. Values are in the internal unit of `dimension` (mm, rad, kg, m/s, N, 1).
struct KeyInfo {
  Key key;
  std::string_view path;  ///< "bow.axle_to_axle"
  Dimension dimension;
  double least, most;  ///< accepted range, ends included
  Absence absence;
  double fallback;              ///< taken when absent (assumed, chosen); no_value otherwise
  double measured_uncertainty;  ///< standard uncertainty of a value a person gives
  double assumed_uncertainty;   ///< standard uncertainty of the fallback
  std::string_view help;        ///< one line for the key reference
  std::string_view reason;      ///< why the fallback, and where it comes from
};

std::span<const KeyInfo> all_keys();
const KeyInfo& info_of(Key key);

/// A key that holds text or a list, for the reference and for messages.
struct TextKeyInfo {
  std::string_view path;
  std::string_view accepted;  ///< in words
  std::string_view help;
};
std::span<const TextKeyInfo> text_keys();

/// The row of `path`, or nullptr.
const KeyInfo* find_key(std::string_view path);

/// The known path most like `path` (by edits), or "" when none is near.
std::string_view nearest_path(std::string_view path);

}  // namespace peepwright
