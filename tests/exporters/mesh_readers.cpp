// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/exporters/mesh_readers.hpp"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/IO/STL.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orientation.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/repair_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>
#include <assimp/config.h>
#include <assimp/material.h>
#include <assimp/scene.h>
#include <unistd.h>

#include <array>
#include <assimp/Importer.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <memory>
#include <regex>
#include <sstream>
#include <stdexcept>

namespace peepwright::test {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;

/// Report line "NAME : VALUE" of admesh; the first number after the colon.
double number_after(const std::string& report, const std::string& name) {
  std::smatch found;
  if (!std::regex_search(report, found, std::regex(name + R"(\s*[:=]\s*(-?[0-9.]+(e[-+]?[0-9]+)?))")))
    throw std::runtime_error("admesh does not say \"" + name + "\": " + report);
  std::istringstream in(found[1].str());
  in.imbue(std::locale::classic());
  double value = 0;
  in >> value;
  return value;
}

}  // namespace

std::vector<ReadMesh> read_by_assimp(const std::string& bytes, const std::string& kind) {
  Assimp::Importer importer;
  const aiScene* scene = importer.ReadFileFromMemory(bytes.data(), bytes.size(), 0, kind.c_str());
  if (!scene) throw std::runtime_error(importer.GetErrorString());
  std::vector<ReadMesh> out;
  const std::function<void(const aiNode&)> walk = [&](const aiNode& node) {
    for (unsigned i = 0; i < node.mNumMeshes; ++i) {
      const aiMesh& from = *scene->mMeshes[node.mMeshes[i]];
      ReadMesh& mesh = out.emplace_back();
      mesh.name = node.mName.C_Str();
      aiColor4D colour;
      if (scene->mMaterials[from.mMaterialIndex]->Get(AI_MATKEY_COLOR_DIFFUSE, colour) == aiReturn_SUCCESS)
        mesh.colour = {double(colour.r), double(colour.g), double(colour.b), double(colour.a)};
      for (unsigned v = 0; v < from.mNumVertices; ++v)
        mesh.points.push_back({double(from.mVertices[v].x), double(from.mVertices[v].y), double(from.mVertices[v].z)});
      for (unsigned f = 0; f < from.mNumFaces; ++f) {
        if (from.mFaces[f].mNumIndices != 3) throw std::runtime_error("a face is no triangle");
        const unsigned* k = from.mFaces[f].mIndices;
        mesh.triangles.push_back({k[0], k[1], k[2]});
      }
    }
    for (unsigned i = 0; i < node.mNumChildren; ++i) walk(*node.mChildren[i]);
  };
  walk(*scene->mRootNode);
  return out;
}

ReadMesh read_stl_by_cgal(const std::string& bytes) {
  std::istringstream in(bytes, std::ios::binary);
  std::vector<Kernel::Point_3> points;
  ReadMesh mesh;
  if (!CGAL::IO::read_STL(in, points, mesh.triangles)) throw std::runtime_error("CGAL does not read this STL");
  for (const auto& p : points) mesh.points.push_back({p.x(), p.y(), p.z()});
  return mesh;
}

std::string faults_by_cgal(const ReadMesh& mesh, double& volume) {
  std::vector<Kernel::Point_3> points;
  for (const Point3& p : mesh.points) points.emplace_back(p.x, p.y, p.z);
  auto triangles = mesh.triangles;
  PMP::merge_duplicate_points_in_polygon_soup(points, triangles);
  if (!PMP::is_polygon_soup_a_polygon_mesh(triangles)) return "its triangles do not make one oriented surface";
  Mesh surface;
  PMP::polygon_soup_to_polygon_mesh(points, triangles, surface);
  if (!CGAL::is_closed(surface)) return "it is open";
  if (PMP::does_self_intersect(surface)) return "it crosses itself";
  if (!PMP::is_outward_oriented(surface)) return "it is inside out";
  volume = PMP::volume(surface);
  return {};
}

AdmeshReport report_by_admesh(const std::string& bytes) {
  std::string path = (std::filesystem::temp_directory_path() / "peepwright-XXXXXX").string();
  const int file = ::mkstemp(path.data());
  if (file < 0) throw std::runtime_error("no file for admesh could be made");
  ::close(file);
  std::ofstream(path, std::ios::binary) << bytes;
  std::string report;
  {
    const std::unique_ptr<FILE, int (*)(FILE*)> out(::popen(("LC_ALL=C admesh '" + path + "' 2>&1").c_str(), "r"),
                                                    ::pclose);
    std::array<char, 4096> block{};
    while (out && std::fgets(block.data(), int(block.size()), out.get())) report += block.data();
  }
  std::filesystem::remove(path);

  AdmeshReport found;
  const auto count = [&](const std::string& name) { return std::size_t(number_after(report, name)); };
  found.facets = count("Number of facets");
  found.parts = count("Number of parts");
  found.volume = number_after(report, "Volume");
  found.box = {{number_after(report, "Min X"), number_after(report, "Min Y"), number_after(report, "Min Z")},
               {number_after(report, "Max X"), number_after(report, "Max Y"), number_after(report, "Max Z")}};
  for (const char* name : {"Total disconnected facets", "Degenerate facets", "Edges fixed", "Facets removed",
                           "Facets added", "Facets reversed", "Backwards edges", "Normals fixed"})
    found.faults.emplace_back(name, count(name));
  return found;
}

}  // namespace peepwright::test
