// SPDX-License-Identifier: GPL-3.0-or-later
// The draw of one bow, brace to full draw, as text, table and JSON.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/bow/draw_estimate.hpp"
#include "engine/bow/lateral_stiffness.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

/// What one newton of the face against the string does, in mm. On the target: the arrow's line and the line of sight
/// both go to the side that the face presses from; the shot is off by the one less the other.
struct FacePress {
  double tail_mm = 0;             ///< the arrow's tail moves, away from the face
  double peep_mm = 0;             ///< the peep moves, away from the face
  double arrow_on_target_mm = 0;  ///< where the arrow points
  double sight_on_target_mm = 0;  ///< where peep and pin look
  [[nodiscard]] double shot_off_mm() const { return arrow_on_target_mm - sight_on_target_mm; }
};

/// Pressed at the nocking point, and pressed at the peep, with one kind of hand.
struct FacePresses {
  FacePress at_nock, at_peep;
};

/// Arrow speed by stored energy and virtual mass, as a fit assumes it, beside the one that was given.
struct SpeedEstimate {
  double m_s = 0;
  double deviation_m_s = 0;  ///< of energy, arrow's mass and virtual mass
  double energy_j = 0;       ///< what it rests on: with usual cams more than the round ones' of the curve
  std::optional<double> given_m_s;
  std::optional<double> virtual_mass_kg;  ///< from the given speed; none where the arrow would carry too much
};

struct DrawReport {
  Spec spec;
  FullDraw bow;
  double leg_deviation_rad = 0;             ///< standard uncertainty of the upper leg's angle
  std::optional<double> table_deviation_n;  ///< bow.force_draw less the bow's force, root mean square
  std::optional<ForcesRead> read;           ///< of bow.force_draw
  double peep_along_mm = 0;   ///< peep from the nocking point up the string: tied, or where the fit puts it
  double peep_nearer_mm = 0;  ///< by how much the peep is nearer to the nock at full draw than at rest
  FacePresses hand_follows, hand_stays;
  SpeedEstimate speed;
  std::vector<ElasticState> table;        ///< brace, every round 5 mm of draw to the pivot, full draw
  std::vector<ElasticState> short_table;  ///< brace, every inch (or 25 mm) as bow.draw_length counts, full draw
  std::vector<std::string> notes;
};

/// Solves the draw cycle and where the peep is. `units` chooses the steps of the short table.
/// Throws Error(input) where the numbers make no bow or no posture.
DrawReport make_draw_report(const Spec& spec, PaperUnits units);

/// One column of draw.csv and draw.json.
struct DrawColumn {
  std::string_view name;  ///< ends in its unit
  std::string_view means;
  double (*value)(const DrawReport&, const ElasticState&);
};
std::span<const DrawColumn> draw_columns();

/// The terminal's report, laid out as `report_text`.
std::string draw_text(const DrawReport& report, PaperUnits units);
/// draw.csv (RFC 4180, decimal points): a header of column names, then one row for each of `table`.
std::string draw_csv(const DrawReport& report);
/// draw.json, schema peepwright-draw-1 (`draw_schema`).
std::string draw_json(const DrawReport& report);
std::string_view draw_schema();

}  // namespace peepwright
