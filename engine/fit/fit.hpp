// SPDX-License-Identifier: GPL-3.0-or-later
// The whole numeric fit: face, string, posture, sight line, view and clearances of one spec.
#pragma once

#include <vector>

#include "engine/bow/string_legs.hpp"
#include "engine/fit/clearance.hpp"
#include "engine/fit/peep_view.hpp"
#include "engine/fit/posture.hpp"
#include "engine/flight/sight_line.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright {

/// What the peep's place follows from, and nothing more; cheap enough to be solved a hundred times for a budget.
struct CoreFit {
  Face face;
  StringLegs legs;
  Posture posture;
  double line_down_rad = 0;  ///< β at the fit distance
  double drag_coefficient = 0;
  double peep_height_mm = 0;  ///< H, above the arrow axis at full draw
  double mark_mm = 0;         ///< top of the nock to the peep's centre, undrawn
  Point3 peep;                ///< at full draw, W
  double eye_to_peep_mm = 0;
};

/// Whose place is asked for: a peep yet to be tied, or the one that is tied at `peep.tied.mark`.
enum class Peep { to_place, tied };

/// Throws Error(input) when the numbers make no posture or the arrow does not reach the fit distance.
CoreFit solve_core(const Spec& spec, Peep peep = Peep::to_place);

struct MarkRow {
  SightMark mark;
  double eye_height_mm = 0;  ///< pupil above the arrow axis that this mark asks for
};

struct Fit {
  Spec spec;
  Peep peep = Peep::to_place;
  CoreFit core;
  std::vector<MarkRow> marks;  ///< by distance
  Reach reach;
  SightMark lowest;          ///< of all these and the near and far one, the mark whose sight comes nearest to the vanes
  double eye_travel_mm = 0;  ///< eye (and so anchor) up from the first to the last mark
  BoreSeen bore;
  double framing_bore_mm = 0;
  Length nearest_bore;
  double aim_error_mm = 0;  ///< at the far distance, for an eye or peep 1 mm off centre
  std::vector<Clearance> clearances;

  [[nodiscard]] bool all_met() const;
};

/// `spec` as read; its face spreads need not be set.
Fit solve_fit(const Spec& spec, Peep peep = Peep::to_place);

/// The fit is solved as for a right-handed archer; this turns a point of W into what stands before a left-handed one.
Point3 as_archer_stands(const Spec& spec, Point3 in_bow);

/// Flight of the spec's arrow with the given drag coefficient along its line of sight.
Shot shot_of(const Spec& spec, double drag_coefficient);
SightGeometry geometry_of(const Spec& spec, const Point3& peep);
SightBody body_of(const Spec& spec);

/// Distances that marks are given for: the spec's list, else near, fit, far and every round 10 m between, or 10 yd
/// where those given are whole yards or none is given to one who speaks in yards; ascending. Among yards, those of
/// near, fit and far that are assumed, in metres, have no mark, though the fit is made for them all the same.
std::vector<double> mark_distances_m(const Spec& spec);

/// Head of `fit` against that of `reference`, at the same nocking point: forward and up positive, mm.
struct HeadShift {
  double forward_mm = 0, up_mm = 0;
};
HeadShift head_shift(const CoreFit& fit, const CoreFit& reference);

}  // namespace peepwright
