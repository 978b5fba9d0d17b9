// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepClass_FaceClassifier.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <array>
#include <cmath>
#include <gp_Pln.hxx>

#include "engine/solid/engraving.hpp"
#include "engine/solid/kernel.hpp"

namespace peepwright::solid {
namespace {

/// A pocket's edges and the faces below its rim. Corners run 0 to 3 round the rectangle, first the rim's, then the
/// floor's.
class Pocket {
 public:
  Pocket(const Stroke& s, double x, double depth) {
    const std::array<std::array<double, 2>, 4> corner{
        {{s.left, s.low}, {s.right, s.low}, {s.right, s.high}, {s.left, s.high}}};
    std::array<TopoDS_Vertex, 8> v;
    for (std::size_t k = 0; k < 4; ++k) {
      point_[k] = gp_Pnt(x, corner[k][0], corner[k][1]);
      point_[k + 4] = gp_Pnt(x + depth, corner[k][0], corner[k][1]);
    }
    for (std::size_t k = 0; k < 8; ++k) v[k] = BRepBuilderAPI_MakeVertex(point_[k]).Vertex();
    for (std::size_t k = 0; k < 4; ++k) {
      const std::size_t next = (k + 1) % 4;
      rim_[k] = BRepBuilderAPI_MakeEdge(v[k], v[next]).Edge();
      floor_[k] = BRepBuilderAPI_MakeEdge(v[k + 4], v[next + 4]).Edge();
      down_[k] = BRepBuilderAPI_MakeEdge(v[k], v[k + 4]).Edge();
    }
  }

  /// Round the rim from y to z: about the back's outward normal, −x, as a hole has to run.
  [[nodiscard]] TopoDS_Wire rim() const { return wire({rim_[0], rim_[1], rim_[2], rim_[3]}); }

  void add_faces(const BRep_Builder& builder, TopoDS_Shell& shell) const {
    // Normals point into the pocket, out of the solid.
    builder.Add(shell, face({floor_[0], floor_[1], floor_[2], floor_[3]}, gp_Dir(-1, 0, 0), point_[4]));
    const std::array<gp_Dir, 4> inward{gp_Dir(0, 0, 1), gp_Dir(0, -1, 0), gp_Dir(0, 0, -1), gp_Dir(0, 1, 0)};
    for (std::size_t k = 0; k < 4; ++k)
      builder.Add(shell, face({rim_[k], down_[(k + 1) % 4], floor_[k], down_[k]}, inward[k], point_[k]));
  }

 private:
  static TopoDS_Wire wire(const std::array<TopoDS_Edge, 4>& edges) {
    BRepBuilderAPI_MakeWire made;
    for (const TopoDS_Edge& edge : edges) made.Add(edge);
    return made.Wire();
  }
  static TopoDS_Face face(const std::array<TopoDS_Edge, 4>& edges, const gp_Dir& outward, const gp_Pnt& on) {
    // `inside` turns the wire to run round its material.
    return BRepBuilderAPI_MakeFace(gp_Pln(on, outward), wire(edges), true).Face();
  }

  std::array<gp_Pnt, 8> point_;
  std::array<TopoDS_Edge, 4> rim_, floor_, down_;
};

}  // namespace

Shape engraved(const Shape& shape, const std::vector<Stroke>& strokes, double depth_mm, const char* what) {
  if (strokes.empty() || !(depth_mm > 0)) return shape;
  const std::string tried = fmt::format("Engraving {}", what);
  return kernel::guarded(tried, [&] {
    const double x = kernel::quick_box(shape.kernel().shape).low.x;
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    std::vector<char> done(strokes.size(), 0);
    double cut_away = 0;
    for (TopExp_Explorer it(shape.kernel().shape, TopAbs_FACE); it.More(); it.Next()) {
      const TopoDS_Face& face = TopoDS::Face(it.Current());
      const BRepAdaptor_Surface surface(face);
      const bool back = surface.GetType() == GeomAbs_Plane &&
                        std::abs(std::abs(surface.Plane().Axis().Direction().X()) - 1) < 1e-9 &&
                        std::abs(surface.Plane().Location().X() - x) < 1e-3;
      if (!back) {
        builder.Add(shell, face);
        continue;
      }
      BRepBuilderAPI_MakeFace carved(face);
      for (std::size_t i = 0; i < strokes.size(); ++i) {
        const Stroke& s = strokes[i];
        if (done[i]) continue;
        const double level = surface.Plane().Location().X();
        const BRepClass_FaceClassifier place(face, gp_Pnt(level, (s.left + s.right) / 2, (s.low + s.high) / 2), 1e-6);
        if (place.State() != TopAbs_IN) continue;
        done[i] = 1;
        const Pocket pocket(s, level, depth_mm);
        carved.Add(pocket.rim());
        pocket.add_faces(builder, shell);
        cut_away += (s.right - s.left) * (s.high - s.low) * depth_mm;
      }
      builder.Add(shell, carved.Face());
    }
    for (std::size_t i = 0; i < strokes.size(); ++i)
      if (!done[i])
        kernel::fail(tried,
                     fmt::format("a stroke at {:.4g}, {:.4g} lies off the face", strokes[i].left, strokes[i].low));
    shell.Closed(true);
    TopoDS_Solid solid;
    builder.MakeSolid(solid);
    builder.Add(solid, shell);
    Shape result = kernel::wrap(solid, tried);
    const double expected = shape.volume_mm3() - cut_away, volume = result.volume_mm3();
    if (std::abs(volume / expected - 1) > 1e-6)
      kernel::fail(tried, fmt::format("{:.8g} mm³ came out instead of {:.8g} mm³", volume, expected));
    return result;
  });
}

}  // namespace peepwright::solid
