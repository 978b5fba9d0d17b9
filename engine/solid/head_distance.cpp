// SPDX-License-Identifier: GPL-3.0-or-later
// Branch and bound over a sampled skin finds the basin, Newton on the surface itself finds the point.
#include "engine/solid/head_distance.hpp"

#include <algorithm>
#include <array>
#include <boost/math/tools/minima.hpp>
#include <cstdint>
#include <limits>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

// 256 by 240 cells of about a millimetre on the face: fine enough that every basin that matters holds a sample.
constexpr std::size_t across = 256, cells_down = 240, rows = cells_down + 1, block = 4;
// How far the surface may stand off its samples: a cell of 1.5 mm on the sharpest ridge (radius 2 mm) sags 0.15 mm.
constexpr double sag_mm = 0.3;

struct Node {
  Point3 centre;
  double radius = 0;
};

struct Level {
  std::size_t wide = 0, high = 0;
  std::vector<Node> nodes;
};

double signed_u(double u) { return u - std::floor(u + 0.5); }

struct Found {
  double value = inf;
  SkinParameter at;
};

}  // namespace

struct HeadDistance::Tree {
  Skin skin;
  std::vector<Point3> samples;
  std::vector<Level> levels;  ///< finest first; a node of level k covers 2 × 2 of level k − 1
  struct Mark { Landmark landmark; Point3 place; };
  std::vector<Mark> marks;
  Box3 box;

  explicit Tree(Skin s) : skin(std::move(s)), samples(skin.sample(across, rows)) {
    Level finest{across / block, cells_down / block, {}};
    finest.nodes.resize(finest.wide * finest.high);
    for (std::size_t j = 0; j < finest.high; ++j)
      for (std::size_t i = 0; i < finest.wide; ++i) {
        Node& node = finest.nodes[j * finest.wide + i];
        node.centre = sample(i * block + block / 2, j * block + block / 2);
        double far2 = 0;
        for (std::size_t b = 0; b <= block; ++b)
          for (std::size_t a = 0; a <= block; ++a) {
            const Point3 d = sample(i * block + a, j * block + b) - node.centre;
            far2 = std::max(far2, dot(d, d));
          }
        node.radius = std::sqrt(far2) + sag_mm;
      }
    levels.push_back(std::move(finest));
    while (levels.back().wide > 4) {
      const Level& below = levels.back();
      Level level{(below.wide + 1) / 2, (below.high + 1) / 2, {}};
      level.nodes.resize(level.wide * level.high);
      for (std::size_t j = 0; j < level.high; ++j)
        for (std::size_t i = 0; i < level.wide; ++i) {
          Node& node = level.nodes[j * level.wide + i];
          double count = 0;
          const auto children = [&](auto&& visit) {
            for (std::size_t b = 2 * j; b < std::min(2 * j + 2, below.high); ++b)
              for (std::size_t a = 2 * i; a < std::min(2 * i + 2, below.wide); ++a) visit(below.nodes[b * below.wide + a]);
          };
          children([&](const Node& child) { node.centre = node.centre + child.centre, ++count; });
          node.centre = (1 / count) * node.centre;
          children([&](const Node& child) {
            node.radius = std::max(node.radius, norm(child.centre - node.centre) + child.radius);
          });
        }
      levels.push_back(std::move(level));
    }
    for (const Landmark l : skin_landmarks()) marks.push_back({l, skin.point(landmark_parameter(l))});
    for (const Point3& p : samples) box.add(p);
  }

  [[nodiscard]] const Point3& sample(std::size_t i, std::size_t j) const { return samples[j * across + i % across]; }

  static SkinParameter parameter(std::size_t i, std::size_t j) {
    return {double(i % across) / double(across), double(j) / double(cells_down)};
  }

  static bool holds(const SkinRegion& r, SkinParameter at) {
    const double u = signed_u(at.u);
    return u >= r.u_low && u <= r.u_high && at.t >= r.t_low && at.t <= r.t_high;
  }

  /// Least value of a 1-Lipschitz function over the skin. A good first guess saves most of the search.
  template <class Body>
  Found least(const Body& body, const SkinRegion& region, const Found& guess = {}) const {
    struct Entry { double bound; std::size_t level, index; };
    const auto later = [](const Entry& a, const Entry& b) { return a.bound > b.bound; };
    thread_local std::vector<Entry> open;
    open.clear();
    const auto push = [&](std::size_t level, std::size_t index) {
      const Node& node = levels[level].nodes[index];
      open.push_back({signed_distance(body, node.centre) - node.radius, level, index});
      std::push_heap(open.begin(), open.end(), later);
    };
    const std::size_t top = levels.size() - 1;
    for (std::size_t k = 0; k < levels[top].nodes.size(); ++k) push(top, k);

    std::array<Found, 12> basins;  // best samples of separate places
    std::size_t basin_count = 0;
    double best = guess.value;
    if (best < inf) basins[basin_count++] = guess;
    // A node's bound holds for the surface itself, not only for its samples.
    while (!open.empty() && open.front().bound < best) {
      std::pop_heap(open.begin(), open.end(), later);
      const Entry entry = open.back();
      open.pop_back();
      const Level& level = levels[entry.level];
      const std::size_t i = entry.index % level.wide, j = entry.index / level.wide;
      if (entry.level > 0) {
        const Level& below = levels[entry.level - 1];
        for (std::size_t b = 2 * j; b < std::min(2 * j + 2, below.high); ++b)
          for (std::size_t a = 2 * i; a < std::min(2 * i + 2, below.wide); ++a) push(entry.level - 1, b * below.wide + a);
        continue;
      }
      Found here;
      for (std::size_t b = 0; b <= block; ++b)
        for (std::size_t a = 0; a <= block; ++a) {
          const SkinParameter at = parameter(i * block + a, j * block + b);
          if (!holds(region, at)) continue;
          if (const double v = signed_distance(body, sample(i * block + a, j * block + b)); v < here.value) here = {v, at};
        }
      if (here.value == inf) continue;
      best = std::min(best, here.value);
      Found* slot = nullptr;
      for (std::size_t k = 0; k < basin_count && !slot; ++k)
        if (std::abs(signed_u(basins[k].at.u - here.at.u)) < 3.0 / across && std::abs(basins[k].at.t - here.at.t) < 3.0 / cells_down)
          slot = &basins[k];
      if (!slot && basin_count < basins.size()) slot = &basins[basin_count++];
      if (!slot) slot = &*std::max_element(basins.begin(), basins.end(), [](auto& x, auto& y) { return x.value < y.value; });
      if (here.value < slot->value) *slot = here;
    }
    Found found;
    for (std::size_t k = 0; k < basin_count; ++k) {
      if (basins[k].value > best + sag_mm) continue;
      const Found polished = polish(body, region, basins[k]);
      if (polished.value < found.value) found = polished;
    }
    return found;
  }

  /// Damped Newton for the least value near `from`, kept inside the region.
  template <class Body>
  Found polish(const Body& body, const SkinRegion& region, Found from) const {
    double damping = 0;
    for (int step = 0; step < 40; ++step) {
      const SkinPoint s = skin.at(from.at);
      const SignedDistance d = signed_distance_with_slopes(body, s.place);
      const auto curved = [&](const Point3& a, const Point3& b) {
        return a.x * dot(d.bend_xyz[0], b) + a.y * dot(d.bend_xyz[1], b) + a.z * dot(d.bend_xyz[2], b);
      };
      const double eu = dot(s.du, s.du), et = dot(s.dt, s.dt);
      double gu = dot(d.slope, s.du), gt = dot(d.slope, s.dt);
      double huu = curved(s.du, s.du) + dot(d.slope, s.duu), htt = curved(s.dt, s.dt) + dot(d.slope, s.dtt);
      double hut = curved(s.du, s.dt) + dot(d.slope, s.dut);
      // At the region's edge a parameter that wants to leave stays where it is, and the other goes on alone.
      const double here_u = signed_u(from.at.u);
      if (region.u_high - region.u_low < 1 && ((here_u <= region.u_low + 1e-12 && gu > 0) || (here_u >= region.u_high - 1e-12 && gu < 0)))
        gu = hut = 0, huu = eu;
      if ((from.at.t <= region.t_low + 1e-12 && gt > 0) || (from.at.t >= region.t_high - 1e-12 && gt < 0)) gt = hut = 0, htt = et;
      Found next;
      for (int attempt = 0; attempt < 30; ++attempt) {
        const double a = huu + damping * eu, b = htt + damping * et, det = a * b - hut * hut;
        if (a > 0 && det > 1e-9 * eu * et * 1e-6) {
          next.at = {from.at.u - (b * gu - hut * gt) / det, from.at.t - (a * gt - hut * gu) / det};
          const double u = std::clamp(signed_u(next.at.u), region.u_low, region.u_high);
          next.at = {u - std::floor(u), std::clamp(next.at.t, region.t_low, region.t_high)};
          next.value = signed_distance(body, skin.point(next.at));
          if (next.value <= from.value) break;
        }
        damping = damping == 0 ? 0.02 : damping * 4;  // in 1/mm: a curvature
      }
      if (!(next.value <= from.value)) break;
      const double gain = from.value - next.value;
      from = next;
      damping *= 0.1;
      if (damping < 1e-4) damping = 0;
      if (gain < 1e-12) break;
    }
    return from;
  }

  struct Side { double value; Found found; Point3 on_skin; };

  enum class Search { whole_skin, this_basin };

  /// `near` is a guess at the nearest place; `this_basin` looks no further than it leads: for small steps.
  [[nodiscard]] Side signed_to(const Point3& p, const SkinParameter* near = nullptr, Search search = Search::whole_skin) const {
    const Ball ball{p, 0};
    Found f;
    if (near) f = polish(ball, SkinRegion{}, {signed_distance(ball, skin.point(*near)), *near});
    if (search == Search::whole_skin) f = least(ball, SkinRegion{}, f);
    const SkinPoint s = skin.at(f.at);
    // Above the crown's or below the neck's plane a point is outside whatever the rim's normal says.
    const bool within = p.z < box.high.z && p.z > box.low.z && dot(p - s.place, Skin::normal(s)) < 0;
    return {within ? -f.value : f.value, f, s.place};
  }

  /// The rod's point at a place on its axis that lies deepest, and how deep; `middle` is the skin as seen from that place.
  [[nodiscard]] Contact deep_point(const Rod& rod, const Point3& direction, const Point3& on_axis, const Side& middle, Search search) const {
    const Point3 outward = (middle.value < 0 ? 1.0 : -1.0) * (middle.on_skin - on_axis);
    const Point3 inward = -1.0 * unit(outward - dot(outward, direction) * direction);
    const Point3 p = on_axis + rod.radius_mm * inward;
    const Side side = signed_to(p, &middle.found.at, search);
    // Pressed in end first, the middle of the end lies deepest.
    if (middle.value < side.value) return {middle.value, middle.on_skin, on_axis, middle.found.at, {}, false};
    return {side.value, side.on_skin, p, side.found.at, {}, false};
  }

  /// The deepest place of a rod whose axis runs through the head. None when no such place belongs to the region.
  [[nodiscard]] std::optional<Contact> deepest(const Rod& rod, const SkinRegion& region, const Point3& near, SkinParameter last) const {
    const Point3 span = rod.to - rod.from;
    const double length = norm(span);
    const Point3 direction = (1 / length) * span;
    const double start = std::clamp(dot(near - rod.from, direction), 0.0, length);
    const double from = std::max(0.0, start - box.size()), to = std::min(length, start + box.size());
    std::optional<Contact> best;
    double at = start;
    const auto consider = [&](double s, const Side& middle, Search search) {
      const Contact c = deep_point(rod, direction, rod.from + s * direction, middle, search);
      last = c.at;
      const bool counts = holds(region, c.at);
      if (counts && (!best || c.distance_mm < best->distance_mm)) best = c, at = s;
      return counts ? c.distance_mm : std::abs(c.distance_mm);
    };
    const auto look = [&](double s, Search search = Search::whole_skin) {
      return consider(s, signed_to(rod.from + s * direction, &last, search), search);
    };
    // A signed distance changes no faster than the place does: a point h above the best rules out the next h.
    constexpr double step_mm = 2.0;
    const std::optional<Box3> patch = box_of(region);
    look(start);
    for (double s = from; s <= to;) {
      // No point of the cross-section lies deeper than the axis does by more than the radius.
      const Point3 on_axis = rod.from + s * direction;
      const Side middle = signed_to(on_axis, &last);
      last = middle.found.at;
      const double axis = middle.value, bound = axis - rod.radius_mm;
      // Nor is the skin nearest to such a point farther from the axis than the depth and two radii.
      const double too_far = patch ? patch->distance(on_axis) - sag_mm - 2 * rod.radius_mm - std::max(0.0, -axis) : 0;
      const double floor = best ? best->distance_mm : bound + 1;
      if (bound < floor && too_far <= 0) consider(s, middle, Search::whole_skin);
      s += std::max({step_mm, bound - floor, too_far / 2});
    }
    if (!best) return best;
    // Brent's method, to 4 micrometres along the rod: nothing in depth, as the deepest place is level. Its tolerance is a
    // share of the variable, which is therefore counted from afar.
    constexpr double afar = 500;
    constexpr int bits = 18;
    std::uintmax_t most = 30;
    const double origin = at - afar;
    const auto small_step = [&](double v) { return look(origin + v, Search::this_basin); };
    boost::math::tools::brent_find_minima(small_step, std::max(from, at - step_mm) - origin, std::min(to, at + step_mm) - origin, bits, most);
    const double found = at;
    best.reset();
    look(found);
    return best;
  }

  /// Round the samples of a region; nothing for one that goes all the way round.
  [[nodiscard]] std::optional<Box3> box_of(const SkinRegion& r) const {
    if (r.u_high - r.u_low >= 0.5) return std::nullopt;
    Box3 out;
    const auto first = std::ptrdiff_t(std::floor(r.u_low * double(across))), last = std::ptrdiff_t(std::ceil(r.u_high * double(across)));
    const auto top = std::size_t(std::max(0.0, std::floor(r.t_low * double(cells_down))));
    const auto bottom = std::min(cells_down, std::size_t(std::ceil(r.t_high * double(cells_down))));
    for (std::size_t j = top; j <= bottom; ++j)
      for (std::ptrdiff_t i = first; i <= last; ++i) out.add(sample(std::size_t(i + std::ptrdiff_t(across)), j));
    return out;
  }

  void name(Contact& c) const {
    double least2 = inf;
    for (const Mark& mark : marks)
      for (const bool left : {true, false}) {
        const Point3 d = c.on_skin - (left ? mark.place : mirrored(mark.place));
        if (const double d2 = dot(d, d); d2 < least2) least2 = d2, c.nearest = mark.landmark, c.left = left;
      }
  }
};

HeadDistance::HeadDistance(Skin skin) : tree_(std::make_unique<Tree>(std::move(skin))) {}
HeadDistance::~HeadDistance() = default;
HeadDistance::HeadDistance(HeadDistance&&) noexcept = default;
HeadDistance& HeadDistance::operator=(HeadDistance&&) noexcept = default;
const Skin& HeadDistance::skin() const { return tree_->skin; }

Contact HeadDistance::to(const Point3& point) const {
  const Tree::Side side = tree_->signed_to(point);
  Contact c{side.value, side.on_skin, point, side.found.at, {}, false};
  tree_->name(c);
  return c;
}

Contact HeadDistance::to(const Rod& rod, const SkinRegion& region) const {
  const Tree& tree = *tree_;
  const Found outside = tree.least(rod, region);
  Contact c;
  c.distance_mm = outside.value;
  c.at = outside.at;
  c.on_skin = tree.skin.point(outside.at);
  c.on_body = nearest_surface_point(rod, c.on_skin);

  // As long as the axis stays outside the head and the contact is on the rod's flank, the least value over the skin is
  // the depth as well. Where the axis pierces the skin that value stops at minus the radius, and at an end it measures
  // the way to the end's plane: there the deepest place is looked for along the rod.
  constexpr double near_axis_mm = 0.5;
  const Point3 span = rod.to - rod.from;
  const double along = dot(c.on_skin - rod.from, unit(span)), from_end = std::min(along, norm(span) - along);
  const bool swallowed = outside.value > 0 && tree.box.holds(rod.from) && tree.signed_to(rod.from).value < 0;
  const bool pierced = outside.value < near_axis_mm - rod.radius_mm || (outside.value < 0 && from_end < rod.radius_mm);
  if (swallowed || pierced) {
    if (const std::optional<Contact> deep = tree.deepest(rod, region, c.on_skin, c.at)) c = *deep;
  }
  tree.name(c);
  return c;
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
