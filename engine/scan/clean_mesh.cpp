// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/clean_mesh.hpp"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/border.h>
#include <CGAL/Polygon_mesh_processing/connected_components.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/orientation.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/repair.h>
#include <CGAL/Polygon_mesh_processing/repair_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Polygon_mesh_processing/stitch_borders.h>
#include <CGAL/Polygon_mesh_processing/triangulate_hole.h>
#include <CGAL/Surface_mesh.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

#include "engine/quantity/error.hpp"

namespace peepwright::scan {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
using Face = Mesh::Face_index;
using Halfedge = Mesh::Halfedge_index;

[[noreturn]] void refuse(const std::string& name, const std::string& what) {
  throw Error(ErrorCode::input, Location{name}, fmt::format("cannot be used as a scan: {}", what));
}

void keep_largest_piece(Mesh& mesh, Repairs& repairs) {
  const std::size_t before = mesh.number_of_faces();
  const auto piece = mesh.add_property_map<Face, std::size_t>("f:piece", 0).first;
  const std::size_t count = PMP::connected_components(mesh, piece);
  if (count > 1) {
    std::vector<double> area(count, 0);
    for (const Face f : mesh.faces()) area[piece[f]] += PMP::face_area(f, mesh);
    const auto largest = std::size_t(std::ranges::max_element(area) - area.begin());
    PMP::keep_connected_components(mesh, std::vector<std::size_t>{largest}, piece);
    mesh.collect_garbage();
    repairs.pieces_dropped += count - 1;
    repairs.triangles_dropped += before - mesh.number_of_faces();
  }
  auto spent = piece;
  mesh.remove_property_map(spent);
}

struct Hole {
  Halfedge border;
  double width_mm = 0;
  bool in_face = false;
};

Hole hole_at(const Mesh& mesh, Halfedge border, const FaceZone& zone) {
  CGAL::Bbox_3 box;
  for (const Halfedge h : CGAL::halfedges_around_face(border, mesh)) box += mesh.point(mesh.target(h)).bbox();
  Hole hole{border, std::hypot(box.xmax() - box.xmin(), box.ymax() - box.ymin(), box.zmax() - box.zmin()), false};
  hole.in_face = (box.xmin() + box.xmax()) / 2 > zone.behind_x && (box.zmin() + box.zmax()) / 2 > zone.below_z;
  return hole;
}

void close_holes(Mesh& mesh, const FaceZone& zone, const std::string& name, Repairs& repairs) {
  std::vector<Halfedge> borders;
  PMP::extract_boundary_cycles(mesh, std::back_inserter(borders));
  for (const Halfedge border : borders) {
    const Hole hole = hole_at(mesh, border, zone);
    if (hole.in_face && hole.width_mm > widest_patch_mm)
      refuse(name, fmt::format(
                       "it has a hole {:.0f} mm wide in the face; up to {:.0f} mm can be closed. Scan that part again",
                       hole.width_mm, widest_patch_mm));
    std::vector<Face> patch;
    std::vector<Mesh::Vertex_index> added;
    // A patch that carries on the skin's curvature where it matters; elsewhere the plainest one.
    if (hole.width_mm <= widest_patch_mm)
      PMP::triangulate_refine_and_fair_hole(mesh, border, std::back_inserter(patch), std::back_inserter(added));
    else PMP::triangulate_hole(mesh, border, std::back_inserter(patch));
    if (patch.empty())
      refuse(name, fmt::format("a hole {:.0f} mm wide cannot be closed; its edge is too rough", hole.width_mm));
    ++repairs.holes_filled;
    if (hole.in_face) repairs.widest_hole_mm = std::max(repairs.widest_hole_mm, hole.width_mm);
  }
}

std::set<Face> crossing_faces(const Mesh& mesh) {
  std::vector<std::pair<Face, Face>> pairs;
  PMP::self_intersections(mesh, std::back_inserter(pairs));
  std::set<Face> crossing;
  for (const auto& [a, b] : pairs) crossing.insert(a), crossing.insert(b);
  return crossing;
}

/// Those faces and all that touch them.
std::set<Face> with_neighbours(const Mesh& mesh, const std::set<Face>& faces) {
  std::set<Face> out = faces;
  for (const Face f : faces)
    for (const Halfedge h : mesh.halfedges_around_face(mesh.halfedge(f)))
      for (const Face g : mesh.faces_around_target(h))
        if (g != Mesh::null_face()) out.insert(g);
  return out;
}

/// Noise of the scanner's own makes folds smaller than itself. There the skin is evened out: each vertex goes to the
/// middle of its neighbours. Real faults survive that and are left for the knife. The last set of crossing faces comes
/// back.
std::set<Face> even_out_folds(Mesh& mesh, Repairs& repairs) {
  constexpr int most_turns = 5;
  std::set<Face> crossing = crossing_faces(mesh);
  for (int turn = 0; turn < most_turns && !crossing.empty(); ++turn) {
    std::vector<std::pair<Mesh::Vertex_index, Kernel::Point_3>> moved;
    std::set<Mesh::Vertex_index> seen;
    for (const Face f : with_neighbours(mesh, crossing))
      for (const Halfedge h : mesh.halfedges_around_face(mesh.halfedge(f))) {
        const auto v = mesh.target(h);
        if (mesh.is_border(v) || !seen.insert(v).second) continue;
        Kernel::Vector_3 sum(0, 0, 0);
        double count = 0;
        for (const Halfedge around : mesh.halfedges_around_target(h))
          sum = sum + (mesh.point(mesh.source(around)) - CGAL::ORIGIN), ++count;
        moved.emplace_back(v, CGAL::ORIGIN + sum / count);
      }
    for (const auto& [v, p] : moved) mesh.point(v) = p;
    repairs.most_evened = std::max(repairs.most_evened, moved.size());
    crossing = crossing_faces(mesh);
  }
  return crossing;
}

/// Cuts out triangles that run through others, and their neighbours. True when there were any.
bool remove_crossings(Mesh& mesh, const std::string& name, Repairs& repairs) {
  const std::set<Face> crossing = even_out_folds(mesh, repairs);
  if (crossing.empty()) return false;
  // So many that what is left would be a guess.
  constexpr double most_share = 0.05;
  if (double(crossing.size()) > std::max(200.0, most_share * double(mesh.number_of_faces())))
    refuse(name,
           fmt::format("{} of its {} triangles run through each other. Clean or smooth it in a mesh program first",
                       crossing.size(), mesh.number_of_faces()));
  repairs.crossings_removed += crossing.size();
  for (const Face f : with_neighbours(mesh, crossing)) CGAL::Euler::remove_face(mesh.halfedge(f), mesh);
  mesh.collect_garbage();
  return true;
}

solid::TriangleMesh plain(const Mesh& mesh) {
  solid::TriangleMesh out;
  for (const auto v : mesh.vertices())
    out.vertices.push_back({mesh.point(v).x(), mesh.point(v).y(), mesh.point(v).z()});
  for (const Face f : mesh.faces()) {
    std::array<std::uint32_t, 3> t{};
    std::size_t k = 0;
    for (const Halfedge h : mesh.halfedges_around_face(mesh.halfedge(f))) t[k++] = std::uint32_t(mesh.target(h).idx());
    out.triangles.push_back(t);
  }
  return out;
}

/// The corners in the same order, the least index first.
std::vector<std::size_t> from_least(std::vector<std::size_t> triangle) {
  std::rotate(triangle.begin(), std::ranges::min_element(triangle),
              triangle.end());  // clang 14 refuses the one of std::ranges
  return triangle;
}

Mesh joined_and_oriented(const solid::TriangleMesh& raw, const std::string& name, Repairs& repairs) {
  std::vector<Kernel::Point_3> points;
  for (const Point3& p : raw.vertices) points.emplace_back(p.x, p.y, p.z);
  std::vector<std::vector<std::size_t>> triangles;
  for (const auto& t : raw.triangles) triangles.push_back({t[0], t[1], t[2]});
  PMP::repair_polygon_soup(points, triangles);
  if (triangles.empty()) refuse(name, "no triangle in it has an area");
  const auto before = triangles;
  PMP::orient_polygon_soup(points, triangles);
  for (std::size_t i = 0; i < before.size() && i < triangles.size() && !repairs.turned; ++i) {
    const auto turned = from_least(before[i]), now = from_least(triangles[i]);
    repairs.turned = turned[1] == now[2] && turned[2] == now[1];
  }
  Mesh mesh;
  PMP::polygon_soup_to_polygon_mesh(points, triangles, mesh);
  PMP::stitch_borders(mesh);
  return mesh;
}

}  // namespace

std::string Repairs::in_words() const {
  std::string out;
  const auto say = [&](const std::string& what) { out += (out.empty() ? "" : ", ") + what; };
  if (pieces_dropped > 0)
    say(fmt::format("{} loose piece(s) of {} triangles left out", pieces_dropped, triangles_dropped));
  if (turned) say("triangles turned outward");
  if (most_evened > 0) say(fmt::format("{} vertices evened out where the skin was folded", most_evened));
  if (crossings_removed > 0) say(fmt::format("{} triangles cut out that ran through each other", crossings_removed));
  if (holes_filled > 0)
    say(fmt::format("{} hole(s) closed, the widest in the face {:.0f} mm", holes_filled, widest_hole_mm));
  return out;
}

CleanMesh clean_mesh(const solid::TriangleMesh& raw, const FaceZone& zone, const std::string& name) {
  CleanMesh out;
  Repairs& repairs = out.repairs;
  try {
    Mesh mesh = joined_and_oriented(raw, name, repairs);
    keep_largest_piece(mesh, repairs);
    constexpr int most_rounds = 3;
    bool crossing = remove_crossings(mesh, name, repairs);
    for (int round = 0;; ++round) {
      if (crossing) keep_largest_piece(mesh, repairs);
      if (mesh.number_of_faces() == 0)
        refuse(name, "nothing is left of it once triangles that run through each other are cut out");
      PMP::duplicate_non_manifold_vertices(mesh);
      close_holes(mesh, zone, name, repairs);
      crossing = remove_crossings(mesh, name, repairs);
      if (!crossing) break;
      if (round == most_rounds)
        refuse(name, fmt::format("its triangles still run through each other after {} repairs ({} cut out). Clean it "
                                 "in a mesh program first",
                                 most_rounds, repairs.crossings_removed));
    }
    if (!CGAL::is_closed(mesh) || !CGAL::is_triangle_mesh(mesh)) refuse(name, "it could not be closed");
    if (!PMP::is_outward_oriented(mesh)) {
      PMP::reverse_face_orientations(mesh);
      repairs.turned = true;
    }
    mesh.collect_garbage();  // stitching leaves gaps in the numbering
    out.mesh = plain(mesh);
  } catch (const CGAL::Failure_exception& e) {
    refuse(name, fmt::format("it could not be repaired ({})", e.expression().empty() ? e.message() : e.expression()));
  }
  return out;
}

}  // namespace peepwright::scan
