// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/skin_search.hpp"

#include <algorithm>
#include <array>

namespace peepwright::solid {
namespace {

constexpr std::size_t block = 4;  // cells a finest node is wide and high

}  // namespace

/// The samples that belong to a region.
class SkinSearch::Cells {
 public:
  explicit Cells(const SkinRegion& r)
      : round_(r.u_high - r.u_low >= 1),
        left_(std::ptrdiff_t(std::ceil(r.u_low * double(across)))),
        right_(std::ptrdiff_t(std::floor(r.u_high * double(across)))),
        top_(std::ptrdiff_t(std::ceil(r.t_low * double(cells_down)))),
        bottom_(std::ptrdiff_t(std::floor(r.t_high * double(cells_down)))) {}

  [[nodiscard]] bool hold(std::size_t i, std::size_t j) const { return hold_row(j) && hold_column(i); }
  [[nodiscard]] bool hold_row(std::size_t j) const { return std::ptrdiff_t(j) >= top_ && std::ptrdiff_t(j) <= bottom_; }
  [[nodiscard]] bool hold_column(std::size_t i) const { return meet(i, i, top_, top_); }
  /// Whether any sample from column `i` and row `j`, `size` cells on, belongs to it.
  [[nodiscard]] bool meet_block(std::size_t i, std::size_t j, std::size_t size) const {
    return meet(i, i + size, std::ptrdiff_t(j), std::ptrdiff_t(j + size));
  }

 private:
  [[nodiscard]] bool meet(std::size_t i, std::size_t to, std::ptrdiff_t j, std::ptrdiff_t to_j) const {
    if (to_j < top_ || j > bottom_) return false;
    if (round_) return true;
    const auto a = std::ptrdiff_t(i), b = std::ptrdiff_t(to), turn = std::ptrdiff_t(across);
    return (b >= left_ && a <= right_) || (b - turn >= left_ && a - turn <= right_);
  }
  bool round_;
  std::ptrdiff_t left_, right_, top_, bottom_;
};

SkinParameter SkinSearch::parameter(std::size_t i, std::size_t j) {
  return {double(i % across) / double(across), double(j) / double(cells_down)};
}

/// True for the sample of the basin that a place is the bottom of.
bool SkinSearch::beside(SkinParameter place, SkinParameter sample) {
  constexpr double cells = 1.5;
  return std::abs(signed_u(place.u - sample.u)) < cells / double(across) &&
         std::abs(place.t - sample.t) < cells / double(cells_down);
}

bool SkinSearch::holds(const SkinRegion& r, SkinParameter at) {
  const double u = signed_u(at.u);
  return u >= r.u_low && u <= r.u_high && at.t >= r.t_low && at.t <= r.t_high;
}

SkinSearch::SkinSearch(Skin skin) : skin_(std::move(skin)), samples_(skin_.sample(across, cells_down + 1)) {
  Level finest{across / block, cells_down / block, {}};
  finest.nodes.resize(finest.wide * finest.high);
  // The samples of the right half are the left ones' mirror images, to the last bit.
  for (std::size_t j = 0; j < finest.high; ++j)
    for (std::size_t i = 0; i < finest.wide / 2; ++i) {
      Node& node = finest.nodes[j * finest.wide + i];
      node.centre = sample(i * block + block / 2, j * block + block / 2);
      double far2 = 0;
      for (std::size_t b = 0; b <= block; ++b)
        for (std::size_t a = 0; a <= block; ++a) {
          const Point3 d = sample(i * block + a, j * block + b) - node.centre;
          far2 = std::max(far2, dot(d, d));
        }
      node.radius = std::sqrt(far2) + sag_mm;
      finest.nodes[j * finest.wide + finest.wide - 1 - i] = {mirrored(node.centre), node.radius};
    }
  levels_.push_back(std::move(finest));
  while (levels_.back().wide > 4) {
    const Level& below = levels_.back();
    Level level{(below.wide + 1) / 2, (below.high + 1) / 2, {}};
    level.nodes.resize(level.wide * level.high);
    for (std::size_t j = 0; j < level.high; ++j)
      for (std::size_t i = 0; i < level.wide; ++i) {
        Node& node = level.nodes[j * level.wide + i];
        double count = 0;
        const auto children = [&](auto&& visit) {
          for (std::size_t b = 2 * j; b < std::min(2 * j + 2, below.high); ++b)
            for (std::size_t a = 2 * i; a < std::min(2 * i + 2, below.wide); ++a)
              visit(below.nodes[b * below.wide + a]);
        };
        children([&](const Node& child) { node.centre = node.centre + child.centre, ++count; });
        node.centre = (1 / count) * node.centre;
        children([&](const Node& child) {
          node.radius = std::max(node.radius, norm(child.centre - node.centre) + child.radius);
        });
      }
    levels_.push_back(std::move(level));
  }
  for (std::size_t j = 0; j <= cells_down; ++j)
    for (std::size_t i = 0; i <= across / 2; ++i) box_.add(sample(i, j));
  box_.add(mirrored(box_.low));
  box_.add(mirrored(box_.high));
}

template <class Body>
bool SkinSearch::is_basin(const Body& body, const Cells& cells, std::size_t i, std::size_t j, double value) const {
  for (std::size_t b = j == 0 ? 0 : j - 1; b <= std::min(j + 1, cells_down); ++b)
    for (const std::size_t a : {i % across, (i + 1) % across, (i + across - 1) % across})
      if (cells.hold(a, b) && signed_distance(body, sample(a, b)) < value) return false;
  return true;
}

SkinSearch::Found SkinSearch::least(const RodAxis& rod, const SkinRegion& region, double ceiling) const {
  const Cells cells(region);
  struct Entry {
    double bound;
    std::size_t level, index;
  };
  const auto later = [](const Entry& a, const Entry& b) { return a.bound > b.bound; };
  thread_local std::vector<Entry> open;
  open.clear();
  double best = ceiling;
  const auto push = [&](std::size_t level, std::size_t i, std::size_t j) {
    const std::size_t size = block << level;
    if (!cells.meet_block(i * size, j * size, size)) return;
    const std::size_t index = j * levels_[level].wide + i;
    const Node& node = levels_[level].nodes[index];
    // A node's bound holds for the surface itself, not only for its samples.
    const double bound = signed_distance(rod, node.centre) - node.radius;
    if (bound >= best) return;
    open.push_back({bound, level, index});
    std::push_heap(open.begin(), open.end(), later);
  };
  const std::size_t top = levels_.size() - 1;
  for (std::size_t j = 0; j < levels_[top].high; ++j)
    for (std::size_t i = 0; i < levels_[top].wide; ++i) push(top, i, j);

  std::array<Found, 12> basins;  // the lowest samples that no neighbour undercuts
  std::size_t basin_count = 0;
  while (!open.empty() && open.front().bound < best) {
    std::pop_heap(open.begin(), open.end(), later);
    const Entry entry = open.back();
    open.pop_back();
    const std::size_t wide = levels_[entry.level].wide, i = entry.index % wide, j = entry.index / wide;
    if (entry.level > 0) {
      const Level& below = levels_[entry.level - 1];
      for (std::size_t b = 2 * j; b < std::min(2 * j + 2, below.high); ++b)
        for (std::size_t a = 2 * i; a < std::min(2 * i + 2, below.wide); ++a) push(entry.level - 1, a, b);
      continue;
    }
    double least = inf;
    std::size_t at_i = 0, at_j = 0;
    for (std::size_t b = j * block; b <= (j + 1) * block; ++b) {
      if (!cells.hold_row(b)) continue;
      for (std::size_t a = i * block; a <= (i + 1) * block; ++a)
        if (cells.hold_column(a))
          if (const double v = signed_distance(rod, sample(a, b)); v < least) least = v, at_i = a, at_j = b;
    }
    if (!(least < best + sag_mm) || !is_basin(rod, cells, at_i, at_j, least)) continue;
    best = std::min(best, least);
    Found* slot = basin_count < basins.size() ? &basins[basin_count++]
                                              : &*std::max_element(basins.begin(), basins.end(),
                                                                   [](auto& x, auto& y) { return x.value < y.value; });
    if (least < slot->value) *slot = {least, parameter(at_i, at_j)};
  }
  Found found;
  for (std::size_t k = 0; k < basin_count; ++k) {
    if (basins[k].value > best + sag_mm) continue;
    const Found low = polish(rod, region, basins[k].at);
    if (low.value < std::min(found.value, ceiling)) found = low;
  }
  return found;
}

/// Newton on the square of the distance, which is smooth where the distance itself is 0.
SkinSearch::Found SkinSearch::polish(const Ball& ball, const SkinRegion&, SkinParameter from) const {
  constexpr double settled_mm2 = 1e-11;  // the last step, taken unseen, squares what is left
  SkinPoint s = skin_.at(from);
  Point3 off = s.place - ball.centre;
  double value = dot(off, off), damping = 0;
  SkinParameter here = from;
  const auto found = [&] { return Found{norm(skin_.point(here) - ball.centre) - ball.radius_mm, here}; };
  constexpr int most = 40;
  for (int step = 0; step < most; ++step) {
    const double eu = dot(s.du, s.du), et = dot(s.dt, s.dt);
    double gu = dot(off, s.du), gt = dot(off, s.dt);
    double huu = eu + dot(off, s.duu), htt = et + dot(off, s.dtt), hut = dot(s.du, s.dt) + dot(off, s.dut);
    // At the rim t stays where it is, and u goes on alone.
    if ((here.t <= 0 && gt > 0) || (here.t >= 1 && gt < 0)) gt = hut = 0, htt = et;
    bool lower = false;
    for (int attempt = 0; attempt < most && !lower; ++attempt) {
      const double a = huu + damping * eu, b = htt + damping * et, det = a * b - hut * hut;
      if (a > 0 && det > 1e-6 * eu * et) {
        const double by_u = (b * gu - hut * gt) / det, by_t = (a * gt - hut * gu) / det;
        const double u = here.u - by_u;
        const SkinParameter next{u - std::floor(u), std::clamp(here.t - by_t, 0.0, 1.0)};
        if (gu * by_u + gt * by_t < settled_mm2) {
          here = next;
          return found();
        }
        s = skin_.at(next);
        off = s.place - ball.centre;
        const double there = dot(off, off);
        lower = there <= value;
        if (lower) here = next, value = there;
      }
      if (!lower) damping = damping == 0 ? 0.1 : damping * 4;
    }
    if (!lower) break;
    damping *= 0.1;
    if (damping < 1e-3) damping = 0;
  }
  return found();
}

/// Damped Newton for the least value near `from`, kept inside the region.
SkinSearch::Found SkinSearch::polish(const RodAxis& body, const SkinRegion& region, SkinParameter from) const {
  constexpr double settled_mm = 1e-12;
  const double lowest = -body.radius_mm + 1e-9;  // the axis pierces the skin: no place is lower
  const bool bounded = region.u_high - region.u_low < 1;
  double damping = 0;
  SkinPoint s = skin_.at(from);
  SignedDistance d = signed_distance_with_slopes(body, s.place);
  Found here{d.value, from};
  if (here.value < lowest) return here;
  for (int step = 0; step < 40; ++step) {
    const auto curved = [&](const Point3& a, const Point3& b) {
      return a.x * dot(d.bend_xyz[0], b) + a.y * dot(d.bend_xyz[1], b) + a.z * dot(d.bend_xyz[2], b);
    };
    const double eu = dot(s.du, s.du), et = dot(s.dt, s.dt);
    double gu = dot(d.slope, s.du), gt = dot(d.slope, s.dt);
    double huu = curved(s.du, s.du) + dot(d.slope, s.duu), htt = curved(s.dt, s.dt) + dot(d.slope, s.dtt);
    double hut = curved(s.du, s.dt) + dot(d.slope, s.dut);
    // At the region's edge a parameter that wants to leave stays where it is, and the other goes on alone.
    const double here_u = signed_u(here.at.u);
    if (bounded && ((here_u <= region.u_low + 1e-12 && gu > 0) || (here_u >= region.u_high - 1e-12 && gu < 0)))
      gu = hut = 0, huu = eu;
    if ((here.at.t <= region.t_low + 1e-12 && gt > 0) || (here.at.t >= region.t_high - 1e-12 && gt < 0))
      gt = hut = 0, htt = et;
    Found next;
    double promised = inf;
    for (int attempt = 0; attempt < 30; ++attempt) {
      const double a = huu + damping * eu, b = htt + damping * et, det = a * b - hut * hut;
      if (a > 0 && det > 1e-9 * eu * et * 1e-6) {
        const double by_u = (b * gu - hut * gt) / det, by_t = (a * gt - hut * gu) / det;
        promised = (gu * by_u + gt * by_t) / 2;
        if (promised < settled_mm) break;
        const double u = std::clamp(signed_u(here.at.u - by_u), region.u_low, region.u_high);
        next.at = {u - std::floor(u), std::clamp(here.at.t - by_t, region.t_low, region.t_high)};
        s = skin_.at(next.at);
        d = signed_distance_with_slopes(body, s.place);
        next.value = d.value;
        if (next.value <= here.value) break;
      }
      damping = damping == 0 ? 0.02 : damping * 4;  // in 1/mm: a curvature
    }
    if (promised < settled_mm || !(next.value <= here.value)) break;
    const double gain = here.value - next.value;
    here = next;
    damping *= 0.1;
    if (damping < 1e-4) damping = 0;
    if (gain < settled_mm || here.value < lowest) break;
  }
  return here;
}

SkinSearch::Side SkinSearch::side(const Point3& p, const Found& found) const {
  const SkinPoint s = skin_.at(found.at);
  const Point3 normal = Skin::normal(s);
  // Above the crown's or below the neck's plane a point is outside whatever the rim's normal says.
  const bool within = p.z < box_.high.z && p.z > box_.low.z && dot(p - s.place, normal) < 0;
  return {within ? -found.value : found.value, found.at, s.place, normal};
}

SkinSearch::Side SkinSearch::nearest(const Point3& p, const SkinParameter* guess) const {
  const Ball ball{p, 0};
  return side(p, nearer(ball, polish(ball, SkinRegion{}, guess ? *guess : nearest_sample_about(p))));
}

/// The sample that the tree's nearest nodes lead down to: near, though seldom the nearest.
SkinParameter SkinSearch::nearest_sample_about(const Point3& p) const {
  const auto far2 = [&](const Point3& q) { return dot(q - p, q - p); };
  std::size_t from_i = 0, from_j = 0, wide = levels_.back().wide, high = levels_.back().high;
  for (std::size_t level = levels_.size();; from_i *= 2, from_j *= 2, wide = 2, high = 2) {
    --level;
    const Level& here = levels_[level];
    std::size_t at_i = from_i, at_j = from_j;
    double least2 = inf;
    for (std::size_t j = from_j; j < std::min(from_j + high, here.high); ++j)
      for (std::size_t i = from_i; i < std::min(from_i + wide, here.wide); ++i)
        if (const double d2 = far2(here.nodes[j * here.wide + i].centre); d2 < least2) least2 = d2, at_i = i, at_j = j;
    from_i = at_i, from_j = at_j;
    if (level == 0) return parameter(from_i * block + block / 2, from_j * block + block / 2);
  }
}

/// `known`, the bottom of its basin, or what lies nearer. As `search`, but in squares and without an order: with a
/// bound as good as this from the start hardly a node is opened in vain.
SkinSearch::Found SkinSearch::nearer(const Ball& ball, Found known) const {
  const Point3& p = ball.centre;
  const auto far2 = [&](const Point3& q) { return dot(q - p, q - p); };
  struct Entry {
    std::size_t level, i, j;
  };
  std::array<Entry, std::size_t{4} * 16> open;  // no deeper than three siblings a level
  std::size_t count = 0;
  const auto within = [&](const Node& node) {
    const double reach = known.value + node.radius;
    return far2(node.centre) < reach * reach;
  };
  const Cells whole{SkinRegion{}};
  const Level& top = levels_.back();
  for (std::size_t k = 0; k < top.nodes.size(); ++k) {
    if (!within(top.nodes[k])) continue;
    open[count++] = {levels_.size() - 1, k % top.wide, k / top.wide};
    while (count > 0) {
      const Entry entry = open[--count];
      if (entry.level > 0) {
        const Level& below = levels_[entry.level - 1];
        for (std::size_t b = 2 * entry.j; b < std::min(2 * entry.j + 2, below.high); ++b)
          for (std::size_t a = 2 * entry.i; a < std::min(2 * entry.i + 2, below.wide); ++a)
            if (within(below.nodes[b * below.wide + a])) open[count++] = {entry.level - 1, a, b};
        continue;
      }
      double least2 = inf;
      std::size_t at_i = 0, at_j = 0;
      for (std::size_t b = entry.j * block; b <= (entry.j + 1) * block; ++b)
        for (std::size_t a = entry.i * block; a <= (entry.i + 1) * block; ++a)
          if (const double d2 = far2(sample(a, b)); d2 < least2) least2 = d2, at_i = a, at_j = b;
      const double reach = known.value + sag_mm;
      if (least2 >= reach * reach || beside(known.at, parameter(at_i, at_j)) ||
          !is_basin(ball, whole, at_i, at_j, std::sqrt(least2)))
        continue;
      if (const Found low = polish(ball, SkinRegion{}, parameter(at_i, at_j)); low.value < known.value) known = low;
    }
  }
  return known;
}

SkinSearch::Side SkinSearch::nearest_downhill(const Point3& p, SkinParameter guess) const {
  return side(p, polish(Ball{p, 0}, SkinRegion{}, guess));
}

std::optional<Box3> SkinSearch::box_of(const SkinRegion& r) const {
  if (r.u_high - r.u_low >= 0.5) return std::nullopt;
  Box3 out;
  const auto first = std::ptrdiff_t(std::floor(r.u_low * double(across)));
  const auto last = std::ptrdiff_t(std::ceil(r.u_high * double(across)));
  const auto top = std::size_t(std::max(0.0, std::floor(r.t_low * double(cells_down))));
  const auto bottom = std::min(cells_down, std::size_t(std::ceil(r.t_high * double(cells_down))));
  for (std::size_t j = top; j <= bottom; ++j)
    for (std::ptrdiff_t i = first; i <= last; ++i) out.add(sample(std::size_t(i + std::ptrdiff_t(across)), j));
  return out;
}

}  // namespace peepwright::solid
