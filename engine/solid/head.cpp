// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/head.hpp"

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepPrimAPI_MakeSphere.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <gp_Pln.hxx>
#include <limits>

#include "engine/solid/kernel.hpp"
#include "engine/solid/ring_mesh.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

opencascade::handle<Geom_BSplineSurface> surface_of(const Skin& skin) {
  const int n = int(skin.across()), m = int(skin.down());
  // The kernel's first pole of a closed direction belongs to the span before the first knot.
  TColgp_Array2OfPnt poles(1, n, 1, m);
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < m; ++j) {
      const Point3& p = skin.pole(std::size_t((i + n - 1) % n), std::size_t(j));
      poles.SetValue(i + 1, j + 1, gp_Pnt(p.x, p.y, p.z));
    }
  TColStd_Array1OfReal around(1, n + 1);
  TColStd_Array1OfInteger around_times(1, n + 1);
  for (int i = 0; i <= n; ++i) around.SetValue(i + 1, double(i) / n), around_times.SetValue(i + 1, 1);
  const int knots = int(skin.knots_t().size());
  TColStd_Array1OfReal along(1, knots);
  TColStd_Array1OfInteger along_times(1, knots);
  for (int j = 0; j < knots; ++j) {
    along.SetValue(j + 1, skin.knots_t()[std::size_t(j)]);
    along_times.SetValue(j + 1, j == 0 || j == knots - 1 ? 4 : 1);
  }
  return new Geom_BSplineSurface(poles, around, along, around_times, along_times, 3, 3, true, false);
}

/// The level cap inside the closed edge of the skin at height z.
TopoDS_Face cap(const TopoDS_Edge& edge, double z, bool up) {
  TopoDS_Wire wire = BRepBuilderAPI_MakeWire(edge).Wire();
  const gp_Pln plane(gp_Pnt(0, 0, z), gp_Dir(0, 0, up ? 1 : -1));
  TopoDS_Face face = BRepBuilderAPI_MakeFace(plane, wire, true).Face();
  return face;
}

}  // namespace

TriangleMesh head_mesh(const Skin& skin, std::size_t across, std::size_t down) {
  TriangleMesh mesh;
  mesh.vertices = skin.sample(across, down);
  mesh.normals.resize(mesh.vertices.size());
  const auto index = [&](std::size_t i, std::size_t j) { return std::uint32_t(j * across + i % across); };
  const auto at = [&](std::size_t i, std::size_t j) -> const Point3& { return mesh.vertices[index(i, j)]; };
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      const Point3 along = at(i, std::min(j + 1, down - 1)) - at(i, j == 0 ? 0 : j - 1);
      mesh.normals[index(i, j)] = unit(cross(along, at(i + 1, j) - at(i + across - 1, j)));
      if (j + 1 == down) continue;
      mesh.triangles.push_back({index(i, j), index(i, j + 1), index(i + 1, j)});
      mesh.triangles.push_back({index(i + 1, j), index(i, j + 1), index(i + 1, j + 1)});
    }
  for (const bool crown : {true, false}) {
    const std::size_t ring = crown ? 0 : down - 1;
    Point3 middle;
    for (std::size_t i = 0; i < across; ++i) middle = middle + (1.0 / double(across)) * at(i, ring);
    const auto hub = std::uint32_t(mesh.vertices.size());
    mesh.vertices.push_back(middle);
    mesh.normals.push_back({0, 0, crown ? 1.0 : -1.0});
    for (std::size_t i = 0; i < across; ++i) {
      if (crown) mesh.triangles.push_back({hub, index(i, ring), index(i + 1, ring)});
      else mesh.triangles.push_back({hub, index(i + 1, ring), index(i, ring)});
    }
  }
  return mesh;
}

Shape head_solid(const Skin& skin) {
  return kernel::guarded("Building the head", [&] {
    const auto surface = surface_of(skin);
    TopoDS_Face side = BRepBuilderAPI_MakeFace(surface, 1e-6).Face();
    TopoDS_Edge crown_edge, neck_edge;
    const double crown_z = skin.pole(0, 0).z, neck_z = skin.pole(0, skin.down() - 1).z;
    for (TopExp_Explorer it(side, TopAbs_EDGE); it.More(); it.Next()) {
      const TopoDS_Edge& edge = TopoDS::Edge(it.Current());
      if (BRep_Tool::IsClosed(edge, side)) continue;  // the seam
      const double z = BRep_Tool::Pnt(TopExp::FirstVertex(edge)).Z();
      (std::abs(z - crown_z) < std::abs(z - neck_z) ? crown_edge : neck_edge) = edge;
    }
    if (crown_edge.IsNull() || neck_edge.IsNull()) kernel::fail("Building the head", "an end of the skin has no edge");
    // u × t of the surface points inwards.
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    builder.Add(shell, side.Reversed());
    builder.Add(shell, cap(TopoDS::Edge(crown_edge.Oriented(TopAbs_FORWARD)), crown_z, true));
    builder.Add(shell, cap(TopoDS::Edge(neck_edge.Oriented(TopAbs_REVERSED)), neck_z, false));
    shell.Closed(true);
    TopoDS_Solid solid;
    builder.MakeSolid(solid);
    builder.Add(solid, shell);
    return kernel::wrap(solid, "Building the head", std::make_shared<const TriangleMesh>(head_mesh(skin)));
  });
}

Shape ball_solid(const Ball& ball) {
  return kernel::guarded("Building an eyeball", [&] {
    return kernel::wrap(
        BRepPrimAPI_MakeSphere(gp_Pnt(ball.centre.x, ball.centre.y, ball.centre.z), ball.radius_mm).Shape(),
        "Building an eyeball", std::make_shared<const TriangleMesh>(ball_mesh(ball)));
  });
}

}  // namespace peepwright::solid
