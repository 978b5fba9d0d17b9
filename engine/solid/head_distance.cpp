// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/head_distance.hpp"

#include <algorithm>

#include "engine/solid/rod_depth.hpp"
#include "engine/solid/skin_search.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {

struct HeadDistance::Parts {
  SkinSearch search;
  struct Mark {
    Landmark landmark;
    Point3 place;
  };
  std::vector<Mark> marks;

  explicit Parts(Skin skin) : search(std::move(skin)) {
    for (const Landmark l : skin_landmarks()) marks.push_back({l, search.skin().point(landmark_parameter(l))});
  }

  [[nodiscard]] Contact named(Contact c) const {
    double least2 = SkinSearch::inf;
    for (const Mark& mark : marks)
      for (const bool left : {true, false}) {
        const Point3 d = c.on_skin - (left ? mark.place : mirrored(mark.place));
        if (const double d2 = dot(d, d); d2 < least2) least2 = d2, c.nearest = mark.landmark, c.left = left;
      }
    return c;
  }

  /// What the least value over the skin says of a rod.
  [[nodiscard]] Contact judged(const Rod& rod, const SkinRegion& region, const SkinSearch::Found& least) const {
    Contact c;
    c.distance_mm = least.value;
    c.at = least.at;
    c.on_skin = search.skin().point(least.at);
    c.on_body = nearest_surface_point(rod, c.on_skin);

    // As long as the axis stays outside the head and the contact is on the rod's flank, the least value over the skin
    // is the depth as well. Where the axis pierces the skin that value stops at minus the radius, where it runs inside
    // it says how much of the flank stands out, and at an end it measures the way to the end's plane: there the deepest
    // place is looked for along the rod.
    constexpr double near_axis_mm = 0.5;
    const Point3 span = rod.to - rod.from, direction = unit(span);
    const double along = dot(c.on_skin - rod.from, direction), from_end = std::min(along, norm(span) - along);
    const auto axis_within = [&] {
      const Point3 off = c.on_skin - rod.from;
      return dot(off - along * direction, Skin::normal(search.skin().at(c.at))) > 0;
    };
    const bool overlaps =
        least.value < 0 && (least.value < near_axis_mm - rod.radius_mm || from_end < rod.radius_mm || axis_within());
    if (overlaps || (least.value > 0 && swallows(rod)))
      if (const std::optional<RodDepth> deep = rod_depth(search, rod, region, c.on_skin, c.at))
        c = {-deep->depth_mm, deep->on_skin, deep->on_rod, deep->at, {}, false};
    return named(c);
  }

  /// Whether a rod that does not cross the skin lies inside it.
  [[nodiscard]] bool swallows(const Rod& rod) const {
    return search.box().holds(rod.from) && search.nearest(rod.from).value < 0;
  }
};

HeadDistance::HeadDistance(Skin skin) : parts_(std::make_unique<Parts>(std::move(skin))) {}
HeadDistance::~HeadDistance() = default;
const Skin& HeadDistance::skin() const { return parts_->search.skin(); }

Contact HeadDistance::to(const Point3& point) const {
  const SkinSearch::Side side = parts_->search.nearest(point);
  return parts_->named({side.value, side.on_skin, point, side.at, {}, false});
}

Contact HeadDistance::to(const Rod& rod, const SkinRegion& region) const {
  return parts_->judged(rod, region, parts_->search.least(RodAxis(rod), region));
}

std::optional<Contact> HeadDistance::to_nearer(const Rod& rod, const SkinRegion& region, double limit_mm) const {
  // Below 0 the least value over the skin is no bound of the depth.
  const SkinSearch::Found least = parts_->search.least(RodAxis(rod), region, std::max(limit_mm, 0.0));
  Contact c;
  if (least.any()) c = parts_->judged(rod, region, least);
  else if (parts_->swallows(rod)) c = to(rod, region);
  else return std::nullopt;
  return c.distance_mm < limit_mm ? std::optional(c) : std::nullopt;
}

SkinRegion nose_region() {
  const double reach = landmark_parameter(Landmark::alare).u * 1.15;
  return {-reach, reach, landmark_parameter(Landmark::sellion).t, landmark_parameter(Landmark::subnasale).t};
}

SkinRegion chin_region() {
  const double reach = landmark_parameter(Landmark::cheilion).u;
  const double under = 0.02;  // of the skin's run from crown to neck, a finger's breadth behind the under-chin
  return {-reach, reach, landmark_parameter(Landmark::stomion).t, landmark_parameter(Landmark::menton).t + under};
}

SkinRegion mouth_corner_region(bool left) {
  const SkinParameter corner = landmark_parameter(Landmark::cheilion);
  // About 12 mm to each side.
  const SkinRegion region{corner.u - 0.065, corner.u + 0.065, corner.t - 0.055, corner.t + 0.055};
  return left ? region : SkinRegion{-region.u_high, -region.u_low, region.t_low, region.t_high};
}

}  // namespace peepwright::solid
