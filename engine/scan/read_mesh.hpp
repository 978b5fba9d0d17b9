// SPDX-License-Identifier: GPL-3.0-or-later
// Triangles from a file that anybody may have made: PLY, OBJ or STL.
#pragma once

#include <string>

#include "engine/solid/shape.hpp"

namespace peepwright::scan {

/// Larger files, and meshes of more triangles, are refused: memory and time stay bounded.
inline constexpr std::size_t largest_scan_bytes = 200u << 20;
inline constexpr std::size_t most_triangles = 1'000'000;

/// Triangles as they stand in the file, coordinates times `unit_mm`. Larger polygons are cut into fans. Nothing is
/// repaired, but every index is of a vertex that is there and every coordinate is a number.
/// Throws Error(input) with the file's name: not there, too large, of another kind, cut short, not numbers, no
/// triangles.
solid::TriangleMesh read_mesh(const std::string& file, double unit_mm);

/// The same from the file's bytes; `name` tells the kind by its ending.
solid::TriangleMesh parse_mesh(const std::string& name, std::string bytes, double unit_mm);

}  // namespace peepwright::scan
