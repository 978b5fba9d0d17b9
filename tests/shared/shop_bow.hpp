// SPDX-License-Identifier: GPL-3.0-or-later
// The bow that most tests and benchmarks start from: 33 in axle to axle, brace 6 3/4 in, draw 29 1/2 in.
#pragma once

#include <cmath>

#include "engine/bow/bow_design.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright::test {

/// Its three catalogue numbers and nothing else; the archer is the adult mean.
inline Spec shop_spec() {
  Spec spec;
  spec.give(Key::bow_axle_to_axle, Length::in(33).mm());
  spec.give(Key::bow_brace_height, Length::in(6.75).mm());
  spec.give(Key::bow_draw_length, Length::in(29.5).mm());
  return spec;
}

/// It with an adult man, whose eye, nose and mouth are as the survey has them.
inline Spec shop_man() {
  Spec spec = shop_spec();
  spec.build = Build::adult_male;
  return spec;
}

/// It with the two readings at full draw that settle most: the string's angle and the eye above the arrow.
inline Spec measured_bow() {
  Spec spec = shop_spec();
  spec.give(Key::full_draw_string_angle, 84 * unit::degree_rad);
  spec.give(Key::face_eye_to_arrow, 90);
  return spec;
}

constexpr double bend = 5.5;  // half of what the loop's knots are apart, as assumed

/// What `along_mm` of the string reaches in height with its leg at `leg_rad`: straight across the nock as far as the
/// knots, then up the leg.
inline double height_at(double along_mm, double leg_rad) { return bend + (along_mm - bend) * std::sin(leg_rad); }

/// The bow with a peak weight of 60 lbf, as the draw cycle takes it.
inline CatalogueBow shop_bow(double let_off = 0.8, double nock_above_centre_mm = 0) {
  CatalogueBow bow;
  bow.axle_to_axle_mm = Length::in(33).mm();
  bow.brace_height_mm = Length::in(6.75).mm();
  bow.draw_length_to_pivot_mm = Length::in(29.5 - 1.75).mm();
  bow.peak_weight_n = Force::lbf(60).n();
  bow.let_off = let_off;
  bow.nock_above_centre_mm = nock_above_centre_mm;
  return bow;
}

}  // namespace peepwright::test
