// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/peep_view.hpp"

#include <algorithm>
#include <cmath>

namespace peepwright {

BoreSeen bore_seen(double bore_mm, double body_length_mm, double bore_angle_rad, double leg_angle_rad,
                   double line_down_rad) {
  BoreSeen seen;
  seen.tilt_rad = bore_angle_rad - (leg_angle_rad + line_down_rad);
  // Front and back rim are ellipses d wide and d cos δ high, a tunnel t long sets them t sin δ apart.
  const double rim_height = bore_mm * std::cos(seen.tilt_rad);
  const double apart = body_length_mm * std::abs(std::sin(seen.tilt_rad));
  if (apart >= rim_height) return seen;  // nothing is open
  seen.open_height_mm = rim_height - apart;
  const double share = apart / rim_height;
  seen.open_width_mm = bore_mm * std::sqrt(1 - share * share);
  seen.ratio = seen.open_height_mm / seen.open_width_mm;
  return seen;
}

double framing_bore_mm(double housing_diameter_mm, double eye_to_peep_mm, double peep_to_housing_mm) {
  return housing_diameter_mm * eye_to_peep_mm / (eye_to_peep_mm + peep_to_housing_mm);
}

Length nearest_bore(const std::vector<Length>& bores, double wanted_mm) {
  return *std::ranges::min_element(bores, {}, [&](Length bore) { return std::abs(bore.mm() - wanted_mm); });
}

double aim_error(double offset, double pin_to_target, double peep_to_pin) {
  return offset * pin_to_target / peep_to_pin;
}

}  // namespace peepwright
