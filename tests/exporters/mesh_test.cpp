// SPDX-License-Identifier: GPL-3.0-or-later
#include <Model/COM/NMR_DLLInterfaces.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "engine/quantity/error.hpp"
#include "engine/solid/parts.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "tests/engine/solid_test_assembly.hpp"

namespace peepwright {
namespace {

using testing::HasSubstr;

const std::vector<solid::Part>& parts() {
  static const std::vector<solid::Part> all = [] {
    const auto in = test::sample_assembly("adult-female");
    return solid::assembly_parts(solid::HeadModel(in.face), in);
  }();
  return all;
}

const std::vector<NamedMesh>& meshes() {
  static const std::vector<NamedMesh> all = meshes_of(parts());
  return all;
}

TEST(Meshes, AreClosedAndHoldTheVolumeOfTheirSolids) {
  ASSERT_EQ(meshes().size(), parts().size());
  for (std::size_t i = 0; i < parts().size(); ++i) {
    EXPECT_EQ(not_closed(meshes()[i].mesh), "") << parts()[i].name;
    EXPECT_NEAR(meshes()[i].mesh.volume_mm3() / parts()[i].shape.volume_mm3(), 1, 0.002) << parts()[i].name;
  }
  EXPECT_NEAR(meshes()[0].mesh.volume_mm3() / parts()[0].shape.volume_mm3(), 1, 1e-3);
}

TEST(Meshes, AnOpenOneIsSeen) {
  solid::TriangleMesh mesh = meshes()[1].mesh;
  mesh.triangles.pop_back();
  EXPECT_THAT(not_closed(mesh), HasSubstr("open edge"));
  mesh = meshes()[1].mesh;
  std::swap(mesh.triangles[0][0], mesh.triangles[0][1]);
  EXPECT_THAT(not_closed(mesh), HasSubstr("twice"));
  EXPECT_NE(not_closed({}), "");
}

TEST(Glb, ReadsBackAndIsTheSameTwice) {
  const std::string bytes = glb_bytes(meshes());
  EXPECT_NO_THROW(check_glb(bytes, meshes()));
  EXPECT_EQ(bytes == glb_bytes(meshes_of(parts())), true);
  auto other = meshes();
  other[2].name = "x";
  EXPECT_THROW(check_glb(bytes, other), Error);
  other = meshes();
  other[0].mesh.vertices[7].x += 0.01;
  EXPECT_THROW(check_glb(bytes, other), Error);
}

TEST(Glb, KeepsTheRulesOfTheFormat) {
  const std::string bytes = glb_bytes(meshes());
  ASSERT_EQ(bytes.substr(0, 4), "glTF");
  EXPECT_EQ(bytes.size() % 4, 0u);
  std::uint32_t size = 0;
  std::memcpy(&size, bytes.data() + 12, 4);
  const auto json = nlohmann::json::parse(bytes.substr(20, size));
  EXPECT_EQ(json["asset"]["version"], "2.0");
  std::size_t end = 0;
  for (const auto& view : json["bufferViews"]) {
    EXPECT_EQ(view["byteOffset"].get<std::size_t>() % 4, 0u);
    EXPECT_EQ(view["byteOffset"].get<std::size_t>(), end);  // no gaps, no overlap
    end += view["byteLength"].get<std::size_t>();
  }
  EXPECT_EQ(end, json["buffers"][0]["byteLength"].get<std::size_t>());
  // The head's height in metres, upright along y: our z through the root node's turn and scale.
  const auto& box = json["accessors"][0];
  const double height =
      (box["max"][2].get<double>() - box["min"][2].get<double>()) * json["nodes"][0]["scale"][2].get<double>();
  EXPECT_NEAR(height, 0.29, 0.04);
  const auto q = json["nodes"][0]["rotation"].get<std::vector<double>>();
  const double y_of_z = 2 * (q[1] * q[2] - q[0] * q[3]);  // second row, third column of the rotation
  EXPECT_NEAR(y_of_z, 1, 1e-12);
}

TEST(Stl, ReadsBackAndIsTheSameTwice) {
  const std::string bytes = stl_bytes(meshes());
  EXPECT_NO_THROW(check_stl(bytes, meshes()));
  EXPECT_EQ(bytes == stl_bytes(meshes()), true);
  EXPECT_NE(bytes.substr(0, 5), "solid");
  EXPECT_THROW(check_stl(bytes.substr(0, bytes.size() - 1), meshes()), Error);
}

TEST(ThreeMf, ReadsBackAndIsTheSameTwice) {
  const std::string bytes = threemf_bytes(meshes());
  EXPECT_NO_THROW(check_threemf(bytes, meshes()));
  EXPECT_EQ(bytes == threemf_bytes(meshes()), true);
  auto other = meshes();
  other[3].colour.green = 0.99;
  EXPECT_THROW(check_threemf(bytes, other), Error);
  std::string damaged = bytes;
  damaged[damaged.size() / 2] = char(damaged[damaged.size() / 2] ^ 0x55);
  EXPECT_THROW(check_threemf(damaged, meshes()), Error);
}

// An independent library as the second reader.
TEST(ThreeMf, IsReadByAnotherLibrary) {
  const auto path = std::filesystem::temp_directory_path() / ("peepwright-mesh-" + std::to_string(::getpid()) + ".3mf");
  std::ofstream(path, std::ios::binary) << threemf_bytes(meshes());
  NMR::PLib3MFModel* model = nullptr;
  NMR::PLib3MFModelReader* reader = nullptr;
  ASSERT_EQ(NMR::lib3mf_createmodel(&model), 0);
  ASSERT_EQ(NMR::lib3mf_model_queryreader(model, "3mf", &reader), 0);
  ASSERT_EQ(NMR::lib3mf_reader_readfromfileutf8(reader, path.c_str()), 0);
  DWORD warnings = 1;
  NMR::lib3mf_reader_getwarningcount(reader, &warnings);
  EXPECT_EQ(warnings, 0u);
  DWORD unit = 0;
  NMR::lib3mf_model_getunit(model, &unit);
  EXPECT_EQ(unit, DWORD(NMR::MODELUNIT_MILLIMETER));

  NMR::PLib3MFModelResourceIterator* it = nullptr;
  ASSERT_EQ(NMR::lib3mf_model_getmeshobjects(model, &it), 0);
  std::size_t found = 0;
  for (BOOL more = 0; NMR::lib3mf_resourceiterator_movenext(it, &more) == 0 && more;) {
    NMR::PLib3MFModelResource* object = nullptr;
    ASSERT_EQ(NMR::lib3mf_resourceiterator_getcurrent(it, &object), 0);
    char name[200] = {};
    ULONG needed = 0;
    NMR::lib3mf_object_getnameutf8(object, name, sizeof name, &needed);
    ASSERT_LT(found, meshes().size());
    const NamedMesh& m = meshes()[found++];
    EXPECT_EQ(name, m.name);
    DWORD vertices = 0, triangles = 0;
    NMR::lib3mf_meshobject_getvertexcount(object, &vertices);
    NMR::lib3mf_meshobject_gettrianglecount(object, &triangles);
    EXPECT_EQ(vertices, m.mesh.vertices.size());
    EXPECT_EQ(triangles, m.mesh.triangles.size());
    BOOL oriented = 0;
    NMR::lib3mf_meshobject_ismanifoldandoriented(object, &oriented);
    EXPECT_TRUE(oriented) << m.name;
    NMR::lib3mf_release(object);
  }
  EXPECT_EQ(found, meshes().size());
  NMR::lib3mf_release(it);
  NMR::lib3mf_release(reader);
  NMR::lib3mf_release(model);
  std::filesystem::remove(path);
}

}  // namespace
}  // namespace peepwright
