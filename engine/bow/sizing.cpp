// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/sizing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>
#include <utility>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

namespace {

// Searching for a bracket, the next try is put a little past where the last miss points: the draw from brace to the
// valley goes with about the 0.6th power of the scale, and let-off changes about as much as the ratio does.
constexpr double scale_power = 2;         // a little more than 1 / 0.6
constexpr double smallest_growth = 1e-9;  // of the scale, in one step
constexpr double ratio_overshoot = 1.2;
constexpr double smallest_ratio_step = 1e-9;
constexpr double smallest_ratio = 0.02;
constexpr double largest_ratio = 1.05;     // beyond it the cable's arm changes sign before the valley
constexpr double cam_share_of_half = 0.9;  // of half the axle length, so that the two cams stay apart
constexpr double draw_tolerance_mm = 1e-9;
constexpr double let_off_tolerance = 1e-11;
constexpr double accepted_draw_mm = 1e-6;
constexpr double accepted_let_off = 1e-8;
constexpr double beyond_draw_mm = 400;  // how far past the wanted draw a valley is still looked for

struct Candidate {
  double scale = 1;
  DrawCycle cycle;
  PeakAndValley force;
  [[nodiscard]] double let_off() const { return 1 - cycle.force_n(force.valley) / cycle.force_n(force.peak); }
};

class Sizing {
 public:
  Sizing(const CatalogueBow& bow, const BowDesign& design, const CamSizeLimits& limits)
      : bow_(bow), design_(design), guess_(1) {
    const double reach = design.string_track.radius_mm + design.string_track.eccentricity_mm;
    smallest_ = limits.smallest_reach_mm / reach;
    largest_ = std::min(limits.largest_reach_mm, cam_share_of_half * bow.axle_to_axle_mm / 2) / reach;
    if (!(smallest_ < largest_))
      throw Error(ErrorCode::input, fmt::format("a bow of {} axle to axle has no room for cams: check axle_to_axle",
                                                both_text(bow.axle_to_axle_mm)));
    guess_ = std::clamp(1.0, smallest_, largest_);
  }

  [[nodiscard]] std::optional<Candidate> candidate(double scale, double ratio, double end_mm) const {
    DrawCycle cycle(bow_.axle_to_axle_mm, bow_.brace_height_mm, scaled(design_, scale, ratio));
    auto force = find_peak_and_valley(cycle, end_mm);
    if (!force) return std::nullopt;
    return Candidate{scale, std::move(cycle), *force};
  }

  /// The scale that puts the valley at the wanted draw; nothing if no scale within the limits does.
  std::optional<Candidate> at_draw(double ratio) {
    const double wanted = bow_.draw_length_to_pivot_mm;
    // A valley that is not met before the end lies beyond it, and counts as that far.
    const auto miss = [&](double scale) {
      const auto c = candidate(scale, ratio, wanted + beyond_draw_mm);
      const double m = (c ? c->force.valley.draw_mm : wanted + beyond_draw_mm) - wanted;
      return std::abs(m) < draw_tolerance_mm ? 0 : m;  // the root finder stops at a hit
    };
    double a = guess_;
    double miss_a = miss(a);
    double b = a;
    double miss_b = miss_a;
    while (miss_a * miss_b > 0) {
      a = b;
      miss_a = miss_b;
      const double stroke = wanted - bow_.brace_height_mm;
      const double towards = std::pow(stroke / (stroke + miss_b), scale_power);
      const double next = std::clamp(
          miss_b < 0 ? b * std::max(towards, 1 + smallest_growth) : b * std::min(towards, 1 - smallest_growth),
          smallest_, largest_);
      if (next == b) return std::nullopt;
      b = next;
      miss_b = miss(b);
    }
    double scale = miss_a == 0 ? a : b;
    if (miss_a != 0 && miss_b != 0) {
      if (a > b) {
        std::swap(a, b);
        std::swap(miss_a, miss_b);
      }
      std::uintmax_t iterations = 60;
      const auto interval = boost::math::tools::toms748_solve(
          miss, a, b, miss_a, miss_b, boost::math::tools::eps_tolerance<double>(44), iterations);
      scale = (interval.first + interval.second) / 2;
    }
    guess_ = scale;
    auto found = candidate(scale, ratio, wanted + beyond_draw_mm);
    // Where valleys come and go with the scale the root finder closes in on a jump: that is no bow.
    if (!found || std::abs(found->force.valley.draw_mm - wanted) > accepted_draw_mm) return std::nullopt;
    return found;
  }

  [[noreturn]] void refuse_draw(double ratio) const {
    const auto valley = [&](double scale) {
      const auto c = candidate(scale, ratio, 3 * bow_.draw_length_to_pivot_mm);
      return c ? c->force.valley.draw_mm : std::nan("");
    };
    const double shortest = valley(smallest_);
    const double longest = valley(largest_);
    if (!std::isfinite(shortest) || !std::isfinite(longest))
      throw Error(ErrorCode::input,
                  fmt::format("these cams have no valley within one turn on a bow of {} axle to axle and "
                              "{} brace height: check the cam radii, angles and limb data",
                              both_text(bow_.axle_to_axle_mm), both_text(bow_.brace_height_mm)));
    throw Error(
        ErrorCode::input,
        fmt::format("no bow of {} axle to axle and {} brace height draws {} to the pivot with "
                    "a let-off of {:.2f}: cams that fit it reach {} to {}; check axle_to_axle, "
                    "brace_height and draw_length, or give the measured angle of the string at full draw",
                    both_text(bow_.axle_to_axle_mm), both_text(bow_.brace_height_mm),
                    both_text(bow_.draw_length_to_pivot_mm), bow_.let_off, both_text(shortest), both_text(longest)));
  }

 private:
  CatalogueBow bow_;
  BowDesign design_;
  double smallest_ = 0;
  double largest_ = 0;
  double guess_;
};

void check(bool good, const char* key, double value, const char* unit, const char* wanted) {
  if (!(good && std::isfinite(value)))
    throw Error(ErrorCode::input, fmt::format("{} is {:.6g} {}: it must be {}", key, value, unit, wanted));
}

}  // namespace

BowDesign scaled(const BowDesign& design, double scale, double ratio) {
  BowDesign d = design;
  d.string_track.radius_mm *= scale;
  d.string_track.eccentricity_mm *= scale;
  d.cable_track.radius_mm *= scale;
  d.cable_track.eccentricity_mm = ratio * d.cable_track.radius_mm;
  return d;
}

void check_design(const BowDesign& d) {
  const auto length = [](double v) { return v > 0 && v <= 3000; };
  check(length(d.limb_length_mm), "limb length", d.limb_length_mm, "mm", "above zero and at most 3000 mm");
  check(d.limb_radius_factor > 0 && d.limb_radius_factor <= 1, "limb radius factor", d.limb_radius_factor, "",
        "above zero and at most 1");
  check(std::abs(d.limb_angle_rad) < std::numbers::pi / 2, "limb angle", d.limb_angle_rad, "rad",
        "less than a quarter turn either way");
  check(d.limb_preload_rad >= 0 && d.limb_preload_rad < std::numbers::pi, "limb preload", d.limb_preload_rad, "rad",
        "from zero to less than half a turn");
  check(length(d.string_track.radius_mm), "string track radius", d.string_track.radius_mm, "mm",
        "above zero and at most 3000 mm");
  check(length(d.cable_track.radius_mm), "cable track radius", d.cable_track.radius_mm, "mm",
        "above zero and at most 3000 mm");
  check(d.cable_track.eccentricity_mm >= 0 && d.cable_track.eccentricity_mm <= 3000, "cable track eccentricity",
        d.cable_track.eccentricity_mm, "mm", "from zero to 3000 mm");
  check(d.string_track.eccentricity_mm >= 0 && d.string_track.eccentricity_mm < d.string_track.radius_mm,
        "string track eccentricity", d.string_track.eccentricity_mm, "mm", "zero or more and less than its radius");
  check(std::isfinite(d.string_track.angle_rad), "string track angle", d.string_track.angle_rad, "rad", "a number");
  check(std::isfinite(d.cable_track.angle_rad), "cable track angle", d.cable_track.angle_rad, "rad", "a number");
}

void check_catalogue(const CatalogueBow& bow) {
  // The upper ends only keep the search finite: no bow held in a hand comes near them.
  const auto length = [](double v) { return v > 0 && v <= 3000; };
  check(length(bow.axle_to_axle_mm), "axle_to_axle", bow.axle_to_axle_mm, "mm", "above zero and at most 3000 mm");
  check(length(bow.brace_height_mm), "brace_height", bow.brace_height_mm, "mm", "above zero and at most 3000 mm");
  check(bow.draw_length_to_pivot_mm > bow.brace_height_mm && length(bow.draw_length_to_pivot_mm),
        "draw_length (to the pivot)", bow.draw_length_to_pivot_mm, "mm",
        "more than the brace height and at most 3000 mm");
  check(bow.peak_weight_n > 0 && bow.peak_weight_n <= 1e5, "peak_weight", bow.peak_weight_n, "N",
        "above zero and at most 100 kN");
  check(bow.let_off > 0 && bow.let_off < 1, "let_off", bow.let_off, "", "between 0 and 1");
  check(std::abs(bow.nock_above_centre_mm) < bow.axle_to_axle_mm / 4, "nock_above_centre", bow.nock_above_centre_mm,
        "mm", "less than a quarter of the axle-to-axle length either way");
  check(std::abs(bow.pivot_above_centre_mm) < bow.axle_to_axle_mm / 4, "pivot_above_centre", bow.pivot_above_centre_mm,
        "mm", "less than a quarter of the axle-to-axle length either way");
}

SizedBow size_to_catalogue(const CatalogueBow& bow, const BowDesign& design, const CamSizeLimits& limits) {
  check_catalogue(bow);
  check_design(design);
  check(limits.smallest_reach_mm > 0 && limits.smallest_reach_mm < limits.largest_reach_mm, "smallest cam reach",
        limits.smallest_reach_mm, "mm", "above zero and below the largest");

  Sizing sizing(bow, design, limits);
  // Let-off rises with the cable track's eccentricity and is close to its ratio to the radius.
  std::optional<Candidate> best;
  double best_ratio = std::clamp(bow.let_off, smallest_ratio, largest_ratio);
  const auto miss = [&](double ratio) {
    best = sizing.at_draw(ratio);
    best_ratio = ratio;
    if (!best) sizing.refuse_draw(ratio);
    const double m = best->let_off() - bow.let_off;
    return std::abs(m) < let_off_tolerance ? 0 : m;
  };
  double a = best_ratio;
  double miss_a = miss(a);
  double b = a;
  double miss_b = miss_a;
  while (miss_a * miss_b > 0) {
    a = b;
    miss_a = miss_b;
    const double step = std::max(std::abs(miss_b) * ratio_overshoot, smallest_ratio_step);
    b = std::clamp(miss_b < 0 ? b + step : b - step, smallest_ratio, largest_ratio);
    if (b == a)
      throw Error(ErrorCode::input,
                  fmt::format("no cams of this family let off {:.3f}: on this bow they let off {} {:.3f} at the wanted "
                              "draw; check let_off, or give other cam angles",
                              bow.let_off, miss_b < 0 ? "at most" : "at least", miss_b + bow.let_off));
    miss_b = miss(b);
  }
  if (miss_a != 0 && miss_b != 0) {
    if (a > b) {
      std::swap(a, b);
      std::swap(miss_a, miss_b);
    }
    std::uintmax_t iterations = 40;
    const auto interval = boost::math::tools::toms748_solve(miss, a, b, miss_a, miss_b,
                                                            boost::math::tools::eps_tolerance<double>(36), iterations);
    miss((interval.first + interval.second) / 2);
  } else if (miss_b != 0) {
    miss(a);
  }

  if (std::abs(best->let_off() - bow.let_off) > accepted_let_off)
    throw Error(ErrorCode::input,
                fmt::format("no cams of this family let off {:.3f} at the wanted draw: the nearest let "
                            "off {:.3f}; check let_off, or give other cam angles",
                            bow.let_off, best->let_off()));
  DrawCycle cycle = best->cycle;
  cycle.set_limb_stiffness_n_mm(bow.peak_weight_n / cycle.force_n(best->force.peak));
  const DrawState rest = cycle.at_rest();
  return SizedBow{std::move(cycle), best->scale, rest, best->force.peak, best->force.valley};
}

}  // namespace peepwright
