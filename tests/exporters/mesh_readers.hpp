// SPDX-License-Identifier: GPL-3.0-or-later
// Mesh files read and judged by libraries and programs that are not ours.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "engine/solid/shape.hpp"

namespace peepwright::test {

/// A mesh as another reader found it, points in the file's own unit.
struct ReadMesh {
  std::string name;                ///< of the node that shows it
  std::array<double, 4> colour{};  ///< red, green, blue, alpha as the file has them
  std::vector<Point3> points;
  std::vector<std::array<std::size_t, 3>> triangles;
};

/// Assimp's reading of a file's bytes; `kind` is its ending ("3mf", "glb", "stl"). Throws std::runtime_error with
/// Assimp's words when it refuses the file.
std::vector<ReadMesh> read_by_assimp(const std::string& bytes, const std::string& kind);

/// CGAL's reading of a binary STL. Corners in the same place are one point. Throws std::runtime_error.
ReadMesh read_stl_by_cgal(const std::string& bytes);

/// What CGAL has against `mesh` as the boundary of one solid body: not a surface (edges used twice, orientations that
/// disagree), open, inside out, or crossing itself. Empty when nothing. `volume` receives what it encloses.
std::string faults_by_cgal(const ReadMesh& mesh, double& volume);

/// What the program admesh says about an STL file's bytes.
struct AdmeshReport {
  std::size_t facets = 0, parts = 0;
  double volume = 0;
  solid::Box box;
  /// Everything admesh would mend, by its own names: all must be 0.
  std::vector<std::pair<std::string, std::size_t>> faults;
};

/// Throws std::runtime_error with admesh's words when its report cannot be understood.
AdmeshReport report_by_admesh(const std::string& bytes);

}  // namespace peepwright::test
