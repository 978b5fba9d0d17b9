// SPDX-License-Identifier: GPL-3.0-or-later
// A bow's whole behaviour from catalogue numbers: sized, with its own leg angles, and with strings that stretch.
#pragma once

#include <vector>

#include "engine/bow/elastic_draw.hpp"
#include "engine/bow/sizing.hpp"

namespace peepwright {

/// One point of a draw-force curve; draw counts from the grip pivot.
struct ForceDrawPoint {
  double draw_mm = 0;
  double force_n = 0;
};

/// The bow at rest, at peak weight and at the archer's draw length.
struct FullDraw {
  BowDesign design;  ///< as built: cams scaled, eccentricity of the cable track found
  double cam_scale = 1;
  double limb_stiffness_n_mm = 0;
  StringData strings;
  NockPath nock_path = NockPath::balanced;
  ElasticDraw cycle;
  ElasticState peak;
  ElasticState full_draw;

  [[nodiscard]] const ElasticState& rest() const { return cycle.at_rest(); }
  [[nodiscard]] double holding_n() const { return full_draw.force_n; }
  [[nodiscard]] double let_off() const { return 1 - full_draw.force_n / peak.force_n; }
  [[nodiscard]] double included_angle_rad() const {
    return full_draw.upper.leg_angle_rad + full_draw.lower.leg_angle_rad;
  }
  /// By how much the axle-to-axle length is shorter at full draw.
  [[nodiscard]] double closing_mm() const;
  /// By how much a distance up the string is longer at rest than at full draw.
  [[nodiscard]] double mark_change_mm(double along_mm) const;
  /// `points` ≥ 2 evenly spaced draws from brace to full draw, both ends included (ASTM F1832 asks for steps of at
  /// most one inch).
  [[nodiscard]] std::vector<ForceDrawPoint> curve(int points) const;
  /// The whole bow at each of `draws_mm`, which rise from brace. Throws Error(input) where one cannot be had.
  [[nodiscard]] std::vector<ElasticState> states(const std::vector<double>& draws_mm) const;
};

/// Sizes the bow and solves it. With stretch or a nocking point off centre the valley, the let-off and the peak shift
/// a little; the sizing is repeated against the shift until all three are met again. Identical cams that are free of
/// each other tip over to one side at high let-off (from about 90 % on); built bows prevent it by draw stops, by
/// cams that drive each other and by the bow hand. Such a bow is solved with a level nocking point.
/// Throws Error(input) as size_to_catalogue does.
FullDraw full_draw_from_catalogue(const CatalogueBow& bow, const BowDesign& design = {}, const StringData& strings = {},
                                  const CamSizeLimits& limits = {});

/// Takes `design` as it is, nothing sized: the limb's stiffness follows from the peak weight, and full draw is the
/// archer's draw length wherever that falls on the curve. The let-off of `bow` is not used. A bow that would tip over
/// is solved with a level nocking point, as above.
/// Throws Error(input) where the bow cannot be drawn that far.
FullDraw full_draw_as_built(const CatalogueBow& bow, const BowDesign& design, const StringData& strings = {});

}  // namespace peepwright
