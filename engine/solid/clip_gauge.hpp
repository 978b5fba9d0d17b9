// SPDX-License-Identifier: GPL-3.0-or-later
// A rigid gauge that clips on the string at rest: its saddle sits on the nock, its two points stand at the peep's mark.
//
// Frame: z along the string, 0 at the top of the nock (the datum); x to the target; y to the archer's left. The
// string's axis is x = y = 0. The bar is pushed on from the target's side, so the release loop stays free, and is read
// from the archer's side (the face at least x), where scale and figures are cut in. It prints on its front (greatest x)
// without support: every wall is upright or leans by 45 degrees at most.
#pragma once

#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// Lengths in mm. Defaults suit a filament printer with a 0.4 mm nozzle; common practice, no source.
struct ClipGaugeInput {
  double mark_mm = 0;  ///< top of the nock to the middle of the peep, along the string
  double nock_height_mm = 7;
  double string_diameter_mm = 2.4, serving_diameter_mm = 2.8;
  double peep_along_mm = 12;  ///< what the peep's body covers of the string
  double peep_across_mm = 9;  ///< the body's width, sideways
  double tie_in_mm = 10;      ///< serving above and again below the peep, kept open in the window

  double wall_mm = 1.6;               ///< nothing is thinner, but for the ground under figures
  double groove_clearance_mm = 0.2;   ///< groove wider than the string, each side
  double saddle_clearance_mm = 0.25;  ///< saddle wider than the nock, each side
  double snap_mm = 0.15;              ///< mouth narrower than the string, each side
  double engraving_mm = 0.4;          ///< depth of ticks and figures; 0: none
  double tick_width_mm = 0.4;
  double knot_length_mm = 10;   ///< of the string above the nock, kept free for the loop's knot
  double knot_radius_mm = 5.5;  ///< about the string's axis
};

/// Where the gauge's faces are; all follow from the input. For drawing and checking.
struct ClipGaugePlan {
  double back_x = 0, front_x = 0;  ///< read from the back, printed on the front
  double foot_z = 0;               ///< lower end of the saddle's cheeks
  double clip_end_z = 0;           ///< lips hold the serving from the knot's room up to here
  double window_low_z = 0, window_high_z = 0, top_z = 0;
  double stem_half = 0, head_half = 0;     ///< half widths
  double window_half = 0, point_half = 0;  ///< half widths between the window's walls and between the points
};

/// Throws Error(input), with the numbers, when the sizes make no gauge: not finite, outside what can be, or a mark too
/// near the nock for saddle, clip and window (about 60 mm with the defaults).
ClipGaugePlan plan_clip_gauge(const ClipGaugeInput& input);

/// One sound solid named "clip gauge". Throws Error(input) as the plan does, Error(internal) when the kernel fails.
Part clip_gauge(const ClipGaugeInput& input);

}  // namespace peepwright::solid
