// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/scan_surface.hpp"

#include <CGAL/AABB_face_graph_triangle_primitive.h>
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Side_of_triangle_mesh.h>
#include <CGAL/Surface_mesh.h>
#include <fmt/format.h>

#include <array>
#include <optional>
#include <vector>

#include "engine/quantity/error.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::scan {

using namespace solid;  // arithmetic on points

namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
using Primitive = CGAL::AABB_face_graph_triangle_primitive<Mesh>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive>>;
using Inside = CGAL::Side_of_triangle_mesh<Mesh, Kernel>;

constexpr std::size_t patch_count = 4;

Point3 plain(const Kernel::Point_3& p) { return {p.x(), p.y(), p.z()}; }
Kernel::Point_3 point(const Point3& p) { return {p.x, p.y, p.z}; }

Box3 box_of(FacePatch patch, const Face& face) {
  using enum Landmark;
  constexpr double deep = 15, corner = 12, behind_chin = 10, past_wing = 1.15;
  Box3 box;
  switch (patch) {
    case FacePatch::whole: break;
    case FacePatch::nose: {
      const double half = past_wing * face.at(alare).y;
      box.low = {face.at(alare).x - deep, -half, face.at(subnasale).z};
      box.high = {Box3::inf, half, face.at(sellion).z};
      break;
    }
    case FacePatch::chin: {
      const double half = face.at(cheilion).y;
      box.low = {face.at(menton).x - behind_chin, -half, face.at(menton).z - behind_chin};
      box.high = {Box3::inf, half, face.at(stomion).z};
      break;
    }
    case FacePatch::right_mouth_corner: {
      const Point3 at = mirrored(face.at(cheilion));
      box.low = at - Point3{deep, corner, corner};
      box.high = at + Point3{deep, corner, corner};
      break;
    }
  }
  return box;
}

}  // namespace

struct ScanSurface::Trees {
  Mesh mesh;
  std::array<std::vector<char>, patch_count> member;  ///< a face's place in a patch
  std::array<Tree, patch_count> tree;
  std::optional<Inside> inside;
  Box3 box;

  struct Probe {
    double value = 0;  ///< signed; of a place inside whose nearest skin is of another patch, how far that skin is
    double bound = 0;  ///< no skin of the patch makes a place here deeper than this
    Point3 on_skin;
    bool within = false;
    bool counts = true;  ///< the skin found is of the patch asked for
  };

  [[nodiscard]] bool is_within(const Point3& p) const {
    return box.holds(p) && (*inside)(point(p)) == CGAL::ON_BOUNDED_SIDE;
  }

  [[nodiscard]] Probe probe(const Point3& p, std::size_t patch) const {
    Probe out;
    out.within = is_within(p);
    if (!out.within) {
      out.on_skin = plain(tree[patch].closest_point(point(p)));
      out.value = out.bound = norm(out.on_skin - p);
      return out;
    }
    const auto [nearest, face] = tree[0].closest_point_and_primitive(point(p));
    out.on_skin = plain(nearest);
    const double depth = norm(out.on_skin - p);
    out.bound = -depth;
    out.counts = member[patch][face.idx()] != 0;
    out.value = out.counts ? -depth : depth;
    return out;
  }
};

ScanSurface::ScanSurface(const Face& face, TriangleMesh mesh)
    : face_(face), mesh_(std::move(mesh)), trees_(std::make_unique<Trees>()) {
  Trees& t = *trees_;
  for (const Point3& p : mesh_.vertices) t.mesh.add_vertex(point(p)), t.box.add(p);
  for (const auto& f : mesh_.triangles) {
    const auto v = [&](std::size_t k) { return Mesh::Vertex_index(f[k]); };
    if (t.mesh.add_face(v(0), v(1), v(2)) == Mesh::null_face())
      throw Error(ErrorCode::internal, "A scan was not closed before it was measured.");
  }
  constexpr const char* names[patch_count] = {"head", "nose", "lips and chin", "string-side mouth corner"};
  for (std::size_t k = 0; k < patch_count; ++k) {
    const Box3 box = box_of(static_cast<FacePatch>(k), face_);
    std::vector<Mesh::Face_index> faces;
    t.member[k].assign(t.mesh.number_of_faces(), 0);
    for (const auto f : t.mesh.faces()) {
      const auto& corners = mesh_.triangles[f.idx()];
      const Point3 middle =
          (1.0 / 3) * (mesh_.vertices[corners[0]] + mesh_.vertices[corners[1]] + mesh_.vertices[corners[2]]);
      if (k != 0 && !box.holds(middle)) continue;
      t.member[k][f.idx()] = 1;
      faces.push_back(f);
    }
    if (faces.empty())
      throw Error(ErrorCode::input,
                  fmt::format("archer.face.scan: no skin lies where its landmarks put the {}; pick the landmarks again",
                              names[k]));
    t.tree[k].insert(faces.begin(), faces.end(), t.mesh);
    t.tree[k].build();
    t.tree[k].accelerate_distance_queries();
  }
  t.inside.emplace(t.tree[0]);
}

ScanSurface::~ScanSurface() = default;

double ScanSurface::to(const Point3& p) const { return trees_->probe(p, 0).value; }

Contact ScanSurface::to(const Rod& rod, FacePatch wanted) const {
  const Trees& t = *trees_;
  const auto patch = static_cast<std::size_t>(wanted);
  const Point3 span = rod.to - rod.from;
  const double length = norm(span);
  const Point3 along = (1 / length) * span;
  Contact best;
  best.distance_mm = Box3::inf;
  double best_at = 0;

  // The disc across the rod at `s`: its deepest place lies toward the skin that is nearest, or away from it inside.
  const auto look = [&](double s) {
    const Point3 middle = rod.from + s * along;
    Trees::Probe probe = t.probe(middle, patch);
    double least = probe.value;
    const auto offer = [&](const Trees::Probe& found, const Point3& p) {
      if (found.counts && found.value < best.distance_mm)
        best.distance_mm = found.value, best.on_skin = found.on_skin, best.on_body = p, best_at = s;
      least = std::min(least, found.value);
    };
    offer(probe, middle);
    Point3 p = middle;
    for (int turn = 0; turn < 3; ++turn) {
      const Point3 to_skin = (probe.within ? -1.0 : 1.0) * (probe.on_skin - p);
      // From the middle's direction at first, then from the rim's own.
      const Point3 from_middle = p - middle + to_skin, across = from_middle - dot(from_middle, along) * along;
      if (norm(across) < 1e-9) break;
      p = middle + rod.radius_mm * unit(across);
      probe = t.probe(p, patch);
      offer(probe, p);
    }
    return least;
  };

  // A signed distance changes no faster than the place does: a section whose bound lies above the best rules out as
  // much of the rod as the difference.
  constexpr double step_mm = 0.5;
  const double start =
      std::clamp(dot(plain(t.tree[patch].closest_point(point(rod.from))) - rod.from, along), 0.0, length);
  look(start);
  look(0), look(length);
  for (double s = 0; s <= length;) {
    const double bound = t.probe(rod.from + s * along, patch).bound - rod.radius_mm;
    if (bound < best.distance_mm) look(s);
    s += std::max(step_mm, bound - best.distance_mm);
  }
  if (best.distance_mm == Box3::inf) {
    // All of the rod near the patch lies in the head under skin of other patches: how far the patch is from it, then.
    best_at = start, best.on_body = rod.from + start * along;
    best.on_skin = plain(t.tree[patch].closest_point(point(best.on_body)));
    best.distance_mm = std::max(0.0, norm(best.on_skin - best.on_body) - rod.radius_mm);
  }
  double low = std::max(0.0, best_at - step_mm), high = std::min(length, best_at + step_mm);
  constexpr double golden = 0.6180339887498949;
  double a = high - golden * (high - low), b = low + golden * (high - low), fa = look(a), fb = look(b);
  while (high - low > 2e-3) {
    if (fa < fb) high = b, b = a, fb = fa, a = high - golden * (high - low), fa = look(a);
    else low = a, a = b, fa = fb, b = low + golden * (high - low), fb = look(b);
  }

  double nearest2 = Box3::inf;
  for (const Landmark l : skin_landmarks())
    for (const bool left : {true, false}) {
      const Point3 d = best.on_skin - (left ? face_.at(l) : mirrored(face_.at(l)));
      if (dot(d, d) < nearest2) nearest2 = dot(d, d), best.nearest = l, best.left = left;
    }
  return best;
}

}  // namespace peepwright::scan
