// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/parts.hpp"

#include <fmt/format.h>

#include <BRepAdaptor_Surface.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepLib.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Solid.hxx>
#include <TopoDS_Wire.hxx>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Elips.hxx>
#include <gp_Pln.hxx>
#include <gp_Vec.hxx>
#include <numbers>

#include "engine/solid/kernel.hpp"
#include "engine/solid/ring_mesh.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

constexpr double pi = std::numbers::pi;

gp_Pnt point(const Point3& p) { return {p.x, p.y, p.z}; }
gp_Vec vector(const Point3& v) { return {v.x, v.y, v.z}; }

gp_Ax2 axes(const Point3& from, const Point3& to) { return {point(from), gp_Dir(vector(to - from))}; }

void require(bool good, const std::string& sentence) {
  if (!good) throw Error(ErrorCode::input, sentence);
}

void require_rod(const Rod& rod) {
  const double length = norm(rod.to - rod.from);
  require(
      length > 1e-3 && rod.radius_mm > 1e-3 && std::isfinite(length) && std::isfinite(rod.radius_mm),
      fmt::format("A round part needs a length and a radius above 0; its length is {:.4g} mm and its radius {:.4g} mm.",
                  length, rod.radius_mm));
}

/// A circle square to `axis` about the foot of `centre` in the plane through the axis' origin.
TopoDS_Wire circle(const gp_Ax2& axis, const Point3& centre, double radius) {
  const gp_Vec off(axis.Location(), point(centre)), along(axis.Direction());
  const gp_Pnt foot = point(centre).Translated(-off.Dot(along) * along);
  return BRepBuilderAPI_MakeWire(
             BRepBuilderAPI_MakeEdge(gp_Circ(gp_Ax2(foot, axis.Direction(), axis.XDirection()), radius)).Edge())
      .Wire();
}

void add_holes(BRepBuilderAPI_MakeFace& face, const gp_Ax2& axis, const std::vector<Hole>& holes) {
  for (const Hole& hole : holes) face.Add(TopoDS::Wire(circle(axis, hole.centre, hole.radius_mm).Reversed()));
}

/// The one solid inside what a boolean returned.
TopoDS_Shape only_solid(const TopoDS_Shape& shape, const char* what) {
  TopoDS_Shape found;
  for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
    if (!found.IsNull()) kernel::fail(fmt::format("Building {}", what), "more than one solid came out");
    found = it.Current();
  }
  if (found.IsNull()) kernel::fail(fmt::format("Building {}", what), "no solid came out");
  return found;
}

TopTools_ListOfShape list_of(const std::vector<Shape>& shapes, std::size_t from) {
  TopTools_ListOfShape list;
  for (std::size_t i = from; i < shapes.size(); ++i) list.Append(shapes[i].kernel().shape);
  return list;
}

Shape drilled(const Rod& rod, const std::vector<Hole>& holes, std::shared_ptr<const TriangleMesh> mesh) {
  require_rod(rod);
  return kernel::guarded("Building a drilled rod", [&] {
    const gp_Ax2 axis = axes(rod.from, rod.to);
    BRepBuilderAPI_MakeFace face(gp_Pln(axis), circle(axis, rod.from, rod.radius_mm), true);
    add_holes(face, axis, holes);
    return kernel::wrap(BRepPrimAPI_MakePrism(face.Shape(), vector(rod.to - rod.from)).Shape(),
                        "Building a drilled rod", std::move(mesh));
  });
}

std::shared_ptr<const TriangleMesh> kept(TriangleMesh mesh) {
  return std::make_shared<const TriangleMesh>(std::move(mesh));
}

}  // namespace

Shape rod_solid(const Rod& rod) {
  require_rod(rod);
  return kernel::guarded("Building a rod", [&] {
    return kernel::wrap(
        BRepPrimAPI_MakeCylinder(axes(rod.from, rod.to), rod.radius_mm, norm(rod.to - rod.from)).Solid(),
        fmt::format("Building a rod of radius {:.4g} mm", rod.radius_mm), kept(rod_mesh(rod)));
  });
}

Shape mitred_rod_solid(const Rod& rod, const Point3& end_normal) {
  require_rod(rod);
  const Point3 along = unit(rod.to - rod.from);
  const Point3 normal = (dot(along, end_normal) < 0 ? -1.0 : 1.0) * unit(end_normal);
  const double lean = dot(along, normal);
  require(lean > 0.25, "A rod's end is cut too steeply.");
  if (lean > 1 - 1e-9) return rod_solid(rod);
  // In the cut's plane the section is an ellipse; seen along the rod it is round, and straight lines join the two: a
  // ruled skin whose edges are its own lines. A cylinder cut by a plane would do as well, but its box, by which the
  // files are compared, hangs on how the cut's edge is told.
  const double longer = rod.radius_mm / lean;
  const Point3 long_way = unit(along - lean * normal), flat_way = unit(long_way - dot(long_way, along) * along),
               short_way = cross(normal, long_way);
  return kernel::guarded("Building a mitred rod", [&] {
    const gp_Circ flat_end(gp_Ax2(point(rod.from), gp_Dir(vector(along)), gp_Dir(vector(flat_way))), rod.radius_mm);
    const gp_Elips mitred_end(gp_Ax2(point(rod.to), gp_Dir(vector(normal)), gp_Dir(vector(long_way))), longer,
                              rod.radius_mm);
    BRepOffsetAPI_ThruSections skin(true, true);
    skin.CheckCompatibility(false);
    skin.AddWire(BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(flat_end).Edge()).Wire());
    skin.AddWire(BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(mitred_end).Edge()).Wire());
    skin.Build();
    const std::size_t count = corners_around(longer);
    const Point3 b = rod.radius_mm * short_way;
    return kernel::wrap(
        skin.Shape(), "Building a mitred rod",
        kept(capped({ring(rod.from, rod.radius_mm * flat_way, b, count), ring(rod.to, longer * long_way, b, count)},
                    rod.from, rod.to)));
  });
}

Shape tube_solid(const Rod& rod, double bore_radius_mm) {
  require_rod(rod);
  require(bore_radius_mm > 1e-3 && bore_radius_mm < rod.radius_mm - 1e-3,
          fmt::format("The bore must be smaller than the body: its diameter is {:.4g} mm in a body of {:.4g} mm.",
                      2 * bore_radius_mm, 2 * rod.radius_mm));
  const auto [a, b] = square_to(rod.to - rod.from);
  const auto at = [&, a = a, b = b](const Point3& p, double r) {
    return ring(p, r * a, r * b, corners_around(rod.radius_mm));
  };
  const TriangleMesh mesh = around({at(rod.from, rod.radius_mm), at(rod.to, rod.radius_mm), at(rod.to, bore_radius_mm),
                                    at(rod.from, bore_radius_mm)});
  return drilled(rod, {{rod.from, bore_radius_mm}}, kept(mesh));
}

Shape drilled_rod_solid(const Rod& rod, const std::vector<Hole>& holes) { return drilled(rod, holes, nullptr); }

Shape cone_solid(const Point3& from, const Point3& to, double from_radius_mm, double to_radius_mm) {
  require_rod({from, to, std::max(from_radius_mm, to_radius_mm)});
  std::shared_ptr<const TriangleMesh> mesh;
  if (std::min(from_radius_mm, to_radius_mm) > 0) {
    const auto [a, b] = square_to(to - from);
    const std::size_t count = corners_around(std::max(from_radius_mm, to_radius_mm));
    mesh = kept(capped({ring(from, from_radius_mm * a, from_radius_mm * b, count),
                        ring(to, to_radius_mm * a, to_radius_mm * b, count)},
                       from, to));
  }
  return kernel::guarded("Building a cone", [&] {
    return kernel::wrap(BRepPrimAPI_MakeCone(axes(from, to), from_radius_mm, to_radius_mm, norm(to - from)).Solid(),
                        "Building a cone", mesh);
  });
}

Shape plate_solid(const std::vector<Point3>& outline, double thickness_mm, const std::vector<Hole>& holes) {
  require(outline.size() >= 3 && thickness_mm > 1e-3,
          fmt::format("A plate needs an outline and a thickness, not {:.4g} mm.", thickness_mm));
  Point3 area;
  for (std::size_t i = 1; i + 1 < outline.size(); ++i)
    area = area + cross(outline[i] - outline[0], outline[i + 1] - outline[0]);
  const Point3 up = thickness_mm * unit(area);
  return kernel::guarded("Building a plate", [&] {
    BRepBuilderAPI_MakePolygon polygon;
    for (const Point3& p : outline) polygon.Add(point(p - 0.5 * up));
    polygon.Close();
    const gp_Ax2 axis(point(outline[0] - 0.5 * up), gp_Dir(vector(up)));
    BRepBuilderAPI_MakeFace face(gp_Pln(axis), polygon.Wire(), true);
    add_holes(face, axis, holes);
    return kernel::wrap(BRepPrimAPI_MakePrism(face.Shape(), vector(up)).Shape(), "Building a plate");
  });
}

Shape bent_rod_solid(const std::vector<Point3>& corners, double radius_mm, double bend_radius_mm) {
  require(corners.size() >= 3 && radius_mm > 0 && bend_radius_mm > radius_mm,
          fmt::format("A bent rod needs a bend wider than its own radius: {:.4g} mm against {:.4g} mm.", bend_radius_mm,
                      radius_mm));
  return kernel::guarded("Bending a rod", [&] {
    // The skins of straights and bends and the two end discs, sewn: no boolean is needed where pieces meet edge to
    // edge.
    BRepBuilderAPI_Sewing sewing(1e-6);
    const auto add_faces = [&](const TopoDS_Shape& piece, bool planes, bool skins) {
      for (TopExp_Explorer it(piece, TopAbs_FACE); it.More(); it.Next()) {
        const bool plane = BRepAdaptor_Surface(TopoDS::Face(it.Current())).GetType() == GeomAbs_Plane;
        if (plane ? planes : skins) sewing.Add(it.Current());
      }
    };
    const auto disc_at = [&](const Point3& place, const Point3& outward) {
      add_faces(BRepBuilderAPI_MakeFace(circle(axes(place, place + outward), place, radius_mm)).Shape(), true, false);
    };
    // The ring carried along: square to the axis in the plane of the bends, and square to that plane.
    const Point3 flat = radius_mm * unit(cross(corners[1] - corners[0], corners[2] - corners[1]));
    // Chords around and along: both take their share of the volume.
    const std::size_t count = 5 * corners_around(radius_mm) / 4,
                      to_a_turn = 5 * corners_around(bend_radius_mm + radius_mm) / 4;
    std::vector<std::vector<Point3>> rings;
    const auto ring_at = [&](const Point3& place, const Point3& along) {
      rings.push_back(ring(place, flat, cross(along, flat), count));
    };
    Point3 last = corners.front();
    ring_at(last, unit(corners[1] - last));
    disc_at(last, last - corners[1]);
    for (std::size_t i = 1; i < corners.size(); ++i) {
      const Point3 in = unit(corners[i] - corners[i - 1]);
      if (i + 1 == corners.size()) {
        add_faces(rod_solid({last, corners[i], radius_mm}).kernel().shape, false, true);
        disc_at(corners[i], in);
        ring_at(corners[i], in);
        break;
      }
      const Point3 out = unit(corners[i + 1] - corners[i]);
      const double turn = std::acos(std::clamp(dot(in, out), -1.0, 1.0)), back = bend_radius_mm * std::tan(turn / 2);
      const Point3 start = corners[i] - back * in,
                   centre = corners[i] + (bend_radius_mm / std::cos(turn / 2)) * unit(out - in);
      require(dot(start - last, in) > 1e-3, fmt::format("Bends of {:.4g} mm run into each other.", bend_radius_mm));
      add_faces(rod_solid({last, start, radius_mm}).kernel().shape, false, true);
      const TopoDS_Shape section = BRepBuilderAPI_MakeFace(circle(axes(start, start + in), start, radius_mm)).Shape();
      add_faces(BRepPrimAPI_MakeRevol(section, gp_Ax1(point(centre), gp_Dir(vector(cross(in, out)))), turn).Shape(),
                false, true);
      const Point3 outward = unit(start - centre);
      const auto steps = std::size_t(std::ceil(turn * double(to_a_turn) / (2 * pi)));
      for (std::size_t k = 0; k <= steps; ++k) {
        const double angle = turn * double(k) / double(steps);
        ring_at(centre + bend_radius_mm * (std::cos(angle) * outward + std::sin(angle) * in),
                std::cos(angle) * in - std::sin(angle) * outward);
      }
      last = corners[i] + back * out;
    }
    sewing.Perform();
    TopExp_Explorer shell(sewing.SewedShape(), TopAbs_SHELL);
    if (!shell.More()) kernel::fail("Bending a rod", "the pieces do not close");
    TopoDS_Solid solid = BRepBuilderAPI_MakeSolid(TopoDS::Shell(shell.Current())).Solid();
    BRepLib::OrientClosedSolid(solid);
    return kernel::wrap(solid, "Bending a rod", kept(capped(rings, corners.front(), corners.back())));
  });
}

Shape joined(const std::vector<Shape>& pieces, const char* what) {
  if (pieces.size() == 1) return pieces.front();
  return kernel::guarded(fmt::format("Joining {}", what), [&] {
    TopTools_ListOfShape first;
    first.Append(pieces.front().kernel().shape);
    BRepAlgoAPI_Fuse fuse;
    fuse.SetArguments(first);
    fuse.SetTools(list_of(pieces, 1));
    fuse.Build();
    if (!fuse.IsDone() || fuse.HasErrors()) kernel::fail(fmt::format("Joining {}", what), "the sum did not finish");
    Shape whole = kernel::wrap(only_solid(fuse.Shape(), what), fmt::format("Joining {}", what));
    // A sum is no smaller than its largest piece and no larger than all of them.
    double most = 0, sum = 0;
    for (const Shape& piece : pieces) most = std::max(most, piece.volume_mm3()), sum += piece.volume_mm3();
    const double v = whole.volume_mm3();
    if (v < most * (1 - 1e-6) || v > sum * (1 + 1e-6))
      kernel::fail(fmt::format("Joining {}", what),
                   fmt::format("a volume of {:.6g} mm³ came out of pieces of {:.6g} mm³", v, sum));
    return whole;
  });
}

Shape cut(const Shape& from, const std::vector<Shape>& tools, const char* what) {
  return kernel::guarded(fmt::format("Cutting {}", what), [&] {
    TopTools_ListOfShape first;
    first.Append(from.kernel().shape);
    BRepAlgoAPI_Cut operation;
    operation.SetArguments(first);
    operation.SetTools(list_of(tools, 0));
    operation.Build();
    if (!operation.IsDone() || operation.HasErrors())
      kernel::fail(fmt::format("Cutting {}", what), "the cut did not finish");
    Shape rest = kernel::wrap(only_solid(operation.Shape(), what), fmt::format("Cutting {}", what));
    if (rest.volume_mm3() > from.volume_mm3() * (1 - 1e-9))
      kernel::fail(fmt::format("Cutting {}", what), "nothing was cut away");
    return rest;
  });
}

Shape mirrored_solid(const Shape& shape) {
  return kernel::guarded("Mirroring a part", [&] {
    gp_Trsf mirror;
    mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)));
    std::shared_ptr<const TriangleMesh> mesh;
    if (shape.kernel().mesh) {
      TriangleMesh other = *shape.kernel().mesh;
      for (Point3& v : other.vertices) v = mirrored(v);
      for (Point3& n : other.normals) n = mirrored(n);
      for (auto& t : other.triangles) std::swap(t[1], t[2]);
      mesh = kept(std::move(other));
    }
    return kernel::wrap(BRepBuilderAPI_Transform(shape.kernel().shape, mirror, true).Shape(), "Mirroring a part",
                        std::move(mesh));
  });
}

std::optional<std::size_t> cylinder_face(const Shape& shape, double radius_mm) {
  std::size_t index = 0;
  for (TopExp_Explorer it(shape.kernel().shape, TopAbs_FACE); it.More(); it.Next(), ++index) {
    const BRepAdaptor_Surface surface(TopoDS::Face(it.Current()));
    if (surface.GetType() == GeomAbs_Cylinder && std::abs(surface.Cylinder().Radius() - radius_mm) < 1e-6) return index;
  }
  return std::nullopt;
}

}  // namespace peepwright::solid
