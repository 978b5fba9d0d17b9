// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/rod_depth.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cstdint>

namespace peepwright::solid {
namespace {

class Deepest {
 public:
  Deepest(const SkinSearch& search, const Rod& rod, const SkinRegion& region, SkinParameter last)
      : search_(search), rod_(rod), region_(region), last_(last), patch_(search.box_of(region)) {
    const Point3 span = rod.to - rod.from;
    length_ = norm(span);
    direction_ = (1 / length_) * span;
  }

  std::optional<RodDepth> from(const Point3& near) {
    const double start = std::clamp(dot(near - rod_.from, direction_), 0.0, length_);
    look(start, Search::whole_skin);
    if (best_) go_down(at_);
    scan();
    return best_;
  }

 private:
  using Side = SkinSearch::Side;
  enum class Search { whole_skin, this_basin };

  [[nodiscard]] Point3 axis(double s) const { return rod_.from + s * direction_; }

  Side side(const Point3& p, SkinParameter guess, Search how) const {
    return how == Search::whole_skin ? search_.nearest(p, &guess) : search_.nearest_downhill(p, guess);
  }

  /// First and last place of the axis that is within the radius of a box along each of its sides.
  [[nodiscard]] std::pair<double, double> inside(const Box3& box) const {
    double from = 0, to = length_;
    const auto clip = [&](double start, double slope, double low, double high) {
      if (slope == 0) {
        if (start < low || start > high) to = from - 1;
        return;
      }
      const double a = (low - start) / slope, b = (high - start) / slope;
      from = std::max(from, std::min(a, b)), to = std::min(to, std::max(a, b));
    };
    const double r = rod_.radius_mm + SkinSearch::sag_mm;
    clip(rod_.from.x, direction_.x, box.low.x - r, box.high.x + r);
    clip(rod_.from.y, direction_.y, box.low.y - r, box.high.y + r);
    clip(rod_.from.z, direction_.z, box.low.z - r, box.high.z + r);
    return {from, to};
  }

  /// The cross-section's point that lies deepest; `middle` is the skin as seen from the axis.
  [[nodiscard]] RodDepth of_section(double s, const Side& middle, Search how) const {
    const Point3 on_axis = axis(s);
    const Point3 outward = (middle.value < 0 ? 1.0 : -1.0) * (middle.on_skin - on_axis);
    const Point3 inward = -1.0 * unit(outward - dot(outward, direction_) * direction_);
    const Point3 p = on_axis + rod_.radius_mm * inward;
    const Side deep = side(p, middle.at, how);
    // Pressed in end first, the middle of the end lies deepest.
    if (middle.value < deep.value) return {-middle.value, on_axis, middle.on_skin, middle.at};
    return {-deep.value, p, deep.on_skin, deep.at};
  }

  /// Minus the depth of the section at `s`, which counts where the skin nearest to it belongs to the region. What was
  /// seen of one basin alone is never kept.
  double consider(double s, const Side& middle, Search how) {
    const RodDepth d = of_section(s, middle, how);
    last_ = d.at;
    counted_ = SkinSearch::holds(region_, d.at);
    if (how == Search::whole_skin && counted_ && (!best_ || d.depth_mm > best_->depth_mm)) best_ = d, at_ = s;
    return counted_ ? -d.depth_mm : std::abs(d.depth_mm);
  }

  double look(double s, Search how) {
    const Side middle = side(axis(s), last_, how);
    last_ = middle.at;
    return consider(s, middle, how);
  }

  /// Looks whether any section lies deeper than the best one.
  void scan() {
    // Where the axis is farther than the radius from the head's box no part of the section is in the head.
    const auto [from, to] = inside(search_.box());
    for (double s = from; s <= to;) {
      const Point3 on_axis = axis(s);
      // No place lies deeper than any place of the skin is far from it, and no point of the section deeper than the
      // axis by more than the radius: mostly the skin downhill is near enough to rule a section out. Nor is the skin
      // nearest to such a point farther from the axis than the depth and two radii.
      Side middle = search_.nearest_downhill(on_axis, last_);
      const double to_patch = patch_ ? patch_->distance(on_axis) - SkinSearch::sag_mm - 2 * rod_.radius_mm : 0;
      double depth = std::abs(middle.value), least = -depth - rod_.radius_mm;
      // Outside the head the true distance is wanted, as it tells how far to go on.
      const bool far_enough = to_patch - depth > std::max(2 * step_mm, to_patch / 2);
      if (!far_enough && (middle.value >= 0 || !best_ || least < -best_->depth_mm)) {
        middle = search_.nearest(on_axis, &middle.at);
        depth = -middle.value;
        least = middle.value - rod_.radius_mm;
      }
      last_ = middle.at;
      const double too_far = patch_ ? to_patch - std::max(0.0, depth) : 0;
      const double floor = best_ ? -best_->depth_mm : least + 1;
      constexpr double level_mm = 1e-7;  // what the best one may be off its own bottom
      // Of a section that is not the deepest a neighbour may be, by as much as it is off.
      if (least < floor - level_mm && too_far <= 0)
        if (consider(s, middle, Search::whole_skin) < floor + step_mm / 2) go_down(s);
      // A signed distance changes no faster than the place does: a point h above the best rules out the next h.
      s += std::max({step_mm, least - floor, too_far / 2});
    }
  }

  /// The bottom beside `s`, and its true depth.
  void go_down(double s) {
    if (!level_place(s) && !rods_end(s)) by_sections(s);
  }

  /// The rod's end, where one is near and the sections beside it lie less deep.
  bool rods_end(double s) {
    const double end = s < length_ / 2 ? 0 : length_;
    if (std::abs(s - end) > step_mm || length_ < step_mm) return false;
    const double at_end = look(end, Search::this_basin);
    for (const double aside_mm : {0.01, step_mm / 4, step_mm / 2})
      if (!(at_end < look(std::abs(end - aside_mm), Search::this_basin))) return false;
    look(end, Search::whole_skin);
    return at_ == end;
  }

  /// Where the skin nearest to the axis runs along it, the axis lies deepest, and the section too if it is deeper by
  /// just the radius. Secants find it in a few steps.
  bool level_place(double s) {
    constexpr double settled_mm = 1e-7;
    constexpr int most = 8;
    const auto slope = [&](double at, Side& middle) {
      middle = search_.nearest_downhill(axis(at), last_);
      last_ = middle.at;
      return dot(middle.normal, direction_);
    };
    Side middle;
    double before = s, slope_before = slope(s, middle);
    double now = std::clamp(s - 0.5 * (slope_before > 0 ? 1 : -1), 0.0, length_);
    for (int i = 0; i < most; ++i) {
      const double slope_now = slope(now, middle);
      if (middle.value >= 0 || now == before) return false;
      const double bend = (slope_now - slope_before) / (now - before);
      const double step = -slope_now / bend;
      if (!(bend > 0 && std::abs(step) <= 2 * step_mm)) return false;
      before = now, slope_before = slope_now;
      now += step;
      if (!(now >= 0 && now <= length_)) return false;
      if (std::abs(step) > settled_mm) continue;
      const double deep = look(now, Search::whole_skin);
      constexpr double same_mm = 1e-6;
      return at_ == now && std::abs(deep - (middle.value - rod_.radius_mm)) < same_mm;
    }
    return false;
  }

  /// Brent's method, to 4 micrometres along the rod: nothing in depth, as the deepest place is level. Its tolerance is
  /// a share of the variable, which is therefore counted from afar.
  void by_sections(double s) {
    constexpr double afar = 500;
    constexpr int bits = 18;
    std::uintmax_t most = 30;
    const double origin = s - afar;
    double lowest = SkinSearch::inf, lowest_at = s;
    const auto small_step = [&](double v) {
      const double value = look(origin + v, Search::this_basin);
      if (counted_ && value < lowest) lowest = value, lowest_at = origin + v;
      return value;
    };
    boost::math::tools::brent_find_minima(small_step, std::max(0.0, s - step_mm) - origin,
                                          std::min(length_, s + step_mm) - origin, bits, most);
    look(lowest_at, Search::whole_skin);
  }

  static constexpr double step_mm = 2.0;
  const SkinSearch& search_;
  const Rod& rod_;
  const SkinRegion& region_;
  SkinParameter last_;
  std::optional<Box3> patch_;
  Point3 direction_;
  double length_ = 0, at_ = 0;
  bool counted_ = false;
  std::optional<RodDepth> best_;
};

}  // namespace

std::optional<RodDepth> rod_depth(const SkinSearch& search, const Rod& rod, const SkinRegion& region,
                                  const Point3& near, SkinParameter at) {
  return Deepest(search, rod, region, at).from(near);
}

}  // namespace peepwright::solid
