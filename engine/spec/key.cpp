// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/spec/key.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "engine/quantity/edits.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

using enum Key;
using enum Absence;
constexpr auto length = Dimension::length;
constexpr auto angle = Dimension::angle;
constexpr double deg = unit::degree_rad;
constexpr double inch = unit::inch_mm;
constexpr double metre = 1000;
constexpr std::string_view no_reason = "";
constexpr std::string_view trade = "common practice, no source";
constexpr std::string_view cycle = "what the draw cycle gives usual bows";
constexpr std::string_view survey = "spread of the survey statistics";

// Uncertainties are standard ones. Those of measured values suppose callipers on a face, a tape or a square on
// a bow, catalogue numbers that a bow holds to within its tuning; common practice, no source.
constexpr std::array<KeyInfo, key_count> table{{
    {face_percentile, "archer.face.percentile", Dimension::number, 1, 99, optional, no_value, 0, 0,
     "size of head and face among the build, 1 to 99", no_reason},
    {face_eye_to_arrow, "archer.face.eye_to_arrow", length, 40, 160, optional, no_value, 1.5, 0,
     "aiming pupil above the arrow's axis at full draw; settle head upright, eyes closed, not aiming, then read",
     no_reason},
    {face_pupil_distance, "archer.face.pupil_distance", length, 45, 80, optional, no_value, 0.7, 0,
     "between the pupils, looking far away", no_reason},
    {face_nose_tip_below_eye, "archer.face.nose_tip_below_eye", length, 10, 65, optional, no_value, 1, 0,
     "pupil down to the nose tip, head level", no_reason},
    {face_nose_tip_ahead_of_eye, "archer.face.nose_tip_ahead_of_eye", length, 10, 70, optional, no_value, 1.5, 0,
     "pupil forward to the nose tip", no_reason},
    {face_mouth_corner_below_eye, "archer.face.mouth_corner_below_eye", length, 40, 105, optional, no_value, 1, 0,
     "pupil down to the corner of the closed mouth", no_reason},
    {face_mouth_width, "archer.face.mouth_width", length, 30, 90, optional, no_value, 1.5, 0,
     "between the corners of the closed mouth", no_reason},
    {face_hollow_below_eye, "archer.face.hollow_below_eye", length, 55, 130, optional, no_value, 1.5, 0,
     "pupil down to the hollow between lower lip and chin", no_reason},
    {face_chin_below_eye, "archer.face.chin_below_eye", length, 60, 150, optional, no_value, 1.5, 0,
     "pupil down to the foremost point of the chin", no_reason},
    {face_face_length, "archer.face.face_length", length, 80, 165, optional, no_value, 1.5, 0,
     "root of the nose to the underside of the chin", no_reason},
    {face_head_length, "archer.face.head_length", length, 140, 250, optional, no_value, 2, 0,
     "between the brows to the back of the head", no_reason},
    {face_head_breadth, "archer.face.head_breadth", length, 110, 200, optional, no_value, 2, 0,
     "greatest width of the head above the ears", no_reason},
    {face_jaw_breadth, "archer.face.jaw_breadth", length, 70, 170, optional, no_value, 2, 0,
     "between the angles of the jaw", no_reason},

    {spread_pupil_ahead, "archer.face.spread.pupil_ahead", length, -20, 20, hidden, 0, 0, 1.5,
     "how far the pupil stands off its place in the head, forward", survey},
    {spread_pupil_up, "archer.face.spread.pupil_up", length, -20, 20, hidden, 0, 0, 2,
     "how far the pupil stands off its place in the head, up", survey},
    {spread_pupil_distance, "archer.face.spread.pupil_distance", length, -20, 20, hidden, 0, 0, 0,
     "spread of the pupil distance", survey},
    {spread_nose_ahead, "archer.face.spread.nose_ahead", length, -30, 30, hidden, 0, 0, 0,
     "spread of the nose tip, forward", survey},
    {spread_nose_up, "archer.face.spread.nose_up", length, -30, 30, hidden, 0, 0, 0, "spread of the nose tip, up",
     survey},
    {spread_mouth_ahead, "archer.face.spread.mouth_ahead", length, -30, 30, hidden, 0, 0, 0,
     "spread of the mouth corner, forward", survey},
    {spread_mouth_up, "archer.face.spread.mouth_up", length, -30, 30, hidden, 0, 0, 0, "spread of the mouth corner, up",
     survey},
    {spread_mouth_aside, "archer.face.spread.mouth_aside", length, -30, 30, hidden, 0, 0, 0,
     "spread of the mouth corner, sideways", survey},
    {spread_hollow_ahead, "archer.face.spread.hollow_ahead", length, -30, 30, hidden, 0, 0, 0,
     "spread of the hollow under the lip, forward", survey},
    {spread_hollow_up, "archer.face.spread.hollow_up", length, -30, 30, hidden, 0, 0, 0,
     "spread of the hollow under the lip, up", survey},

    {bow_axle_to_axle, "bow.axle_to_axle", length, 20 * inch, 55 * inch, required, no_value, 2, 0,
     "between the axles, undrawn", no_reason},
    {bow_brace_height, "bow.brace_height", length, 3 * inch, 12 * inch, required, no_value, 2, 0,
     "string to grip pivot, square to the string, undrawn", no_reason},
    {bow_draw_length, "bow.draw_length", length, 10 * inch, 36 * inch, required, no_value, 4, 0,
     "nocking point at full draw to the pivot, plus 1 3/4 in unless draw_length_to says otherwise", no_reason},
    {bow_peak_weight, "bow.peak_weight", Dimension::force, 20, 450, assumed, 60 * unit::pound_force_n, 4, 45,
     "greatest draw force", trade},
    {bow_let_off, "bow.let_off", Dimension::ratio, 0.3, 0.97, assumed, 0.8, 0.01, 0.07, "(peak − holding) / peak",
     "65 to 80 % is common, above 90 % is seen, as published texts report"},
    {bow_nock_above_centre, "bow.nock_above_centre", length, -60, 60, assumed, 0, 1, 8,
     "nocking point above the middle of the axles, undrawn", "judgement, no source"},

    {full_draw_string_angle, "bow.full_draw.string_angle", angle, 56 * deg, 130 * deg, optional, no_value, 0.5 * deg, 0,
     "angle between both string legs at full draw (about twice that of one leg to the arrow)", no_reason},
    {full_draw_axle_to_axle, "bow.full_draw.axle_to_axle", length, 15 * inch, 54 * inch, optional, no_value, 2, 0,
     "between the axles at full draw", no_reason},
    {full_draw_axle_set_back, "bow.full_draw.axle_set_back", length, 20, 450, optional, no_value, 3, 0,
     "axle centre behind the pivot, toward the archer, at full draw", no_reason},
    {full_draw_take_off_radius, "bow.full_draw.take_off_radius", length, 0, 120, optional, no_value, 1.5, 0,
     "axle centre to the string where it leaves the cam, square to it, at full draw", no_reason},

    {limb_length, "bow.limb.length", length, 150, 600, optional, no_value, 5, 0,
     "working limb, riser to axle; the draw cycle takes 330 mm without it", no_reason},
    {limb_angle, "bow.limb.angle", angle, 8 * deg, 85 * deg, optional, no_value, 2 * deg, 0,
     "limb against the horizontal, undrawn; without it 38 deg, and 12 to 65 deg in the give or take", no_reason},
    {limb_preload, "bow.limb.preload", angle, 0, 70 * deg, optional, no_value, 3 * deg, 0,
     "limb's bend at rest; 30 deg without it", no_reason},
    {cam_string_radius, "bow.cam.string_radius", length, 10, 90, optional, no_value, 0.5, 0,
     "string track; the six bow.cam keys go together and then nothing is sized", no_reason},
    {cam_string_eccentricity, "bow.cam.string_eccentricity", length, 0, 80, optional, no_value, 0.5, 0,
     "axle to the string track's centre", no_reason},
    {cam_string_angle, "bow.cam.string_angle", angle, -180 * deg, 180 * deg, optional, no_value, 2 * deg, 0,
     "axle to the string track's centre, undrawn: from straight ahead, up positive (upper cam)", no_reason},
    {cam_cable_radius, "bow.cam.cable_radius", length, 4, 80, optional, no_value, 0.5, 0, "cable track", no_reason},
    {cam_cable_eccentricity, "bow.cam.cable_eccentricity", length, 0, 70, optional, no_value, 0.5, 0,
     "axle to the cable track's centre", no_reason},
    {cam_cable_angle, "bow.cam.cable_angle", angle, -180 * deg, 180 * deg, optional, no_value, 2 * deg, 0,
     "axle to the cable track's centre, undrawn, as for the string track", no_reason},

    {assumed_axle_closing, "bow.assumed.axle_closing", length, 0, 250, assumed, 95, 3, 12,
     "how much nearer together the axles are at full draw", cycle},
    {assumed_axle_travel, "bow.assumed.axle_travel", length, 0, 150, assumed, 31, 3, 19,
     "how far each axle moves toward the archer by full draw", cycle},
    {assumed_rest_take_off_radius, "bow.assumed.rest_take_off_radius", length, 0, 120, assumed, 36, 1.5, 6,
     "take-off radius of the string, undrawn", cycle},
    {assumed_take_off_radius, "bow.assumed.take_off_radius", length, 0, 120, assumed, 66, 1.5, 9,
     "take-off radius of the string at full draw", cycle},

    {spread_leg_angle, "bow.assumed.spread.leg_angle", angle, -10 * deg, 10 * deg, hidden, 0, 0, 0,
     "upper leg's angle over the cams and limbs that fit the catalogue", "spread over plausible cam families"},

    {string_diameter, "bow.string.diameter", length, 1, 6, assumed, 2.4, 0.05, 0.2, "string where it touches the nose",
     "from memory"},
    {string_serving_diameter, "bow.string.serving_diameter", length, 1, 8, assumed, 2.8, 0.05, 0.2,
     "served string where it touches the mouth corner", "from memory"},
    {string_nock_height, "bow.string.nock_height", length, 2, 20, assumed, 7, 0.2, 1,
     "how much of the string the nock covers", "from memory"},
    {string_loop_length, "bow.string.loop_length", length, 5, 60, assumed, 14, 1, 4,
     "string to the hook in the release loop", "from memory"},
    {string_knots_apart, "bow.string.knots_apart", length, 0, 40, assumed, 11, 0.5, 2,
     "between the loop's two knots at the nock, middle to middle; between them the string stays straight",
     "common practice, no source; the nock and 4 mm at least"},
    {string_strands, "bow.string.strands", Dimension::number, 8, 60, assumed, 24, 0.01, 3, "strands in the string",
     trade},
    {string_stretch_at_mark, "bow.string.stretch_at_mark", length, -8, 8, assumed, 0, 0.2, 0.5,
     "how much further from the nocking point the peep is at full draw than at rest", "no stretch; from memory"},

    {arrow_length, "arrow.length", length, 400, 950, assumed, 28 * inch, 2, 20, "nock throat to the end of the shaft",
     "common practice, no source; longer where the draw asks for it"},
    {arrow_shaft_diameter, "arrow.shaft_diameter", length, 3, 12, assumed, 5.5, 0.05, 0.7, "outside of the shaft",
     trade},
    {arrow_mass, "arrow.mass", Dimension::mass, 0.005, 0.08, assumed, 0.0255, 1e-4, 0.003,
     "arrow with point, vanes and nock", trade},
    {arrow_speed, "arrow.speed", Dimension::speed, 30, 130, assumed, 82, 1, 10, "arrow as it leaves the bow",
     "common practice, no source; by stored energy and the arrow's mass where there is a draw cycle"},
    {arrow_drag_coefficient, "arrow.drag_coefficient", Dimension::number, 1, 4, assumed, 2.6, 0.2, 0.5,
     "all drag on the shaft's cross-section",
     "turbulent flow on a thin shaft, Sports Engineering 16 (2013) 43-54; no value is published at compound speeds"},
    {arrow_vane_height, "arrow.vane_height", length, 2, 30, assumed, 9, 0.2, 2, "vane above the shaft's surface",
     trade},
    {arrow_vane_length, "arrow.vane_length", length, 10, 150, assumed, 45, 1, 10, "vane along the shaft", trade},
    {arrow_vane_count, "arrow.vane_count", Dimension::number, 2, 6, chosen, 3, 0, 0, "number of vanes", trade},
    {slowed_speed, "arrow.slowed.speed", Dimension::speed, 10, 130, optional, no_value, 0.3, 0,
     "speed measured again at arrow.slowed.distance: gives the drag", no_reason},
    {slowed_distance, "arrow.slowed.distance", length, 5 * metre, 120 * metre, optional, no_value, 100, 0,
     "flight between the two speed readings", no_reason},

    {sight_extension, "sight.extension", length, 0, 500, assumed, 150, 2, 25, "pivot forward to the pin", trade},
    {sight_housing_diameter, "sight.housing_diameter", length, 10, 80, assumed, 42, 0.3, 4,
     "outside of the housing round the pin", trade},
    {sight_housing_depth, "sight.housing_depth", length, 2, 60, assumed, 20, 0.5, 5,
     "depth of the housing, along the arrow", trade},
    {sight_bar_drop, "sight.bar_drop", length, 0, 90, optional, no_value, 0.5, 0,
     "lowest part of bar or mount below the pin, if lower than the housing", no_reason},
    {two_marks_near, "sight.two_marks.near", length, 5 * metre, 150 * metre, optional, no_value, 50, 0,
     "nearer distance shot with a proven mark", no_reason},
    {two_marks_far, "sight.two_marks.far", length, 5 * metre, 150 * metre, optional, no_value, 50, 0,
     "farther distance shot with a proven mark", no_reason},
    {two_marks_moved, "sight.two_marks.moved", length, 0.5, 150, optional, no_value, 0.3, 0,
     "how far the pin came down from the near to the far mark, on level ground: gives the drag", no_reason},

    {peep_bore, "peep.bore", length, 0.4, 12, assumed, 3.0 / 16 * inch, 0.05, 0.5, "hole of the peep", trade},
    {peep_body_length, "peep.body_length", length, 2, 30, assumed, 8, 0.1, 1.5, "peep body along its bore", trade},
    {peep_body_diameter, "peep.body_diameter", length, 3, 25, assumed, 9, 0.1, 1.5, "peep body across", trade},
    {peep_bore_angle, "peep.bore_angle", angle, 20 * deg, 90 * deg, assumed, 40 * deg, 0.5 * deg, 3 * deg,
     "bore axis against the string", trade},
    {peep_tie_in, "peep.tie_in", length, 0, 40, chosen, 10, 0, 0,
     "tie-in serving above the peep, and again below it, drawn on the strip", trade},
    {tied_mark, "peep.tied.mark", length, 20, 450, optional, no_value, 0.5, 0,
     "top of the nock to the peep's centre, undrawn, of a peep already tied", no_reason},
    {tied_height_full_draw, "peep.tied.height_full_draw", length, 15, 300, optional, no_value, 1, 0,
     "peep's centre above the arrow's axis at full draw, square to the arrow", no_reason},

    {distances_near, "distances.near", length, 3 * metre, 150 * metre, chosen, 10 * metre, 0, 0,
     "nearest target; all distances count from the grip's pivot", ""},
    {distances_fit, "distances.fit", length, 3 * metre, 150 * metre, chosen, 30 * metre, 0, 0,
     "the distance at which the head is to be upright", ""},
    {distances_far, "distances.far", length, 3 * metre, 150 * metre, chosen, 50 * metre, 0, 0, "farthest target", ""},
    {distances_slope, "distances.slope", angle, -60 * deg, 60 * deg, chosen, 0, 0, 0,
     "line of sight above the horizontal for all marks", ""},
    {air_altitude, "air.altitude", length, -400 * metre, 5000 * metre, chosen, 0, 0, 0,
     "height above the sea, for the air's density (ISO 2533)", ""},

    {wanted_arrow_chin, "wanted.arrow_chin", length, -20, 50, chosen, 0, 0, 0,
     "room from shaft to the skin of the chin, mouth corner to mouth corner; less than 0 presses", ""},
    {wanted_sight_arrow, "wanted.sight_arrow", length, 0, 50, chosen, 3, 0, 0,
     "room from housing and bar to the passing vanes at the far mark", ""},
    {wanted_peep_eye, "wanted.peep_eye", length, 0, 200, chosen, 40, 0, 0, "room from peep to eye", ""},
    {wanted_nock_face, "wanted.nock_face", length, -20, 50, chosen, -5, 0, 0,
     "room from nock and loop to the skin; less than 0 presses into the cheek", ""},

    {gauge_wall, "gauge.wall", length, 0.8, 5, chosen, 1.6, 0, 0,
     "clip gauge: nothing thinner but the ground under figures", trade},
    {gauge_groove_clearance, "gauge.groove_clearance", length, 0, 1, chosen, 0.2, 0, 0,
     "clip gauge: groove wider than the string, each side", trade},
    {gauge_saddle_clearance, "gauge.saddle_clearance", length, 0, 1, chosen, 0.25, 0, 0,
     "clip gauge: saddle wider than the nock, each side", trade},
    {gauge_snap, "gauge.snap", length, 0, 0.4, chosen, 0.15, 0, 0,
     "clip gauge: mouth of the groove narrower than the string, each side", trade},
    {gauge_engraving, "gauge.engraving", length, 0, 1, chosen, 0.4, 0, 0,
     "clip gauge: depth of scale and figures; 0: none", trade},
    {gauge_tick_width, "gauge.tick_width", length, 0.1, 0.7, chosen, 0.4, 0, 0,
     "clip gauge: width of the scale's ticks", trade},
    {gauge_knot_length, "gauge.knot_length", length, 0, 40, chosen, 10, 0, 0,
     "clip gauge: string above the nock that is kept free for the loop's knot", trade},
    {gauge_knot_radius, "gauge.knot_radius", length, 1, 15, chosen, 5.5, 0, 0,
     "clip gauge: room about the string for that knot", trade},
}};

constexpr bool table_is_in_order() {
  for (std::size_t i = 0; i < table.size(); ++i)
    if (index_of(table[i].key) != i) return false;
  return true;
}
static_assert(table_is_in_order(), "a row of the key table is out of order or missing");

constexpr std::string_view picked = "x, y and z as a list: plain numbers in scan_unit, or with units in quotes";
constexpr std::array text_table{
    TextKeyInfo{"archer.label", "any text", "whose fit this is"},
    TextKeyInfo{"archer.hand", "\"right\" or \"left\"", "the hand that draws"},
    TextKeyInfo{"archer.face.build", "\"adult-male\" or \"adult-female\"",
                "whose statistics fill in what is not measured"},
    TextKeyInfo{"archer.face.scan", "the name of a PLY, OBJ or STL file, beside this file or with its folder",
                "a scan of the archer's head; its landmarks replace the statistics, its skin measures the clearances"},
    TextKeyInfo{"archer.face.scan_unit", "\"mm\", \"cm\", \"m\" or \"in\"",
                "unit of the scan's coordinates; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.pupil_left", picked,
                "middle of the left pupil, in the scan's own axes; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.pupil_right", picked, "middle of the right pupil; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.pronasale", picked, "tip of the nose; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.sublabiale", picked,
                "deepest point of the hollow between lower lip and chin; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.cheilion_left", picked,
                "left corner of the closed mouth; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.cheilion_right", picked,
                "right corner of the closed mouth; needed with a scan"},
    TextKeyInfo{"archer.face.scan_landmarks.glabella", picked, "foremost point between the brows; better with it"},
    TextKeyInfo{"archer.face.scan_landmarks.sellion", picked, "deepest point of the root of the nose; better with it"},
    TextKeyInfo{"archer.face.scan_landmarks.subnasale", picked, "where the nose meets the upper lip"},
    TextKeyInfo{"archer.face.scan_landmarks.stomion", picked, "middle of the line between the lips"},
    TextKeyInfo{"archer.face.scan_landmarks.pogonion", picked, "foremost point of the chin; better with it"},
    TextKeyInfo{"archer.face.scan_landmarks.menton", picked, "lowest point of the chin; better with it"},
    TextKeyInfo{"archer.face.scan_landmarks.gonion_left", picked, "left angle of the jaw"},
    TextKeyInfo{"archer.face.scan_landmarks.gonion_right", picked, "right angle of the jaw"},
    TextKeyInfo{"archer.face.scan_landmarks.tragion_left", picked,
                "notch above the flap of the left ear; both tragia level the head best"},
    TextKeyInfo{"archer.face.scan_landmarks.tragion_right", picked, "notch above the flap of the right ear"},
    TextKeyInfo{"bow.label", "any text", "which bow this is"},
    TextKeyInfo{"bow.draw_length_to", "\"pivot+1.75in\" or \"pivot\"", "what draw_length is measured to"},
    TextKeyInfo{
        "bow.force_draw", "a list of at least 6 pairs of draw and force, in rising draw",
        "draw-force readings from brace to full draw, draws counted as bow.draw_length is; they tell limbs and cams"},
    TextKeyInfo{"arrow.label", "any text", "which arrow this is"},
    TextKeyInfo{"peep.bores", "a list of lengths", "bores to choose from"},
    TextKeyInfo{"distances.marks", "a list of lengths",
                "distances to give sight marks for; without it near, fit, far, and every 10 m between, or 10 yd where "
                "those are in yards; every 10 yd alone where none is given and --units is in"},
    TextKeyInfo{"wanted.string_nose", "a list of two lengths, least and most",
                "string to nose tip; less than 0 presses"},
    TextKeyInfo{"wanted.string_mouth", "a list of two lengths, least and most",
                "string to mouth corner; less than 0 presses"},
};

}  // namespace

std::span<const KeyInfo> all_keys() { return table; }
std::span<const TextKeyInfo> text_keys() { return text_table; }
const KeyInfo& info_of(Key key) { return table[index_of(key)]; }

const KeyInfo* find_key(std::string_view path) {
  const auto found = std::ranges::find(table, path, &KeyInfo::path);
  return found == table.end() ? nullptr : &*found;
}

std::string_view nearest_path(std::string_view path) {
  constexpr std::size_t longest = 80;  // a key of a megabyte is nobody's typing error
  if (path.size() > longest) return {};
  std::string_view best;
  std::size_t best_edits = longest;
  const auto offer = [&](std::string_view candidate) {
    std::size_t distance = edits(path, candidate);
    // A right name in a wrong table is the commonest slip: compare the last parts too.
    const auto last = [](std::string_view p) { return p.substr(p.rfind('.') + 1); };
    distance = std::min(distance, edits(last(path), last(candidate)) + 1);
    // So is a name that was not written to its end.
    constexpr std::size_t telling = 6;
    if (path.size() >= telling && path.size() < candidate.size())
      distance = std::min(distance, edits(path, candidate.substr(0, path.size())) + 1);
    if (distance < best_edits) best_edits = distance, best = candidate;
  };
  for (const KeyInfo& row : table)
    if (row.absence != hidden) offer(row.path);
  for (const TextKeyInfo& row : text_table) offer(row.path);
  const std::size_t likely = std::clamp<std::size_t>(path.size() / 4, 1, 4);  // a short key is soon like any other
  return best_edits <= likely ? best : std::string_view{};
}

}  // namespace peepwright
