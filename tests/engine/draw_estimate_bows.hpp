// SPDX-License-Identifier: GPL-3.0-or-later
// Bows as a spec tells them, for the tests of what the draw cycle makes of a spec.
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/bow/draw_estimate.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright::test {

using enum Key;

inline Spec weighed_shop() {
  Spec spec = shop_spec();
  spec.give(bow_peak_weight, Force::lbf(60).n());
  spec.give(bow_let_off, 0.8);
  return spec;
}

inline Spec with_cams() {
  Spec spec = weighed_shop();
  const BowDesign own = draw_cycle_of(spec).design;
  spec.give(cam_string_radius, own.string_track.radius_mm);
  spec.give(cam_string_eccentricity, own.string_track.eccentricity_mm);
  spec.give(cam_string_angle, own.string_track.angle_rad);
  spec.give(cam_cable_radius, own.cable_track.radius_mm);
  spec.give(cam_cable_eccentricity, own.cable_track.eccentricity_mm);
  spec.give(cam_cable_angle, own.cable_track.angle_rad);
  spec.give(limb_length, own.limb_length_mm);
  spec.give(limb_angle, own.limb_angle_rad);
  spec.give(limb_preload, own.limb_preload_rad);
  return spec;
}

/// Readings every inch of a bow that is not the default design. The noise is a wave along the draw, `noise_n` root mean
/// square: worse than chance, as cams that are not round are.
inline Spec measured(double noise_n, double* leg_rad = nullptr) {
  Spec hidden = weighed_shop();
  hidden.give(limb_angle, 62 * unit::degree_rad);
  hidden.give(limb_length, 300);
  hidden.give(limb_preload, 38 * unit::degree_rad);
  const FullDraw bow = draw_cycle_of(hidden);
  if (leg_rad) *leg_rad = bow.full_draw.upper.leg_angle_rad;
  std::vector<double> draws;
  for (double in = 7; in < 27.75; ++in) draws.push_back(Length::in(in).mm());
  draws.push_back(Length::in(27.75).mm());
  Spec spec = weighed_shop();
  int k = 0;
  for (const ElasticState& s : bow.states(draws)) {
    const double noise = noise_n * std::sqrt(2.0) * std::sin(7.0 * ++k);
    spec.force_draw.push_back(
        {spec.from_pivot(Length::mm(s.draw_mm)), Force::n(std::max(0.0, s.force_n + noise)), {"t.toml", 3, 1}});
  }
  return spec;
}

}  // namespace peepwright::test
