// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/shape.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <algorithm>
#include <gp_Trsf.hxx>
#include <limits>
#include <map>
#include <tuple>

#include "engine/solid/kernel.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {

Point3 Pose::turned(const Point3& d) const {
  const auto row = [&](std::size_t r) { return rotation[r][0] * d.x + rotation[r][1] * d.y + rotation[r][2] * d.z; };
  return {row(0), row(1), row(2)};
}

Point3 Pose::operator()(const Point3& p) const { return turned(p) + position; }

Pose Pose::mirrored() const {
  Pose other = *this;
  for (std::size_t r = 0; r < 3; ++r)
    for (std::size_t c = 0; c < 3; ++c)
      if ((r == 1) != (c == 1)) other.rotation[r][c] = -rotation[r][c];
  other.position.y = -position.y;
  return other;
}

Pose Pose::inverse() const {
  Pose back;
  for (std::size_t r = 0; r < 3; ++r)
    for (std::size_t c = 0; c < 3; ++c) back.rotation[r][c] = rotation[c][r];
  back.position = -1.0 * back.turned(position);
  return back;
}

Pose Pose::from_angles(double yaw, double pitch, double roll, const Point3& position) {
  const double cy = std::cos(yaw), sy = std::sin(yaw), cp = std::cos(pitch), sp = std::sin(pitch), cr = std::cos(roll),
               sr = std::sin(roll);
  Pose pose;
  pose.rotation = {{{cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr},
                    {sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr},
                    {-sp, cp * sr, cp * cr}}};
  pose.position = position;
  return pose;
}

double TriangleMesh::volume_mm3() const {
  double six = 0;
  for (const auto& t : triangles) six += dot(vertices[t[0]], cross(vertices[t[1]], vertices[t[2]]));
  return six / 6;
}

Box TriangleMesh::bounds() const {
  constexpr double inf = std::numeric_limits<double>::infinity();
  Box box{{inf, inf, inf}, {-inf, -inf, -inf}};
  for (const Point3& v : vertices) {
    box.low = {std::min(box.low.x, v.x), std::min(box.low.y, v.y), std::min(box.low.z, v.z)};
    box.high = {std::max(box.high.x, v.x), std::max(box.high.y, v.y), std::max(box.high.z, v.z)};
  }
  return box;
}

Shape::Shape(std::shared_ptr<const Kernel> kernel) : kernel_(std::move(kernel)) {
  if (!kernel_) throw Error(ErrorCode::internal, "A part was made without a shape.");
}

double Shape::volume_mm3() const {
  if (kernel_->volume_mm3 > 0) return kernel_->volume_mm3;
  return kernel::guarded("Measuring a volume", [&] { return kernel::volume(kernel_->shape); });
}

Box Shape::bounds() const {
  return kernel::guarded("Measuring a bounding box", [&] {
    Bnd_Box box;
    BRepBndLib::AddOptimal(kernel_->shape, box, false, false);
    Box b;
    box.Get(b.low.x, b.low.y, b.low.z, b.high.x, b.high.y, b.high.z);
    return b;
  });
}

bool Shape::sound() const {
  return kernel::guarded("Checking a solid", [&] { return kernel::unsound(kernel_->shape).empty(); });
}

Shape Shape::moved(const Pose& pose) const {
  return kernel::guarded("Moving a part", [&] {
    gp_Trsf move;
    const auto& r = pose.rotation;
    move.SetValues(r[0][0], r[0][1], r[0][2], pose.position.x, r[1][0], r[1][1], r[1][2], pose.position.y, r[2][0],
                   r[2][1], r[2][2], pose.position.z);
    Kernel moved{kernel_->shape.Moved(TopLoc_Location(move)), nullptr, kernel_->volume_mm3};
    if (kernel_->mesh) {
      TriangleMesh mesh = *kernel_->mesh;
      for (Point3& v : mesh.vertices) v = pose(v);
      for (Point3& n : mesh.normals) n = pose.turned(n);
      moved.mesh = std::make_shared<const TriangleMesh>(std::move(mesh));
    }
    return Shape(std::make_shared<const Kernel>(std::move(moved)));
  });
}

TriangleMesh Shape::mesh(double deflection_mm) const {
  if (kernel_->mesh) return *kernel_->mesh;
  return kernel::guarded("Meshing a part", [&] {
    // On a copy, as shapes are shared between threads.
    const TopoDS_Shape shape = BRepBuilderAPI_Copy(kernel_->shape).Shape();
    const BRepMesh_IncrementalMesh meshed(shape, deflection_mm, false, 0.2);  // writes into the shape
    TriangleMesh mesh;
    std::map<std::tuple<double, double, double>, std::uint32_t> known;  // faces meet in the same points: weld them
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
      const TopoDS_Face& face = TopoDS::Face(it.Current());
      TopLoc_Location place;
      const auto triangulation = BRep_Tool::Triangulation(face, place);
      if (triangulation.IsNull()) kernel::fail("Meshing a part", "a face came out without triangles");
      std::vector<std::uint32_t> index(std::size_t(triangulation->NbNodes()));
      for (int i = 1; i <= triangulation->NbNodes(); ++i) {
        const gp_Pnt p = triangulation->Node(i).Transformed(place.Transformation());
        const auto weld = [](double v) { return std::round(v * 1e7) / 1e7 + 0.0; };
        const auto [entry, added] =
            known.try_emplace({weld(p.X()), weld(p.Y()), weld(p.Z())}, std::uint32_t(mesh.vertices.size()));
        if (added) mesh.vertices.push_back({p.X(), p.Y(), p.Z()});
        index[std::size_t(i - 1)] = entry->second;
      }
      for (int i = 1; i <= triangulation->NbTriangles(); ++i) {
        int a = 0, b = 0, c = 0;
        triangulation->Triangle(i).Get(a, b, c);
        if (face.Orientation() == TopAbs_REVERSED) std::swap(b, c);
        const std::array<std::uint32_t, 3> t{index[std::size_t(a - 1)], index[std::size_t(b - 1)],
                                             index[std::size_t(c - 1)]};
        if (t[0] != t[1] && t[1] != t[2] && t[2] != t[0]) mesh.triangles.push_back(t);
      }
    }
    return mesh;
  });
}

double Shape::exact_distance_mm(const Shape& other) const {
  return kernel::guarded("Measuring a distance", [&] {
    BRepExtrema_DistShapeShape search(kernel_->shape, other.kernel_->shape);
    if (!search.IsDone()) kernel::fail("Measuring a distance", "the search did not finish");
    return search.Value();
  });
}

}  // namespace peepwright::solid
