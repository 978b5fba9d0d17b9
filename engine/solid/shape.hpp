// SPDX-License-Identifier: GPL-3.0-or-later
// Solids as values. What the kernel keeps inside stays inside.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "engine/face/landmark.hpp"

namespace peepwright::solid {

/// Rigid placement: p → rotation · p + position, mm. Rows of an orthonormal right-handed matrix.
struct Pose {
  std::array<std::array<double, 3>, 3> rotation{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  Point3 position;

  [[nodiscard]] Point3 operator()(const Point3& p) const;
  /// The direction alone.
  [[nodiscard]] Point3 turned(const Point3& direction) const;
  /// The same placement for the other hand: everything mirrored in y.
  [[nodiscard]] Pose mirrored() const;
  [[nodiscard]] Pose inverse() const;

  /// Turn by yaw about z, then pitch about y, then roll about x of the turned body (R = Rz · Ry · Rx), radians.
  static Pose from_angles(double yaw, double pitch, double roll, const Point3& position);
};

struct Box {
  Point3 low, high;
};

/// Triangles with outward winding. `normals` is empty or has one unit normal a vertex.
struct TriangleMesh {
  std::vector<Point3> vertices, normals;
  std::vector<std::array<std::uint32_t, 3>> triangles;

  /// Volume enclosed, mm³, by the divergence theorem; negative when the winding is inward.
  [[nodiscard]] double volume_mm3() const;
  [[nodiscard]] Box bounds() const;
};

/// A solid. Copies share their geometry, which never changes.
class Shape {
 public:
  struct Kernel;  ///< the kernel's own object, seen by kernel.hpp only

  /// Throws Error(internal) unless `kernel` holds exactly one sound solid.
  explicit Shape(std::shared_ptr<const Kernel> kernel);

  [[nodiscard]] double volume_mm3() const;
  /// Tight box of the exact geometry, grown by no more than 1e-3 mm.
  [[nodiscard]] Box bounds() const;
  /// The kernel's own check: closed, valid, one solid.
  [[nodiscard]] bool sound() const;
  [[nodiscard]] Shape moved(const Pose& pose) const;
  /// Triangles no farther than `deflection_mm` from the surface.
  [[nodiscard]] TriangleMesh mesh(double deflection_mm) const;
  /// Least distance between two solids by the kernel's own exact search; 0 when they touch or overlap. Slow (tens of
  /// milliseconds): for checks, not for fits.
  [[nodiscard]] double exact_distance_mm(const Shape& other) const;

  [[nodiscard]] const Kernel& kernel() const { return *kernel_; }

 private:
  std::shared_ptr<const Kernel> kernel_;
};

/// Red, green, blue from 0 to 1, linear.
struct Colour {
  double red = 0.7, green = 0.7, blue = 0.7;
};

/// One part of the assembly: what it is called, what it looks like, where it is.
struct Part {
  std::string name;
  Colour colour;
  Shape shape;
  std::vector<std::pair<std::size_t, std::string>> face_names{};  ///< (index of the face, its name)
  std::shared_ptr<const TriangleMesh> scanned{};  ///< goes into mesh files in the place of the solid's own triangles
};

}  // namespace peepwright::solid
