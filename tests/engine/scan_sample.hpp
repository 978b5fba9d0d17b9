// SPDX-License-Identifier: GPL-3.0-or-later
// Scans made from the parametric head: sampled, moved to axes of their own, damaged, and written as files.
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <functional>
#include <random>
#include <string>

#include "engine/face/face.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/head_shape.hpp"
#include "engine/solid/vec.hpp"
#include "engine/spec/spec.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright::test {

using solid::TriangleMesh;

/// The person that is scanned: not the mean.
inline Spec person() {
  Spec spec = shop_spec();
  spec.build = Build::adult_male;
  spec.give(Key::face_percentile, 70);
  spec.give(Key::face_mouth_width, 55);
  return spec;
}

/// The head of `face` as a scanner gives it: fine triangles, open at the crown no more than a real one, cut at the
/// neck.
inline TriangleMesh sampled_head(const Face& face, std::size_t across = 240, std::size_t down = 220) {
  return solid::head_mesh(solid::skin_of(solid::HeadShape(face)), across, down);
}

/// Removes the triangles that `doomed` says of their middle.
inline void cut_away(TriangleMesh& mesh, const std::function<bool(const Point3&)>& doomed) {
  using namespace solid;
  std::erase_if(mesh.triangles, [&](const auto& t) {
    return doomed((1.0 / 3) * (mesh.vertices[t[0]] + mesh.vertices[t[1]] + mesh.vertices[t[2]]));
  });
}

inline void cut_hole(TriangleMesh& mesh, const Point3& centre, double radius) {
  cut_away(mesh, [=](const Point3& p) { return solid::norm(solid::operator-(p, centre)) < radius; });
}

/// The same noise on every machine: engines are specified by the standard, distributions are not.
inline void add_noise(TriangleMesh& mesh, double sigma_mm, std::uint32_t seed) {
  std::mt19937 engine(seed);
  const auto uniform = [&] { return (double(engine()) + 0.5) / 4294967296.0; };
  for (Point3& v : mesh.vertices)
    for (double* c : {&v.x, &v.y, &v.z}) {
      double sum = -6;
      for (int k = 0; k < 12; ++k) sum += uniform();  // nearly normal, standard deviation 1
      *c += sigma_mm * sum;
    }
}

/// A ball near the head, as a clamp or a cup in the picture.
inline void add_ball(TriangleMesh& mesh, const Point3& centre, double radius) {
  constexpr std::uint32_t rings = 9, round = 16;
  const auto base = std::uint32_t(mesh.vertices.size());
  for (std::uint32_t j = 0; j <= rings; ++j)
    for (std::uint32_t i = 0; i < round; ++i) {
      const double polar = M_PI * (j + 0.5) / (rings + 1), around = 2 * M_PI * i / round;
      mesh.vertices.push_back({centre.x + radius * std::sin(polar) * std::cos(around),
                               centre.y + radius * std::sin(polar) * std::sin(around),
                               centre.z + radius * std::cos(polar)});
    }
  for (std::uint32_t j = 0; j < rings; ++j)
    for (std::uint32_t i = 0; i < round; ++i) {
      const std::uint32_t a = base + j * round + i, b = base + j * round + (i + 1) % round;
      mesh.triangles.push_back({a, a + round, b});
      mesh.triangles.push_back({b, a + round, b + round});
    }
}

/// How the scanner's axes lie to the head's.
inline solid::Pose scanner_pose() { return solid::Pose::from_angles(0.7, -0.4, 1.1, {120, -340, 55}); }

inline void append(std::string& out, float v) {
  char bytes[4];
  std::memcpy(bytes, &v, 4);  // tests run on little-endian machines
  out.append(bytes, 4);
}

inline std::string as_stl(const TriangleMesh& mesh) {
  std::string out(80, 'x');
  const auto count = std::uint32_t(mesh.triangles.size());
  out.append(reinterpret_cast<const char*>(&count), 4);
  for (const auto& t : mesh.triangles) {
    for (int k = 0; k < 3; ++k) append(out, 0);
    for (const auto v : t)
      for (const double c : {mesh.vertices[v].x, mesh.vertices[v].y, mesh.vertices[v].z}) append(out, float(c));
    out.append(2, '\0');
  }
  return out;
}

inline std::string as_obj(const TriangleMesh& mesh) {
  std::string out = "# a scan\n";
  for (const Point3& v : mesh.vertices) out += fmt::format("v {:.6f} {:.6f} {:.6f}\n", v.x, v.y, v.z);
  for (const auto& t : mesh.triangles) out += fmt::format("f {}//1 {}//1 {}//1\n", t[0] + 1, t[1] + 1, t[2] + 1);
  return out;
}

inline std::string as_ply(const TriangleMesh& mesh, bool binary = true) {
  std::string out = fmt::format(
      "ply\nformat {} 1.0\ncomment a scan\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
      "element face {}\nproperty list uchar int vertex_indices\nend_header\n",
      binary ? "binary_little_endian" : "ascii", mesh.vertices.size(), mesh.triangles.size());
  for (const Point3& v : mesh.vertices) {
    if (!binary) out += fmt::format("{:.6f} {:.6f} {:.6f}\n", v.x, v.y, v.z);
    else
      for (const double c : {v.x, v.y, v.z}) append(out, float(c));
  }
  for (const auto& t : mesh.triangles) {
    if (!binary) {
      out += fmt::format("3 {} {} {}\n", t[0], t[1], t[2]);
      continue;
    }
    out += char(3);
    for (const std::uint32_t v : t) out.append(reinterpret_cast<const char*>(&v), 4);
  }
  return out;
}

inline TriangleMesh scaled(TriangleMesh mesh, double by) {
  for (Point3& v : mesh.vertices) v = {by * v.x, by * v.y, by * v.z};
  return mesh;
}

inline TriangleMesh placed(TriangleMesh mesh, const solid::Pose& pose) {
  for (Point3& v : mesh.vertices) v = pose(v);
  return mesh;
}

/// Landmarks of `face` as somebody picks them on the scan, mm.
inline std::vector<ScanMark> picked(const Face& face, const solid::Pose& pose) {
  std::vector<ScanMark> marks;
  const auto pick = [&](const std::string& name, const Point3& p) {
    const Point3 q = pose(p);
    marks.push_back({name, {q.x, q.y, q.z}, {}});
  };
  for (const Landmark l : {Landmark::pupil, Landmark::cheilion, Landmark::tragion}) {
    pick(std::string(name_of(l)) + "_left", face.at(l));
    pick(std::string(name_of(l)) + "_right", mirrored(face.at(l)));
  }
  for (const Landmark l :
       {Landmark::pronasale, Landmark::sublabiale, Landmark::sellion, Landmark::menton, Landmark::pogonion})
    pick(std::string(name_of(l)), face.at(l));
  return marks;
}

}  // namespace peepwright::test
