// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/hidden_lines.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepLib.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Geom_BSplineSurface.hxx>
#include <HLRAlgo_Projector.hxx>
#include <HLRBRep_Algo.hxx>
#include <HLRBRep_HLRToShape.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <algorithm>
#include <cmath>
#include <gp_Ax2.hxx>
#include <mutex>

#include "engine/solid/kernel.hpp"
#include "engine/solid/vec.hpp"
#include "exporters/view/screen.hpp"

namespace peepwright {
namespace {

using solid::dot;

gp_Dir direction(const Point3& v) { return {v.x, v.y, v.z}; }
Point3 plain(const gp_XYZ& p) { return {p.X(), p.Y(), p.Z()}; }

/// What stands before a group's lines, and how much of it they shine through.
struct Screens {
  std::vector<Screen> all;
  double beyond_mm = 0;
};

/// Pieces of one of the kernel's visible edges as straight lines and cubics on the page.
class Tracer {
 public:
  Tracer(const BRepAdaptor_Curve& curve, const ViewDirection& view, const Screens& screens, Path& out)
      : curve_(curve), view_(view), screens_(screens), out_(out) {
    // Where the curve has a corner, its slope belongs to one side only: start anew there.
    TColStd_Array1OfReal joints(1, curve_.NbIntervals(GeomAbs_C1) + 1);
    curve_.Intervals(joints, GeomAbs_C1);
    joints_.assign(joints.begin(), joints.end());
  }

  /// The edge on the page as the kernel left it, from end to end.
  [[nodiscard]] std::pair<Point, Point> ends() const {
    return {on_page(curve_.Value(curve_.FirstParameter())), on_page(curve_.Value(curve_.LastParameter()))};
  }

  /// The edge without what the screens hide of it.
  void trace() {
    const double first = curve_.FirstParameter(), last = curve_.LastParameter();
    if (screens_.all.empty()) return trace(first, last);
    const auto seen = [&](double t) { return visible(t); };
    const int steps = steps_along();
    double from = first;
    bool drawing = seen(first);
    for (int i = 1; i <= steps; ++i) {
      const double before = first + (last - first) * (i - 1) / steps,
                   here = i == steps ? last : first + (last - first) * i / steps;
      if (seen(here) == drawing) continue;
      double low = before, high = here;
      for (int k = 0; k < halvings; ++k) (seen((low + high) / 2) == drawing ? low : high) = (low + high) / 2;
      if (drawing) trace(from, low);
      from = high;
      drawing = !drawing;
    }
    if (drawing) trace(from, last);
  }

 private:
  static constexpr double step_mm = 0.7, aside_mm = 0.1;
  static constexpr int halvings = 6;

  [[nodiscard]] Point on_page(const gp_Pnt& p) const { return view_.picture(plain(p.XYZ())); }

  [[nodiscard]] int steps_along() const {
    constexpr int chords = 32;
    const double first = curve_.FirstParameter(), last = curve_.LastParameter();
    double length = 0;
    for (int i = 0; i < chords; ++i)
      length += curve_.Value(first + (last - first) * i / chords)
                    .Distance(curve_.Value(first + (last - first) * (i + 1) / chords));
    return std::max(4, int(length / step_mm) + 1);
  }

  /// A line is seen when either side of it is: where a surface turns away, one side is the surface itself.
  [[nodiscard]] bool visible(double t) const {
    gp_Pnt p;
    gp_Vec d;
    curve_.D1(t, p, d);
    const Point along = view_.picture(plain(d.XYZ()));
    const double length = std::hypot(along.x, along.y), share = length > 1e-12 ? aside_mm / length : 0;
    const Point left{-share * along.y, share * along.x}, right{-left.x, -left.y};
    const auto covered = [&](Point aside) {
      return std::ranges::any_of(screens_.all,
                                 [&](const Screen& s) { return s.hides(plain(p.XYZ()), aside, screens_.beyond_mm); });
    };
    return !covered(left) || !covered(right);
  }

  void trace(double from, double to) {
    if (!(to > from)) return;
    out_.move_to(on_page(curve_.Value(from)));
    if (curve_.GetType() == GeomAbs_Line) {
      out_.line_to(on_page(curve_.Value(to)));
      return;
    }
    for (std::size_t i = 0; i + 1 < joints_.size(); ++i)
      if (const double a = std::max(from, joints_[i]), b = std::min(to, joints_[i + 1]); a < b) piece(a, b, 0);
  }

  void piece(double from, double to, int depth) {
    gp_Pnt a, b;
    gp_Vec da, db;
    // A hair inside, so that the slope at a corner is that of this piece.
    const double hair = 1e-9 * (to - from);
    curve_.D1(from + hair, a, da);
    curve_.D1(to - hair, b, db);
    const double third = (to - from) / 3;
    const Point p0 = on_page(a), p3 = on_page(b);
    const Point p1 = p0 + third * view_.picture(plain(da.XYZ())), p2 = p3 - third * view_.picture(plain(db.XYZ()));
    double off = 0;
    for (const double t : {0.25, 0.5, 0.75}) {
      const double r = 1 - t;
      const Point on = (r * r * r) * p0 + (3 * r * r * t) * p1 + (3 * r * t * t) * p2 + (t * t * t) * p3;
      const Point wanted = on_page(curve_.Value(from + t * (to - from)));
      off = std::max(off, std::hypot(on.x - wanted.x, on.y - wanted.y));
    }
    constexpr int deepest = 12;
    if (off > line_deviation_mm && depth < deepest) {
      piece(from, (from + to) / 2, depth + 1);
      piece((from + to) / 2, to, depth + 1);
      return;
    }
    out_.curve_to(p1, p2, p3);
  }

  const BRepAdaptor_Curve& curve_;
  const ViewDirection& view_;
  const Screens& screens_;
  Path& out_;
  std::vector<double> joints_;
};

/// Whether a face of the shape is a spline of many spans (the skin of a head): the kernel tests every line against all
/// of them, and takes seconds for it.
bool is_large(const TopoDS_Shape& shape) {
  constexpr int many_spans = 24;
  for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
    TopLoc_Location place;
    const auto surface = Handle(Geom_BSplineSurface)::DownCast(BRep_Tool::Surface(TopoDS::Face(it.Current()), place));
    if (!surface.IsNull() && surface->NbUKnots() >= many_spans && surface->NbVKnots() >= many_spans) return true;
  }
  return false;
}

/// `shape` ready for the picture: a copy, as marking smooth edges writes into it.
TopoDS_Shape prepared(const TopoDS_Shape& shape) {
  const TopoDS_Shape out = BRepBuilderAPI_Copy(shape, false).Shape();
  BRepLib::EncodeRegularity(out);
  return out;
}

constexpr double screen_deflection_mm = 0.05;
/// A surface that turns away from the viewer lies this little before its own outline, a tenth of a millimetre beside
/// it.
constexpr double screen_error_mm = 0.5;
/// Skin gives: what is pressed into it no deeper than this lies on it in the picture.
constexpr double pressed_in_mm = 4;

/// Draws the edges, but for straight ones that are drawn already: a seam that lies on the outline is an edge as well.
class Pen {
 public:
  Pen(const ViewDirection& view, const Screens& screens) : view_(view), screens_(screens) {}

  void draw(const TopoDS_Shape& edges, Path& out) {
    if (edges.IsNull()) return;
    for (TopExp_Explorer it(edges, TopAbs_EDGE); it.More(); it.Next()) {
      const BRepAdaptor_Curve curve(TopoDS::Edge(it.Current()));
      Tracer tracer(curve, view_, screens_, out);
      if (curve.GetType() == GeomAbs_Line && !is_new(tracer.ends())) continue;
      tracer.trace();
    }
  }

 private:
  bool is_new(const std::pair<Point, Point>& line) {
    constexpr double same_mm = 1e-6;
    const auto meet = [](Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y) < same_mm; };
    for (const auto& [a, b] : lines_)
      if ((meet(a, line.first) && meet(b, line.second)) || (meet(a, line.second) && meet(b, line.first))) return false;
    lines_.push_back(line);
    return true;
  }

  const ViewDirection& view_;
  const Screens& screens_;
  std::vector<std::pair<Point, Point>> lines_;
};

}  // namespace

Point ViewDirection::picture(const Point3& p) const {
  return {dot(p, right), -dot(p, solid::cross(toward_viewer, right))};
}

double ViewDirection::depth(const Point3& p) const { return dot(p, toward_viewer); }

ViewDirection side_of(bool right_handed) {
  return right_handed ? ViewDirection{{0, -1, 0}, {1, 0, 0}} : ViewDirection{{0, 1, 0}, {-1, 0, 0}};
}

std::vector<DrawnLines> hidden_lines(const std::vector<std::vector<solid::Shape>>& groups, const ViewDirection& view) {
  // The kernel's algorithm keeps state outside its objects: two at once disturb each other.
  static std::mutex one_at_a_time;
  const std::scoped_lock lock(one_at_a_time);
  return solid::kernel::guarded("Removing hidden lines", [&] {
    Handle(HLRBRep_Algo) algorithm = new HLRBRep_Algo;
    std::vector<TopoDS_Compound> compounds;
    Screens screens;
    std::vector<bool> exact;
    for (const std::vector<solid::Shape>& group : groups) {
      TopoDS_Compound& compound = compounds.emplace_back();
      exact.push_back(true);
      BRep_Builder builder;
      builder.MakeCompound(compound);
      for (const solid::Shape& shape : group) {
        builder.Add(compound, prepared(shape.kernel().shape));
        if (is_large(shape.kernel().shape)) exact.back() = false;
      }
      if (!exact.back())
        for (const solid::Shape& shape : group) screens.all.emplace_back(shape.mesh(screen_deflection_mm), view);
      algorithm->Add(compound, 0);
    }
    algorithm->Projector(
        HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), direction(view.toward_viewer), direction(view.right))));
    algorithm->Update();
    // By itself first: that begins anew with what is seen of a group.
    const int count = int(groups.size());
    for (int i = 1; i <= count; ++i)
      if (exact[std::size_t(i - 1)]) algorithm->Hide(i);
    for (int i = 1; i <= count; ++i)
      for (int j = 1; j <= count; ++j)
        if (i != j && exact[std::size_t(j - 1)]) algorithm->Hide(i, j);
    algorithm->Select();
    HLRBRep_HLRToShape picture(algorithm);
    std::vector<DrawnLines> out;
    for (std::size_t i = 0; i < compounds.size(); ++i) {
      DrawnLines& drawn = out.emplace_back();
      screens.beyond_mm = exact[i] ? pressed_in_mm : screen_error_mm;
      Pen pen(view, screens);
      pen.draw(picture.CompoundOfEdges(compounds[i], HLRBRep_OutLine, true, true), drawn.outline);
      pen.draw(picture.CompoundOfEdges(compounds[i], HLRBRep_Sharp, true, true), drawn.sharp);
    }
    return out;
  });
}

}  // namespace peepwright
