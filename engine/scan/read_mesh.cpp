// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/read_mesh.hpp"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/IO/OBJ.h>
#include <CGAL/IO/PLY.h>
#include <CGAL/IO/STL.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <locale>
#include <new>
#include <sstream>
#include <vector>

#include "engine/quantity/error.hpp"
#include "engine/scan/ply_header.hpp"

namespace peepwright::scan {
namespace {

using Point = CGAL::Exact_predicates_inexact_constructions_kernel::Point_3;
using Polygon = std::vector<std::size_t>;

constexpr double farthest_mm = 1e6;

[[noreturn]] void refuse(const std::string& name, const std::string& what) {
  throw Error(ErrorCode::input, Location{name}, fmt::format("cannot be used as a scan: {}", what));
}

enum class Kind { ply, obj, stl };

Kind kind_of(const std::string& name) {
  std::string ending = std::filesystem::path(name).extension().string();
  std::ranges::transform(ending, ending.begin(),
                         [](unsigned char c) { return c >= 'A' && c <= 'Z' ? char(c - 'A' + 'a') : char(c); });
  if (ending == ".ply") return Kind::ply;
  if (ending == ".obj") return Kind::obj;
  if (ending == ".stl") return Kind::stl;
  refuse(name, "its name must end in .ply, .obj or .stl");
}

/// A binary STL says how many triangles it has, and is exactly as long as that.
bool is_binary_stl(const std::string& bytes) {
  if (bytes.size() < 84) return false;
  std::uint32_t count = 0;
  for (int k = 3; k >= 0; --k) count = count << 8 | static_cast<unsigned char>(bytes[80 + std::size_t(k)]);
  return bytes.size() >= 84 + 50 * std::uint64_t(count) && bytes.size() < 84 + 50 * (std::uint64_t(count) + 1) &&
         count > 0;
}

bool read_into(Kind kind, std::string bytes, std::vector<Point>& points, std::vector<Polygon>& polygons) {
  if (kind == Kind::stl) {
    // Some programs begin a binary file with the word that marks a text file.
    if (is_binary_stl(bytes)) std::fill_n(bytes.begin(), 80, 'b');
    else if (!bytes.starts_with("solid")) return false;
  }
  std::istringstream in(std::move(bytes), std::ios::binary);
  in.imbue(std::locale::classic());
  switch (kind) {
    case Kind::ply: return CGAL::IO::read_PLY(in, points, polygons, CGAL::parameters::verbose(false));
    case Kind::obj: return CGAL::IO::read_OBJ(in, points, polygons, CGAL::parameters::verbose(false));
    case Kind::stl: return CGAL::IO::read_STL(in, points, polygons, CGAL::parameters::verbose(false));
  }
  return false;
}

}  // namespace

solid::TriangleMesh parse_mesh(const std::string& name, std::string bytes, double unit_mm) {
  const Kind kind = kind_of(name);
  if (bytes.size() > largest_scan_bytes)
    refuse(name, fmt::format("it has {} MB; up to {} MB are read. Reduce the mesh", bytes.size() >> 20,
                             largest_scan_bytes >> 20));
  if (bytes.empty()) refuse(name, "it is empty");
  if (kind == Kind::ply)
    if (const std::string trouble = ply_trouble(bytes); !trouble.empty()) refuse(name, trouble);
  std::vector<Point> points;
  std::vector<Polygon> polygons;
  bool read = false;
  try {
    read = read_into(kind, std::move(bytes), points, polygons);
  } catch (const std::bad_alloc&) {
  } catch (const std::length_error&) {
  }
  if (!read) refuse(name, "it is cut short, damaged, or not what its name's ending says");

  solid::TriangleMesh mesh;
  mesh.vertices.reserve(points.size());
  for (const Point& p : points) {
    const Point3 q{unit_mm * p.x(), unit_mm * p.y(), unit_mm * p.z()};
    if (!(std::abs(q.x) <= farthest_mm && std::abs(q.y) <= farthest_mm && std::abs(q.z) <= farthest_mm))
      refuse(name, fmt::format("vertex {} is not a place within a kilometre: {:.4g}, {:.4g}, {:.4g} mm",
                               mesh.vertices.size() + 1, q.x, q.y, q.z));
    mesh.vertices.push_back(q);
  }
  for (const Polygon& polygon : polygons) {
    for (const std::size_t k : polygon)
      if (k >= mesh.vertices.size())
        refuse(name,
               fmt::format("a face names vertex {} of {}", static_cast<std::ptrdiff_t>(k) + 1, mesh.vertices.size()));
    for (std::size_t k = 2; k < polygon.size(); ++k)
      mesh.triangles.push_back({std::uint32_t(polygon[0]), std::uint32_t(polygon[k - 1]), std::uint32_t(polygon[k])});
    if (mesh.triangles.size() > most_triangles)
      refuse(name, fmt::format("it has more than {} triangles. Reduce the mesh; 100 000 are plenty for a head",
                               most_triangles));
  }
  if (mesh.triangles.empty()) refuse(name, "it holds no triangles");
  return mesh;
}

solid::TriangleMesh read_mesh(const std::string& file, double unit_mm) {
  namespace fs = std::filesystem;
  (void)kind_of(file);
  std::error_code status;
  if (!fs::exists(file, status))
    refuse(file, status ? "it cannot be reached: " + status.message() : "there is no such file");
  if (!fs::is_regular_file(file, status)) refuse(file, "it is not a regular file");
  const auto size = fs::file_size(file, status);
  if (status) refuse(file, "its size cannot be read");
  if (size > largest_scan_bytes)
    refuse(file,
           fmt::format("it has {} MB; up to {} MB are read. Reduce the mesh", size >> 20, largest_scan_bytes >> 20));
  std::ifstream in(file, std::ios::binary);
  std::string bytes(size, '\0');
  if (!in || !in.read(bytes.data(), static_cast<std::streamsize>(size))) refuse(file, "it cannot be read");
  return parse_mesh(file, std::move(bytes), unit_mm);
}

}  // namespace peepwright::scan
