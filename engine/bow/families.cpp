// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/families.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/quantity/attempt.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

namespace {

constexpr double deg = unit::degree_rad;

/// Element `index` ≥ 1 of van der Corput's sequence in `base`: evenly scattered over 0–1 whatever its length.
double scattered(int index, int base) {
  double value = 0;
  double digit = 1.0 / base;
  for (int i = index; i > 0; i /= base, digit /= base) value += digit * (i % base);
  return value;
}

class Gather {
 public:
  void add(double v) {
    ++count_;
    const double before = v - mean_;
    mean_ += before / count_;
    square_ += before * (v - mean_);
    low_ = std::min(low_, v);
    high_ = std::max(high_, v);
  }
  [[nodiscard]] FamilySpread spread() const { return {mean_, std::sqrt(square_ / (count_ - 1)), low_, high_}; }

 private:
  int count_ = 0;
  double mean_ = 0;
  double square_ = 0;
  double low_ = std::numeric_limits<double>::infinity();
  double high_ = -std::numeric_limits<double>::infinity();
};

}  // namespace

const std::vector<FamilyRange>& family_ranges() {
  static const std::vector<FamilyRange> ranges{
      {"limb_length", 280, 380, [](const BowDesign& d) { return d.limb_length_mm; },
       [](BowDesign& d, double v) { d.limb_length_mm = v; }},
      {"limb_angle", 12 * deg, 65 * deg, [](const BowDesign& d) { return d.limb_angle_rad; },
       [](BowDesign& d, double v) { d.limb_angle_rad = v; }},
      {"limb_preload", 20 * deg, 40 * deg, [](const BowDesign& d) { return d.limb_preload_rad; },
       [](BowDesign& d, double v) { d.limb_preload_rad = v; }},
      {"string_track_eccentricity", 0.25, 0.50,
       [](const BowDesign& d) { return d.string_track.eccentricity_mm / d.string_track.radius_mm; },
       [](BowDesign& d, double v) { d.string_track.eccentricity_mm = v * d.string_track.radius_mm; }},
      {"string_track_angle", -65 * deg, -15 * deg, [](const BowDesign& d) { return d.string_track.angle_rad; },
       [](BowDesign& d, double v) { d.string_track.angle_rad = v; }},
      {"cable_track_radius", 0.38, 0.58,
       [](const BowDesign& d) { return d.cable_track.radius_mm / d.string_track.radius_mm; },
       [](BowDesign& d, double v) { d.cable_track.radius_mm = v * d.string_track.radius_mm; }},
      {"cable_track_angle", -45 * deg, -15 * deg, [](const BowDesign& d) { return d.cable_track.angle_rad; },
       [](BowDesign& d, double v) { d.cable_track.angle_rad = v; }},
  };
  return ranges;
}

LegSpread leg_spread(const CatalogueBow& bow, const BowDesign& known, const StringData& strings, int families,
                     const std::vector<std::string_view>& fixed, const std::vector<FamilyRange>& ranges) {
  constexpr std::array bases{2, 3, 5, 7, 11, 13, 17};  // Halton: one prime for each range
  if (families < 2)
    throw Error(ErrorCode::input, fmt::format("a spread over {} families: it needs two at least", families));
  full_draw_from_catalogue(bow, known, strings);  // numbers that are wrong in themselves are refused here, in words

  LegSpread out;
  Gather upper, closing, take_off;
  for (int i = 1; i <= families; ++i) {
    BowDesign d = known;
    for (std::size_t k = 0; k < ranges.size(); ++k)
      if (std::find(fixed.begin(), fixed.end(), ranges[k].name) == fixed.end())
        ranges[k].set(d, ranges[k].low + (ranges[k].high - ranges[k].low) * scattered(i, bases[k]));
    ++out.tried;
    const auto f = if_possible([&] { return full_draw_from_catalogue(bow, d, strings); });
    if (!f) continue;  // a family that makes no bow of these numbers is no candidate
    upper.add(f->full_draw.upper.leg_angle_rad);
    closing.add(f->closing_mm());
    take_off.add(f->full_draw.upper.take_off_radius_mm);
    ++out.solved;
  }
  if (out.solved < 2 || 2 * out.solved < out.tried)
    throw Error(
        ErrorCode::input,
        fmt::format("only {} of {} plausible cam families make a bow of {} axle to axle that draws {} "
                    "to the pivot: check the catalogue numbers, or give the measured angle of the string at full draw",
                    out.solved, out.tried, both_text(bow.axle_to_axle_mm), both_text(bow.draw_length_to_pivot_mm)));
  out.upper_leg_angle_rad = upper.spread();
  out.closing_mm = closing.spread();
  out.take_off_radius_mm = take_off.spread();
  return out;
}

}  // namespace peepwright
