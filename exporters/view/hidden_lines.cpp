// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/hidden_lines.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
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

namespace peepwright {
namespace {

using solid::dot;

gp_Dir direction(const Point3& v) {
  return {v.x, v.y, v.z};
}
Point on_page(const gp_Pnt& p) {
  return {p.X(), -p.Y()};
}

/// One edge of the kernel's picture as straight pieces and cubics.
class Tracer {
 public:
  Tracer(const BRepAdaptor_Curve& curve, Path& out) : curve_(curve), out_(out) {}

  void trace() {
    const double from = curve_.FirstParameter(), to = curve_.LastParameter();
    out_.move_to(on_page(curve_.Value(from)));
    if (curve_.GetType() == GeomAbs_Line) {
      out_.line_to(on_page(curve_.Value(to)));
      return;
    }
    // Where the curve has a corner, its slope belongs to one side only: start anew there.
    TColStd_Array1OfReal joints(1, curve_.NbIntervals(GeomAbs_C1) + 1);
    curve_.Intervals(joints, GeomAbs_C1);
    for (int i = joints.Lower(); i < joints.Upper(); ++i) piece(joints(i), joints(i + 1), 0);
  }

 private:
  void piece(double from, double to, int depth) {
    gp_Pnt a, b;
    gp_Vec da, db;
    // A hair inside, so that the slope at a corner is that of this piece.
    const double hair = 1e-9 * (to - from);
    curve_.D1(from + hair, a, da);
    curve_.D1(to - hair, b, db);
    const double third = (to - from) / 3;
    const Point p0 = on_page(a), p3 = on_page(b);
    const Point p1 = p0 + third * Point{da.X(), -da.Y()}, p2 = p3 - third * Point{db.X(), -db.Y()};
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
  Path& out_;
};

/// Faces of this many spans a direction are cut up: the kernel tests every line against all of a face's spans.
constexpr int many_spans = 24, pieces_a_direction = 4;
constexpr double sewing_tolerance_mm = 1e-4;

/// The same surface as smaller faces, where it is a large untrimmed spline (the skin of the head); else nothing.
bool add_in_pieces(const TopoDS_Face& face, BRepBuilderAPI_Sewing& out) {
  TopLoc_Location place;
  const auto surface = Handle(Geom_BSplineSurface)::DownCast(BRep_Tool::Surface(face, place));
  if (surface.IsNull() || surface->NbUKnots() < many_spans || surface->NbVKnots() < many_spans) return false;
  TColStd_Array1OfReal u(1, surface->NbUKnots()), v(1, surface->NbVKnots());
  surface->UKnots(u);
  surface->VKnots(v);
  const auto cut = [](const TColStd_Array1OfReal& knots, int i) {
    return knots(1 + (knots.Upper() - 1) * i / pieces_a_direction);
  };
  for (int i = 0; i < pieces_a_direction; ++i)
    for (int j = 0; j < pieces_a_direction; ++j) {
      const auto piece = Handle(Geom_BSplineSurface)::DownCast(surface->Copy());
      piece->Segment(cut(u, i), cut(u, i + 1), cut(v, j), cut(v, j + 1));
      piece->Transform(place.Transformation());
      TopoDS_Face small = BRepBuilderAPI_MakeFace(piece, 1e-6).Face();
      if (face.Orientation() == TopAbs_REVERSED) small.Reverse();
      out.Add(small);
    }
  return true;
}

/// `shape` ready for the picture: a copy, as marking smooth edges writes into it, with large spline faces cut up.
TopoDS_Shape prepared(const TopoDS_Shape& shape) {
  BRepBuilderAPI_Sewing sewing(sewing_tolerance_mm);
  bool cut_up = false;
  for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next())
    if (const TopoDS_Face& face = TopoDS::Face(it.Current()); add_in_pieces(face, sewing))
      cut_up = true;
    else
      sewing.Add(BRepBuilderAPI_Copy(face, false).Shape());
  if (cut_up) sewing.Perform();
  TopoDS_Shape out = cut_up ? sewing.SewedShape() : BRepBuilderAPI_Copy(shape, false).Shape();
  BRepLib::EncodeRegularity(out);
  return out;
}

void append_edges(TopoDS_Shape edges, Path& out) {
  if (edges.IsNull()) return;
  BRepLib::BuildCurves3d(edges);
  for (TopExp_Explorer it(edges, TopAbs_EDGE); it.More(); it.Next()) {
    const BRepAdaptor_Curve curve(TopoDS::Edge(it.Current()));
    Tracer(curve, out).trace();
  }
}

}  // namespace

Point ViewDirection::picture(const Point3& p) const {
  return {dot(p, right), -dot(p, solid::cross(toward_viewer, right))};
}

double ViewDirection::depth(const Point3& p) const {
  return dot(p, toward_viewer);
}

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
    for (const std::vector<solid::Shape>& group : groups) {
      TopoDS_Compound& compound = compounds.emplace_back();
      BRep_Builder builder;
      builder.MakeCompound(compound);
      for (const solid::Shape& shape : group) builder.Add(compound, prepared(shape.kernel().shape));
      algorithm->Add(compound, 0);
    }
    algorithm->Projector(
        HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), direction(view.toward_viewer), direction(view.right))));
    algorithm->Update();
    algorithm->Hide();
    HLRBRep_HLRToShape picture(algorithm);
    std::vector<DrawnLines> out;
    for (const TopoDS_Compound& compound : compounds) {
      DrawnLines& drawn = out.emplace_back();
      append_edges(picture.OutLineVCompound(compound), drawn.outline);
      append_edges(picture.VCompound(compound), drawn.sharp);
    }
    return out;
  });
}

}  // namespace peepwright
