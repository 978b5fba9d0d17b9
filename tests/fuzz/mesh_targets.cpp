// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>
#include <string>

#include "engine/scan/clean_mesh.hpp"
#include "engine/scan/read_mesh.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace peepwright::fuzz {
namespace {

void mesh(const char* name, std::string_view bytes) {
  accepted([&] {
    const solid::TriangleMesh read = scan::parse_mesh(name, std::string(bytes), 1);
    require(!read.triangles.empty(), "a mesh without triangles\n");
    for (const auto& t : read.triangles)
      for (const auto k : t) require(k < read.vertices.size(), "an index beyond the vertices\n");
    for (const auto& v : read.vertices) require(std::isfinite(v.x + v.y + v.z), "a vertex that is no place\n");
    constexpr std::size_t quickly_cleaned = 400;
    if (read.triangles.size() > quickly_cleaned) return;
    const scan::CleanMesh clean = scan::clean_mesh(read, {}, name);
    for (const auto& v : clean.mesh.vertices)
      require(std::isfinite(v.x + v.y + v.z), "cleaning made a vertex that is no place\n");
  });
}

}  // namespace

void mesh_ply(std::string_view bytes) { mesh("head.ply", bytes); }
void mesh_obj(std::string_view bytes) { mesh("head.obj", bytes); }
void mesh_stl(std::string_view bytes) { mesh("head.stl", bytes); }

}  // namespace peepwright::fuzz
