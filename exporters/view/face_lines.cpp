// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/face_lines.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "engine/solid/head.hpp"
#include "engine/solid/vec.hpp"
#include "exporters/view/face_drawing.hpp"

namespace peepwright {
namespace {

using namespace solid;  // arithmetic on points

/// How near the viewer the head's surface is, on a grid over the picture.
class DepthMap {
 public:
  DepthMap(const TriangleMesh& mesh, const Pose& placed, const ViewDirection& view) {
    std::vector<Point> flat;
    std::vector<double> depth;
    for (const Point3& v : mesh.vertices) {
      const Point3 p = placed(v);
      flat.push_back(view.picture(p));
      depth.push_back(view.depth(p));
      low_ = {std::min(low_.x, flat.back().x), std::min(low_.y, flat.back().y)};
      high_ = {std::max(high_.x, flat.back().x), std::max(high_.y, flat.back().y)};
    }
    columns_ = std::size_t((high_.x - low_.x) / cell_mm) + 2;
    rows_ = std::size_t((high_.y - low_.y) / cell_mm) + 2;
    cells_.assign(columns_ * rows_, -std::numeric_limits<double>::infinity());
    for (const auto& t : mesh.triangles)
      cover(flat[t[0]], flat[t[1]], flat[t[2]], depth[t[0]], depth[t[1]], depth[t[2]]);
  }

  [[nodiscard]] double at(Point p) const {
    const double c = std::round((p.x - low_.x) / cell_mm), r = std::round((p.y - low_.y) / cell_mm);
    if (c < 0 || r < 0 || c >= double(columns_) || r >= double(rows_)) return -std::numeric_limits<double>::infinity();
    return cells_[std::size_t(r) * columns_ + std::size_t(c)];
  }

 private:
  static constexpr double cell_mm = 0.75;

  void cover(Point a, Point b, Point c, double da, double db, double dc) {
    const double area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    if (std::abs(area) < 1e-12) return;
    const auto cell = [](double v, double from) { return (v - from) / cell_mm; };
    const int c0 = int(std::ceil(cell(std::min({a.x, b.x, c.x}), low_.x))),
              c1 = int(cell(std::max({a.x, b.x, c.x}), low_.x));
    const int r0 = int(std::ceil(cell(std::min({a.y, b.y, c.y}), low_.y))),
              r1 = int(cell(std::max({a.y, b.y, c.y}), low_.y));
    for (int r = r0; r <= r1; ++r)
      for (int k = c0; k <= c1; ++k) {
        const Point p{low_.x + k * cell_mm, low_.y + r * cell_mm};
        const double wb = ((p.x - a.x) * (c.y - a.y) - (c.x - a.x) * (p.y - a.y)) / area;
        const double wc = ((b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y)) / area;
        if (wb < -1e-9 || wc < -1e-9 || wb + wc > 1 + 1e-9) continue;
        double& held = cells_[std::size_t(r) * columns_ + std::size_t(k)];
        held = std::max(held, da + wb * (db - da) + wc * (dc - da));
      }
  }

  Point low_{1e9, 1e9}, high_{-1e9, -1e9};
  std::size_t columns_ = 0, rows_ = 0;
  std::vector<double> cells_;
};

class FacePainter {
 public:
  FacePainter(const HeadModel& head, const Pose& placed, const std::vector<Rod>& in_front, const ViewDirection& view)
      : head_(head),
        placed_(placed),
        in_front_(in_front),
        view_(view),
        depth_(head_mesh(head.distance().skin(), 128, 128), placed, view) {}

  FaceLines paint(const Point3& gaze) {
    FaceLines out;
    for (const view::FaceLine& line : view::face_drawing())
      for (const double side : {1.0, -1.0}) {
        if (side < 0 && !line.paired) continue;
        Path& pen = line.pen == view::FacePen::strong ? out.strong
                    : line.pen == view::FacePen::hair ? out.hair
                                                      : out.light;
        Run run(pen);
        for (const SkinParameter& place : line.places) {
          const SkinPoint on = head_.distance().skin().at({side * place.u, place.t});
          const Point3 p = placed_(on.place);
          const bool faces = dot(placed_.turned(Skin::normal(on)), view_.toward_viewer) > 0.08;
          run.add(view_.picture(p), faces && seen(p, 1.2), !behind_rod(p));
        }
      }
    for (const double side : {1.0, -1.0}) eye(side, gaze, out);
    return out;
  }

 private:
  /// Collects visible stretches of a line.
  class Run {
   public:
    explicit Run(Path& out) : out_(out) {}
    /// `may_join`: should only a few such places lie between visible ones, the line runs on through them.
    void add(Point p, bool visible, bool may_join = false) {
      if (!visible) {
        gap_.push_back(p);
        if (!may_join || gap_.size() > most_gap) drawing_ = false;
        return;
      }
      if (drawing_)
        for (const Point& between : gap_) out_.line_to(between);
      drawing_ ? out_.line_to(p) : out_.move_to(p);
      gap_.clear();
      drawing_ = true;
    }

   private:
    static constexpr std::size_t most_gap = 3;  // places about a millimetre apart: the depth map's noise, no hollow
    Path& out_;
    bool drawing_ = false;
    std::vector<Point> gap_;
  };

  [[nodiscard]] bool seen(const Point3& p, double slack_mm) const {
    const Point flat = view_.picture(p);
    const double depth = view_.depth(p);
    return depth >= depth_.at(flat) - slack_mm && !behind_rod(p);
  }

  [[nodiscard]] bool behind_rod(const Point3& p) const {
    const Point flat = view_.picture(p);
    const double depth = view_.depth(p);
    return std::ranges::any_of(in_front_, [&](const Rod& rod) {
      const Point a = view_.picture(rod.from), b = view_.picture(rod.to), ab = b - a, ap = flat - a;
      const double length2 = ab.x * ab.x + ab.y * ab.y;
      if (length2 < 1e-9) return false;
      const double t = (ap.x * ab.x + ap.y * ab.y) / length2;
      const double aside = std::abs(ap.x * ab.y - ap.y * ab.x) / std::sqrt(length2);
      const double rod_depth = view_.depth(rod.from) + t * (view_.depth(rod.to) - view_.depth(rod.from));
      return t > 0 && t < 1 && aside < rod.radius_mm && depth < rod_depth;
    });
  }

  /// Iris and pupil: circles of the eyeball about the gaze, as far as the lids leave them open.
  void eye(double side, const Point3& gaze, FaceLines& out) {
    Ball ball = head_.left_eye();
    ball.centre.y *= side;
    // Seen square from the side an iris is a line; turned a little toward the viewer it shows as an eye.
    constexpr double shown_turn = 0.34;
    const Point3 shown = solid::unit(std::cos(shown_turn) * gaze + std::sin(shown_turn) * view_.toward_viewer);
    const Point3 ahead = placed_.inverse().turned(shown);
    const Point3 across = solid::unit(cross({0, 0, 1}, ahead)), up = cross(ahead, across);
    // Horizontal visible iris 11.8 mm; a pupil of 4 mm in daylight (common values of eye care, from memory).
    constexpr double iris_mm = 5.9, pupil_mm = 2.0;
    const double reach = std::sqrt(ball.radius_mm * ball.radius_mm - iris_mm * iris_mm);
    for (const double radius : {iris_mm, pupil_mm}) {
      Run run(radius == iris_mm ? out.strong : out.pupils);
      constexpr int steps = 72;
      for (int i = 0; i <= steps; ++i) {
        const double angle = 2 * std::numbers::pi * i / steps;
        const Point3 off = reach * ahead + radius * (std::cos(angle) * across + std::sin(angle) * up);
        Point3 p = ball.centre + off;
        const solid::LidOpening lids = solid::lid_opening(side * off.y);
        const bool open = off.z < lids.upper_mm && off.z > lids.lower_mm;
        if (radius == pupil_mm)
          p.z = ball.centre.z + std::clamp(off.z, lids.lower_mm, std::max(lids.lower_mm, lids.upper_mm));
        const Point3 q = placed_(p);
        // The skin round the eye may bulge over what the lids' formula calls open.
        run.add(view_.picture(q), (open || radius == pupil_mm) && seen(q, 4));
      }
    }
  }

  const HeadModel& head_;
  const Pose& placed_;
  const std::vector<Rod>& in_front_;
  const ViewDirection& view_;
  DepthMap depth_;
};

}  // namespace

FaceLines face_lines(const HeadModel& head, const Pose& placed, const Point3& gaze, const std::vector<Rod>& in_front,
                     const ViewDirection& view) {
  return FacePainter(head, placed, in_front, view).paint(gaze);
}

}  // namespace peepwright
