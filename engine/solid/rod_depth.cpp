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
    const double seen = at_;
    scan(std::max(0.0, start - search_.box().size()), std::min(length_, start + search_.box().size()));
    if (best_ && at_ != seen) go_down(at_);
    return best_;
  }

 private:
  using Side = SkinSearch::Side;
  enum class Search { whole_skin, this_basin };

  [[nodiscard]] Point3 axis(double s) const { return rod_.from + s * direction_; }

  Side side(const Point3& p, SkinParameter guess, Search how) const {
    return how == Search::whole_skin ? search_.nearest(p, &guess) : search_.nearest_downhill(p, guess);
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

  /// How deep the section at `s` lies, which counts where the skin nearest to it belongs to the region.
  double consider(double s, const Side& middle, Search how) {
    const RodDepth d = of_section(s, middle, how);
    last_ = d.at;
    const bool counts = SkinSearch::holds(region_, d.at);
    if (counts && (!best_ || d.depth_mm > best_->depth_mm)) best_ = d, at_ = s;
    return counts ? -d.depth_mm : std::abs(d.depth_mm);
  }

  double look(double s, Search how) {
    const Side middle = side(axis(s), last_, how);
    last_ = middle.at;
    return consider(s, middle, how);
  }

  /// Looks whether any section lies deeper than the best one.
  void scan(double from, double to) {
    for (double s = from; s <= to;) {
      const Point3 on_axis = axis(s);
      // No place lies deeper than any place of the skin is far from it, and no point of the section deeper than the axis
      // by more than the radius: mostly the skin downhill is near enough to rule a section out. Outside the head the true
      // distance is wanted, as it tells how far to go on.
      Side middle = search_.nearest_downhill(on_axis, last_);
      bool exact = false;
      double least = -std::abs(middle.value) - rod_.radius_mm;
      if (middle.value >= 0 || !best_ || least < -best_->depth_mm) {
        middle = search_.nearest(on_axis, &middle.at);
        exact = true;
        least = middle.value - rod_.radius_mm;
      }
      last_ = middle.at;
      const double depth = exact ? -middle.value : std::abs(middle.value);
      // Nor is the skin nearest to such a point farther from the axis than the depth and two radii.
      const double too_far =
          patch_ ? patch_->distance(on_axis) - SkinSearch::sag_mm - 2 * rod_.radius_mm - std::max(0.0, depth) : 0;
      const double floor = best_ ? -best_->depth_mm : least + 1;
      constexpr double level_mm = 1e-7;  // what the best one may be off its own bottom
      if (least < floor - level_mm && too_far <= 0) consider(s, middle, Search::whole_skin);
      // A signed distance changes no faster than the place does: a point h above the best rules out the next h.
      s += std::max({step_mm, least - floor, too_far / 2});
    }
  }

  /// The bottom beside `s`, and its true depth.
  void go_down(double s) {
    if (!level_place(s)) by_sections(s);
  }

  /// Where the skin nearest to the axis runs along it, the axis lies deepest, and the section too if it is deeper by just
  /// the radius. Secants find it in a few steps.
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

  /// Brent's method, to 4 micrometres along the rod: nothing in depth, as the deepest place is level. Its tolerance is a
  /// share of the variable, which is therefore counted from afar.
  void by_sections(double s) {
    constexpr double afar = 500;
    constexpr int bits = 18;
    std::uintmax_t most = 30;
    const double origin = s - afar;
    const auto small_step = [&](double v) { return look(origin + v, Search::this_basin); };
    boost::math::tools::brent_find_minima(small_step, std::max(0.0, s - step_mm) - origin,
                                          std::min(length_, s + step_mm) - origin, bits, most);
    const double found = at_;
    best_.reset();
    look(found, Search::whole_skin);
  }

  static constexpr double step_mm = 2.0;
  const SkinSearch& search_;
  const Rod& rod_;
  const SkinRegion& region_;
  SkinParameter last_;
  std::optional<Box3> patch_;
  Point3 direction_;
  double length_ = 0, at_ = 0;
  std::optional<RodDepth> best_;
};

}  // namespace

std::optional<RodDepth> rod_depth(const SkinSearch& search, const Rod& rod, const SkinRegion& region, const Point3& near,
                                  SkinParameter at) {
  return Deepest(search, rod, region, at).from(near);
}

}  // namespace peepwright::solid
