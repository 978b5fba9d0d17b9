// SPDX-License-Identifier: GPL-3.0-or-later
// The exported meshes as libraries and programs see them that are not ours: CGAL, admesh, Assimp.
#include "tests/exporters/mesh_readers.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/solid/clip_gauge.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "tests/engine/solid_test_assembly.hpp"

namespace peepwright {
namespace {

using testing::HasSubstr;

/// Every part of an assembly, and the clip gauge as a file of its own.
struct Sample {
  std::vector<solid::Part> parts;
  std::vector<NamedMesh> meshes;
};

Sample sample_of(std::vector<solid::Part> parts) {
  auto meshes = meshes_of(parts);
  return {std::move(parts), std::move(meshes)};
}

const Sample& assembly() {
  static const Sample sample = [] {
    auto in = test::sample_assembly("adult-female");
    in.bar_drop_mm = in.housing_diameter_mm;  // with the mount that a dropped bar needs
    return sample_of(solid::assembly_parts(solid::HeadModel(in.face), in));
  }();
  return sample;
}

const Sample& left_handed() {
  static const Sample sample = [] {
    auto in = test::sample_assembly("adult-male");
    in.right_handed = false;
    return sample_of(solid::assembly_parts(solid::HeadModel(in.face), in));
  }();
  return sample;
}

const Sample& gauge() {
  static const Sample sample = [] {
    solid::ClipGaugeInput in;
    in.mark_mm = 130;
    return sample_of({solid::clip_gauge(in)});
  }();
  return sample;
}

void expect_sound(const test::ReadMesh& mesh, const solid::Part& part, const std::string& from) {
  double volume = 0;
  EXPECT_EQ(test::faults_by_cgal(mesh, volume), "") << part.name << ", from " << from;
  EXPECT_NEAR(volume / part.shape.volume_mm3(), 1, 0.002) << part.name << ", from " << from;
}

/// Each part as a file of its own, for STL keeps no parts apart.
void expect_stl_is_sound(const Sample& sample) {
  ASSERT_FALSE(sample.parts.empty());
  for (std::size_t i = 0; i < sample.parts.size(); ++i)
    expect_sound(test::read_stl_by_cgal(stl_bytes({sample.meshes[i]})), sample.parts[i], "STL");
}

void expect_named_file_is_sound(const Sample& sample, const std::string& bytes, const std::string& kind) {
  const auto found = test::read_by_assimp(bytes, kind);
  ASSERT_EQ(found.size(), sample.parts.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    if (kind == "glb") {
      EXPECT_EQ(found[i].name, sample.parts[i].name);  // of 3MF it numbers the objects; the names are tested elsewhere
    }
    EXPECT_EQ(found[i].points.size(), sample.meshes[i].mesh.vertices.size()) << found[i].name;
    EXPECT_EQ(found[i].triangles.size(), sample.meshes[i].mesh.triangles.size()) << found[i].name;
    expect_sound(found[i], sample.parts[i], kind);
  }
}

TEST(MeshesByCgal, StlIsClosedOutwardAndUncrossed) {
  expect_stl_is_sound(assembly());
  expect_stl_is_sound(left_handed());
  expect_stl_is_sound(gauge());
}

TEST(MeshesByCgal, ThreeMfIsClosedOutwardAndUncrossed) {
  expect_named_file_is_sound(assembly(), threemf_bytes(assembly().meshes), "3mf");
  expect_named_file_is_sound(left_handed(), threemf_bytes(left_handed().meshes), "3mf");
  expect_named_file_is_sound(gauge(), threemf_bytes(gauge().meshes), "3mf");
}

TEST(MeshesByCgal, GlbIsClosedOutwardAndUncrossed) {
  expect_named_file_is_sound(assembly(), glb_bytes(assembly().meshes), "glb");
  expect_named_file_is_sound(left_handed(), glb_bytes(left_handed().meshes), "glb");
}

TEST(MeshesByCgal, DamageIsSeen) {
  test::ReadMesh tetrahedron{
      "", {}, {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}}};
  double volume = 0;
  EXPECT_EQ(test::faults_by_cgal(tetrahedron, volume), "");
  EXPECT_NEAR(volume, 1.0 / 6, 1e-12);
  auto open = tetrahedron;
  open.triangles.pop_back();
  EXPECT_THAT(test::faults_by_cgal(open, volume), HasSubstr("open"));
  auto turned = tetrahedron;
  std::swap(turned.triangles[0][0], turned.triangles[0][1]);
  EXPECT_THAT(test::faults_by_cgal(turned, volume), HasSubstr("oriented surface"));
  auto inside_out = tetrahedron;
  for (auto& t : inside_out.triangles) std::swap(t[0], t[1]);
  EXPECT_THAT(test::faults_by_cgal(inside_out, volume), HasSubstr("inside out"));
  auto twice = tetrahedron;  // a second one that sticks in the first
  for (const Point3& p : tetrahedron.points) twice.points.push_back({p.x + 0.1, p.y + 0.1, p.z + 0.1});
  for (const auto& t : tetrahedron.triangles) twice.triangles.push_back({t[0] + 4, t[1] + 4, t[2] + 4});
  EXPECT_THAT(test::faults_by_cgal(twice, volume), HasSubstr("crosses itself"));
}

void expect_admesh_finds_nothing(const Sample& sample) {
  const test::AdmeshReport report = test::report_by_admesh(stl_bytes(sample.meshes));
  for (const auto& [name, count] : report.faults) EXPECT_EQ(count, 0u) << name;
  std::size_t triangles = 0;
  double volume = 0;
  solid::Box box = sample.meshes[0].mesh.bounds();
  for (const NamedMesh& m : sample.meshes) {
    triangles += m.mesh.triangles.size();
    volume += m.mesh.volume_mm3();
    const solid::Box b = m.mesh.bounds();
    box.low = {std::min(box.low.x, b.low.x), std::min(box.low.y, b.low.y), std::min(box.low.z, b.low.z)};
    box.high = {std::max(box.high.x, b.high.x), std::max(box.high.y, b.high.y), std::max(box.high.z, b.high.z)};
  }
  EXPECT_EQ(report.facets, triangles);
  EXPECT_EQ(report.parts, sample.parts.size());
  EXPECT_NEAR(report.volume / volume, 1, 1e-4);  // it adds up in single precision
  // Single precision at a metre.
  for (const auto& [theirs, ours] : {std::pair{report.box.low, box.low}, {report.box.high, box.high}}) {
    EXPECT_NEAR(theirs.x, ours.x, 1e-4);
    EXPECT_NEAR(theirs.y, ours.y, 1e-4);
    EXPECT_NEAR(theirs.z, ours.z, 1e-4);
  }
}

TEST(StlByAdmesh, HasNothingToMend) {
  expect_admesh_finds_nothing(assembly());
  expect_admesh_finds_nothing(left_handed());
  expect_admesh_finds_nothing(gauge());
}

TEST(StlByAdmesh, DamageIsSeen) {
  auto damaged = gauge().meshes;
  damaged[0].mesh.triangles.pop_back();
  std::size_t faults = 0;
  for (const auto& [name, count] : test::report_by_admesh(stl_bytes(damaged)).faults) faults += count;
  EXPECT_GT(faults, 0u);
}

// The second reader of 3MF, beside the format's own library.
TEST(ThreeMfByAssimp, KeepsPlacesAndColours) {
  const auto found = test::read_by_assimp(threemf_bytes(assembly().meshes), "3mf");
  ASSERT_EQ(found.size(), assembly().meshes.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    const NamedMesh& m = assembly().meshes[i];
    ASSERT_EQ(found[i].points.size(), m.mesh.vertices.size());
    for (std::size_t k = 0; k < found[i].points.size(); ++k) {
      const Point3 &a = found[i].points[k], &b = m.mesh.vertices[k];
      ASSERT_LT(std::hypot(a.x - b.x, a.y - b.y, a.z - b.z), 2e-4) << m.name;  // it reads in single precision
    }
    for (std::size_t k = 0; k < m.mesh.triangles.size(); ++k)
      for (std::size_t c = 0; c < 3; ++c) ASSERT_EQ(found[i].triangles[k][c], m.mesh.triangles[k][c]) << m.name;
    // sRGB, IEC 61966-2-1, in steps of 1 / 255.
    const auto shown = [](double v) { return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055; };
    EXPECT_NEAR(found[i].colour[0], shown(m.colour.red), 0.0021) << m.name;
    EXPECT_NEAR(found[i].colour[1], shown(m.colour.green), 0.0021) << m.name;
    EXPECT_NEAR(found[i].colour[2], shown(m.colour.blue), 0.0021) << m.name;
    EXPECT_NEAR(found[i].colour[3], 1, 1e-6) << m.name;
  }
}

}  // namespace
}  // namespace peepwright
