// SPDX-License-Identifier: GPL-3.0-or-later
// Drawn by hand on the mannequin, around the same landmarks; the numbers are drawn to look right.
#include "exporters/view/face_drawing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace peepwright::view {
namespace {

using solid::SkinParameter;
using solid::template_point;

/// A corner of a drawn line: across the face (or back from it) and up, mm in the head frame.
struct Corner {
  double across, up;
};

enum class Side { front, flank };

struct Sketch {
  FacePen pen;
  bool paired;
  Side side;  ///< front: corners are (y, z); flank: (x, z)
  std::vector<Corner> corners;
  std::vector<Corner> before{};  ///< corners seen from the front that come first
};

// Lines that are drawn by hand, whole.
std::vector<Sketch> drawn() {
  using enum FacePen;
  return {
      // Nose: wing and nostril.
      {light, true, Side::front, {{12.5, -29.5}, {17, -31.5}, {19.6, -36.5}, {18.6, -42}, {14.5, -44.6}}},
      {light, true, Side::front, {{5.5, -45.2}, {8.5, -43.2}, {12, -43.6}, {13.4, -45.4}}},
      // Lips: the line between them, the upper lip's bow, the lower lip's edge, the crease above the chin.
      {strong,
       false,
       Side::front,
       {{-26, -71.2}, {-18, -70.0}, {-9, -69.4}, {0, -69.9}, {9, -69.4}, {18, -70.0}, {26, -71.2}}},
      {light,
       false,
       Side::front,
       {{-24, -69.6}, {-14, -64.2}, {-5, -60.4}, {0, -61.8}, {5, -60.4}, {14, -64.2}, {24, -69.6}}},
      {light,
       false,
       Side::front,
       {{-21, -74.2}, {-14, -78.2}, {-6, -80.6}, {0, -81}, {6, -80.6}, {14, -78.2}, {21, -74.2}}},
      {light, false, Side::front, {{-10, -88.6}, {0, -87.8}, {10, -88.6}}},
      // Ear: rim, inner rim, the fold inside, the hollow, the flap in front.
      {light,
       true,
       Side::flank,
       {{-92, -3},
        {-87, 3},
        {-85.5, 11},
        {-89, 18},
        {-97, 21.5},
        {-106, 19},
        {-113, 11},
        {-115.5, 0},
        {-113, -12},
        {-107.5, -23},
        {-102.5, -33},
        {-97.5, -41},
        {-91, -43},
        {-86.5, -39},
        {-85, -31}}},
      {light,
       true,
       Side::flank,
       {{-90.5, 9}, {-94.5, 14.5}, {-101, 14.5}, {-107, 9}, {-109.8, 0}, {-108, -10}, {-103.5, -20}, {-100, -28}}},
      {light,
       true,
       Side::flank,
       {{-97, 5.5}, {-102, 2}, {-104, -6}, {-101.5, -16}, {-97, -23.5}, {-92.5, -25.5}, {-89, -22.5}}},
      {light, true, Side::flank, {{-85.6, -4}, {-88.6, -9}, {-89.8, -14}, {-87.2, -19}}},
      // Jaw, from under the ear round its angle towards the chin.
      {light, true, Side::flank, {{-83, -52}, {-78, -66}, {-68, -79}, {-55, -88.5}, {-40, -97}, {-26, -104.5}}},
      // Hairline: forehead, temple, side-whiskers; then behind the ear to the nape.
      {light,
       true,
       Side::flank,
       {{-16, 60},
        {-22, 54},
        {-25, 47},
        {-27, 37},
        {-36, 29.5},
        {-50, 26},
        {-60, 18},
        {-64.5, 7},
        {-66.5, -6},
        {-69.5, -15},
        {-78.5, -15},
        {-80.5, -3},
        {-83.5, 9}},
       {{0, 75}, {10, 74.6}, {21, 72}, {31, 67.5}}},
      {light, true, Side::flank, {{-114, -20}, {-117, -33}, {-122, -47}, {-128, -60}, {-135, -68}, {-143, -71}}},
  };
}

/// Strokes that lean outward, longer in the middle.
void add_brow(std::vector<Sketch>& all) {
  constexpr int strokes = 20;
  for (int i = 0; i < strokes; ++i) {
    const double s = double(i) / (strokes - 1);
    const double y = 13 + 37 * s, low = 15.2 + 8.6 * std::sin(2.0 * s) - 3.4 * s * s;
    const double tall = 5.2 * (1 - 0.72 * s), lean = 1.2 + 4.6 * s;
    all.push_back({FacePen::hair, true, Side::front, {{y, low}, {y + lean, low + tall}}, {}});
  }
}

/// As wide open as the mannequin's, and the fold above the upper one.
void add_lids(std::vector<Sketch>& all) {
  using enum FacePen;
  Sketch upper{strong, true, Side::front, {}, {}}, lower{light, true, Side::front, {}, {}},
      fold{light, true, Side::front, {}, {}};
  for (double aside = -13.9; aside <= 13.0; aside += 1.49) {
    const solid::LidOpening lids = solid::lid_opening(aside);
    upper.corners.push_back({solid::template_eye_centre.y + aside, lids.upper_mm});
    lower.corners.push_back({solid::template_eye_centre.y + aside, lids.lower_mm});
    if (aside > -10 && aside < 12)
      fold.corners.push_back({solid::template_eye_centre.y + aside, lids.upper_mm + 3.6 - 0.012 * aside * aside});
  }
  all.insert(all.end(), {upper, lower, fold});
}

std::vector<Sketch> sketches() {
  std::vector<Sketch> all = drawn();
  add_brow(all);
  add_lids(all);
  return all;
}

/// Finds where on the mannequin a drawn place lies: from the nearest of a coarse net of points, then Newton's method.
class Finder {
 public:
  Finder() {
    for (int i = 0; i <= across; ++i)
      for (int j = 0; j <= down; ++j) {
        const SkinParameter at{0.5 * i / across, double(j) / down};
        net_.push_back({at, template_point(at)});
      }
  }

  [[nodiscard]] SkinParameter find(Side side, Corner place) const {
    const double mirror = side == Side::front && place.across < 0 ? -1 : 1;
    place.across *= mirror;
    const auto off = [&](const Point3& p) -> Corner {
      return {(side == Side::front ? p.y : p.x) - place.across, p.z - place.up};
    };
    SkinParameter best;
    double least = std::numeric_limits<double>::infinity();
    for (const auto& [at, p] : net_) {
      if (side == Side::front && p.x < -45) continue;
      const Corner o = off(p);
      if (const double d = o.across * o.across + o.up * o.up; d < least) least = d, best = at;
    }
    for (int turn = 0; turn < 8; ++turn) {
      constexpr double h = 1e-5;
      const Corner f = off(template_point(best));
      const Corner u = off(template_point({best.u + h, best.t})), t = off(template_point({best.u, best.t + h}));
      const double a = (u.across - f.across) / h, b = (t.across - f.across) / h, c = (u.up - f.up) / h,
                   d = (t.up - f.up) / h;
      const double det = a * d - b * c;
      if (std::abs(det) < 1e-6) break;
      // A short leash: near a fold the slopes promise too much.
      const double du = std::clamp((d * f.across - b * f.up) / det, -0.01, 0.01);
      const double dt = std::clamp((a * f.up - c * f.across) / det, -0.01, 0.01);
      best = {best.u - du, std::clamp(best.t - dt, 0.0, 1.0)};
      if (std::abs(du) + std::abs(dt) < 1e-7) break;
    }
    return {mirror * best.u, best.t};
  }

 private:
  static constexpr int across = 60, down = 100;
  struct Knot {
    SkinParameter at;
    Point3 place;
  };
  std::vector<Knot> net_;
};

/// A line through the places, rounded by a Catmull-Rom spline on the skin, a point about every millimetre.
std::vector<SkinParameter> smooth(const std::vector<SkinParameter>& corners) {
  std::vector<SkinParameter> out;
  const auto at = [&](int i) { return corners[std::size_t(std::clamp(i, 0, int(corners.size()) - 1))]; };
  for (int i = 0; i + 1 < int(corners.size()); ++i) {
    const SkinParameter a = at(i - 1), b = at(i), c = at(i + 1), d = at(i + 2);
    const Point3 from = template_point(b), to = template_point(c);
    const int steps = std::max(2, int(std::hypot(to.x - from.x, to.y - from.y, to.z - from.z)));
    for (int k = 0; k < steps; ++k) {
      const double t = double(k) / steps;
      const auto mix = [t](double p, double q, double r, double s) {
        return q + 0.5 * t * (r - p + t * (2 * p - 5 * q + 4 * r - s + t * (3 * (q - r) + s - p)));
      };
      out.push_back({mix(a.u, b.u, c.u, d.u), mix(a.t, b.t, c.t, d.t)});
    }
  }
  out.push_back(corners.back());
  return out;
}

}  // namespace

const std::vector<FaceLine>& face_drawing() {
  static const std::vector<FaceLine> all = [] {
    const Finder finder;
    std::vector<FaceLine> lines;
    for (const Sketch& sketch : sketches()) {
      std::vector<SkinParameter> corners;
      for (const Corner& place : sketch.before) corners.push_back(finder.find(Side::front, place));
      for (const Corner& place : sketch.corners) corners.push_back(finder.find(sketch.side, place));
      lines.push_back({sketch.pen, sketch.paired, smooth(corners)});
    }
    return lines;
  }();
  return all;
}

}  // namespace peepwright::view
