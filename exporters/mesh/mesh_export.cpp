// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/mesh/mesh_export.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "engine/quantity/error.hpp"
#include "exporters/mesh/bytes.hpp"

namespace peepwright {

std::string not_closed(const solid::TriangleMesh& mesh) {
  if (mesh.triangles.empty()) return "it has no triangles";
  // Where each vertex' edges go to, as one list with the vertices' shares in turn.
  std::vector<std::uint32_t> begin(mesh.vertices.size() + 1, 0), to(3 * mesh.triangles.size());
  for (const auto& t : mesh.triangles)
    for (const std::uint32_t k : t) {
      if (k >= mesh.vertices.size()) return "a triangle names a vertex that is not there";
      ++begin[k + 1];
    }
  std::partial_sum(begin.begin(), begin.end(), begin.begin());
  std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
  for (const auto& t : mesh.triangles)
    for (std::size_t k = 0; k < 3; ++k) to[next[t[k]]++] = t[(k + 1) % 3];
  const auto edges = [&](std::uint32_t from, std::uint32_t goal) {
    return std::count(to.begin() + begin[from], to.begin() + begin[from + 1], goal);
  };
  for (std::uint32_t v = 0; v < mesh.vertices.size(); ++v)
    for (std::uint32_t e = begin[v]; e < begin[v + 1]; ++e) {
      if (edges(v, to[e]) != 1) return "an edge is used twice in one direction";
      if (edges(to[e], v) != 1) return "it has an open edge";
    }
  return {};
}

namespace {

/// Chords cut round parts short; 64 to a turn lose a 600th of a rod.
constexpr double volume_tolerance = 0.002;

}  // namespace

std::vector<NamedMesh> meshes_of(const std::vector<solid::Part>& parts, double deflection_mm) {
  std::vector<NamedMesh> meshes;
  for (const solid::Part& part : parts) {
    NamedMesh named{part.name, part.colour, part.scanned ? *part.scanned : part.shape.mesh(deflection_mm)};
    if (const std::string trouble = not_closed(named.mesh); !trouble.empty())
      throw Error(ErrorCode::internal, fmt::format("The mesh of \"{}\" was not written: {}.", part.name, trouble));
    if (part.scanned) {
      meshes.push_back(std::move(named));
      continue;
    }
    const double solid_volume = part.shape.volume_mm3(), mesh_volume = named.mesh.volume_mm3();
    if (!(std::abs(mesh_volume / solid_volume - 1) < volume_tolerance))
      throw Error(ErrorCode::internal, fmt::format("The mesh of \"{}\" encloses {:.6g} mm³, its solid {:.6g} mm³.",
                                                   part.name, mesh_volume, solid_volume));
    meshes.push_back(std::move(named));
  }
  return meshes;
}

namespace {

[[noreturn]] void differs(const std::string& what) {
  throw Error(ErrorCode::internal, "The STL was read again and is not what was written: " + what + ".");
}

}  // namespace

std::string stl_bytes(const std::vector<NamedMesh>& meshes) {
  std::size_t count = 0;
  for (const NamedMesh& m : meshes) count += m.mesh.triangles.size();
  std::string out = "binary STL, millimetres, peepwright";  // must not begin with "solid"
  out.resize(80, ' ');
  out.reserve(84 + 50 * count);
  bytes::put32(out, std::uint32_t(count));
  for (const NamedMesh& m : meshes)
    for (const auto& t : m.mesh.triangles) {
      // The normal of the triangle as the file has it: rounding turns a sliver by degrees.
      const auto corner = [&](std::size_t k) {
        const Point3& p = m.mesh.vertices[t[k]];
        return Point3{static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)};
      };
      const Point3 a = corner(0), b = corner(1), c = corner(2);
      const Point3 u{b.x - a.x, b.y - a.y, b.z - a.z}, v{c.x - a.x, c.y - a.y, c.z - a.z};
      Point3 n{u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x};
      const double length = std::sqrt(n.x * n.x + n.y * n.y + n.z * n.z);
      if (length > 0) n = {n.x / length, n.y / length, n.z / length};
      for (const Point3& p : {n, a, b, c})
        for (const double x : {p.x, p.y, p.z}) bytes::put_float(out, x);
      bytes::put16(out, 0);
    }
  return out;
}

void check_stl(const std::string& text, const std::vector<NamedMesh>& meshes) {
  bytes::Reader in(text, 80);
  std::size_t count = 0;
  for (const NamedMesh& m : meshes) count += m.mesh.triangles.size();
  if (in.get32() != count || text.size() != 84 + 50 * count) differs("the number of triangles");
  for (const NamedMesh& m : meshes)
    for (const auto& t : m.mesh.triangles) {
      (void)in.get(12);
      for (const std::uint32_t k : t)
        for (const double x : {m.mesh.vertices[k].x, m.mesh.vertices[k].y, m.mesh.vertices[k].z})
          if (in.get_float() != static_cast<float>(x)) differs(fmt::format("a corner of \"{}\"", m.name));
      (void)in.get16();
    }
}

}  // namespace peepwright
