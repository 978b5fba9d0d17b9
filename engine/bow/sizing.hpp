// SPDX-License-Identifier: GPL-3.0-or-later
// The bow behind a catalogue page: one scale on all cam lengths, the cable track's eccentricity and the limb's
// stiffness, chosen so that the first valley of the draw force stands at the archer's draw length with the
// catalogue's let-off and peak weight.
#pragma once

#include "engine/bow/draw_cycle.hpp"

namespace peepwright {

/// How large a cam may become. The rim's largest distance from the axle on the string track; common practice, no
/// source: cams beyond 90 mm foul limb and cable, under 15 mm they are idler wheels.
struct CamSizeLimits {
  double smallest_reach_mm = 15;
  double largest_reach_mm = 90;
};

/// A bow that meets its catalogue numbers.
struct SizedBow {
  DrawCycle cycle;
  double cam_scale = 1;  ///< on all cam lengths of the design it was sized from
  DrawState rest;
  DrawState peak;
  DrawState full_draw;
  [[nodiscard]] double closing_mm() const { return 2 * (rest.axle_height_mm - full_draw.axle_height_mm); }
  [[nodiscard]] double set_back_mm() const { return full_draw.axle_behind_pivot_mm - rest.axle_behind_pivot_mm; }
  [[nodiscard]] double holding_n() const { return cycle.force_n(full_draw); }
};

/// Sizes `design` to `bow`, as if the nocking point were at mid-string. Bracketed in both unknowns; a cam never
/// turns more than once. Throws Error(input) for impossible numbers, and where no such bow exists, with the
/// range that can be reached.
SizedBow size_to_catalogue(const CatalogueBow& bow, const BowDesign& design = {}, const CamSizeLimits& limits = {});

/// `design` with every cam length times `scale` and the cable track's eccentricity set to `ratio` of its radius.
BowDesign scaled(const BowDesign& design, double scale, double ratio);

/// Refuses catalogue numbers no bow has: not finite, not positive, draw below brace, let-off outside 0–1.
void check_catalogue(const CatalogueBow& bow);

/// Refuses parts that cannot be built: lengths not above zero, an axle outside the string track, angles out of range.
void check_design(const BowDesign& design);

}  // namespace peepwright
