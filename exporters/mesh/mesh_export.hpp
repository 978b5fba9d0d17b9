// SPDX-License-Identifier: GPL-3.0-or-later
// Triangles of an assembly as GLB, STL and 3MF. Same meshes, same bytes.
#pragma once

#include <string>
#include <vector>

#include "engine/solid/shape.hpp"

namespace peepwright {

struct NamedMesh {
  std::string name;
  solid::Colour colour;
  solid::TriangleMesh mesh;
};

/// Triangles of every part, no farther than `deflection_mm` from its surface (the head's own mesh is finer).
/// Throws Error(internal), naming the part, when a mesh is not closed or encloses another volume than its solid.
std::vector<NamedMesh> meshes_of(const std::vector<solid::Part>& parts, double deflection_mm = 0.05);

/// Nothing when every edge of `mesh` is used once in each direction; else what is wrong.
std::string not_closed(const solid::TriangleMesh& mesh);

/// glTF 2.0 binary: one named node, mesh and material a part. Vertices in mm under one node that turns and scales to
/// glTF's metres with y up.
std::string glb_bytes(const std::vector<NamedMesh>& meshes);
/// Binary STL in mm, all parts in one; STL keeps neither names, colours nor units.
std::string stl_bytes(const std::vector<NamedMesh>& meshes);
/// 3MF in mm: one named object a part, its colour opaque.
std::string threemf_bytes(const std::vector<NamedMesh>& meshes);

/// Read again and compared with `meshes`: number, names, colours, vertices and triangles (single precision where the
/// format has it). Throws Error(internal) with the first difference.
void check_glb(const std::string& bytes, const std::vector<NamedMesh>& meshes);
void check_stl(const std::string& bytes, const std::vector<NamedMesh>& meshes);
void check_threemf(const std::string& bytes, const std::vector<NamedMesh>& meshes);

}  // namespace peepwright
