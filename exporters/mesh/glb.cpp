// SPDX-License-Identifier: GPL-3.0-or-later
// glTF 2.0 binary (Khronos, The glTF 2.0 specification, section 4).
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/quantity/error.hpp"
#include "exporters/mesh/bytes.hpp"
#include "exporters/mesh/mesh_export.hpp"

namespace peepwright {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::uint32_t magic = 0x46546C67, json_chunk = 0x4E4F534A, binary_chunk = 0x004E4942;
constexpr int float_type = 5126, index_type = 5125, vertex_target = 34962, index_target = 34963;

Json bound(const solid::TriangleMesh& mesh, bool high) {
  const solid::Box box = mesh.bounds();
  const Point3& p = high ? box.high : box.low;
  return Json::array({static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)});
}

[[noreturn]] void differs(const std::string& what) {
  throw Error(ErrorCode::internal, "The GLB was read again and is not what was written: " + what + ".");
}

}  // namespace

std::string glb_bytes(const std::vector<NamedMesh>& meshes) {
  Json json;
  json["asset"] = {{"version", "2.0"}, {"generator", "peepwright"}};
  json["scene"] = 0;
  json["scenes"] = Json::array({{{"nodes", Json::array({0})}}});
  // Quarter turn about x: our z up becomes y up; millimetres become metres.
  const double half = 0.70710678118654752;
  Json root{{"name", "assembly"},
            {"rotation", {-half, 0.0, 0.0, half}},
            {"scale", {0.001, 0.001, 0.001}},
            {"children", Json::array()}};
  Json nodes = Json::array(), mesh_list = Json::array(), materials = Json::array(), accessors = Json::array(),
       views = Json::array();
  std::string data;
  const auto add_view = [&](std::size_t from, int target) {
    views.push_back({{"buffer", 0}, {"byteOffset", from}, {"byteLength", data.size() - from}, {"target", target}});
    return views.size() - 1;
  };
  const auto add_points = [&](const std::vector<Point3>& points) {
    const std::size_t from = data.size();
    for (const Point3& p : points)
      for (const double x : {p.x, p.y, p.z}) bytes::put_float(data, x);
    return add_view(from, vertex_target);
  };
  for (const NamedMesh& m : meshes) {
    const std::size_t index = mesh_list.size();
    root["children"].push_back(index + 1);
    nodes.push_back({{"name", m.name}, {"mesh", index}});
    materials.push_back({{"name", m.name},
                         {"pbrMetallicRoughness",
                          {{"baseColorFactor", {m.colour.red, m.colour.green, m.colour.blue, 1.0}},
                           {"metallicFactor", 0.0},
                           {"roughnessFactor", 0.7}}}});
    Json attributes;
    accessors.push_back({{"bufferView", add_points(m.mesh.vertices)},
                         {"componentType", float_type},
                         {"count", m.mesh.vertices.size()},
                         {"type", "VEC3"},
                         {"min", bound(m.mesh, false)},
                         {"max", bound(m.mesh, true)}});
    attributes["POSITION"] = accessors.size() - 1;
    if (!m.mesh.normals.empty()) {
      accessors.push_back({{"bufferView", add_points(m.mesh.normals)},
                           {"componentType", float_type},
                           {"count", m.mesh.normals.size()},
                           {"type", "VEC3"}});
      attributes["NORMAL"] = accessors.size() - 1;
    }
    const std::size_t from = data.size();
    for (const auto& t : m.mesh.triangles)
      for (const std::uint32_t k : t) bytes::put32(data, k);
    accessors.push_back({{"bufferView", add_view(from, index_target)},
                         {"componentType", index_type},
                         {"count", 3 * m.mesh.triangles.size()},
                         {"type", "SCALAR"}});
    mesh_list.push_back(
        {{"name", m.name},
         {"primitives",
          Json::array({{{"attributes", attributes}, {"indices", accessors.size() - 1}, {"material", index}}})}});
  }
  json["nodes"] = Json::array({root});
  for (const Json& node : nodes) json["nodes"].push_back(node);
  json["meshes"] = mesh_list, json["materials"] = materials, json["accessors"] = accessors, json["bufferViews"] = views;
  json["buffers"] = Json::array({{{"byteLength", data.size()}}});

  std::string text = json.dump();
  text.resize((text.size() + 3) / 4 * 4, ' ');
  std::string out;
  bytes::put32(out, magic), bytes::put32(out, 2),
      bytes::put32(out, std::uint32_t(12 + 8 + text.size() + 8 + data.size()));
  bytes::put32(out, std::uint32_t(text.size())), bytes::put32(out, json_chunk);
  out += text;
  bytes::put32(out, std::uint32_t(data.size())), bytes::put32(out, binary_chunk);
  return out + data;
}

void check_glb(const std::string& text, const std::vector<NamedMesh>& meshes) {
  bytes::Reader in(text);
  if (in.get32() != magic || in.get32() != 2 || in.get32() != text.size()) differs("its first twelve bytes");
  const std::uint32_t json_size = in.get32();
  if (in.get32() != json_chunk) differs("its first chunk");
  const Json json = Json::parse(in.get(json_size));
  const std::uint32_t data_size = in.get32();
  if (in.get32() != binary_chunk) differs("its second chunk");
  const std::string_view data = in.get(data_size);
  if (json.at("meshes").size() != meshes.size()) differs("the number of parts");
  const auto view_of = [&](const Json& accessor) {
    const Json& view = json.at("bufferViews").at(accessor.at("bufferView").get<std::size_t>());
    return bytes::Reader(data, view.at("byteOffset").get<std::size_t>());
  };
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const NamedMesh& m = meshes[i];
    const Json &mesh = json.at("meshes").at(i), &primitive = mesh.at("primitives").at(0);
    if (mesh.at("name") != m.name || json.at("nodes").at(i + 1).at("name") != m.name)
      differs(fmt::format("the name of \"{}\"", m.name));
    const Json& colour = json.at("materials")
                             .at(primitive.at("material").get<std::size_t>())
                             .at("pbrMetallicRoughness")
                             .at("baseColorFactor");
    if (colour.at(0) != m.colour.red || colour.at(1) != m.colour.green || colour.at(2) != m.colour.blue)
      differs(fmt::format("the colour of \"{}\"", m.name));
    const Json &positions = json.at("accessors").at(primitive.at("attributes").at("POSITION").get<std::size_t>()),
               &indices = json.at("accessors").at(primitive.at("indices").get<std::size_t>());
    if (positions.at("count") != m.mesh.vertices.size() || indices.at("count") != 3 * m.mesh.triangles.size())
      differs(fmt::format("the size of \"{}\"", m.name));
    bytes::Reader points = view_of(positions), corners = view_of(indices);
    for (const Point3& p : m.mesh.vertices)
      for (const double x : {p.x, p.y, p.z})
        if (points.get_float() != static_cast<float>(x)) differs(fmt::format("a vertex of \"{}\"", m.name));
    for (const auto& t : m.mesh.triangles)
      for (const std::uint32_t k : t)
        if (corners.get32() != k) differs(fmt::format("a triangle of \"{}\"", m.name));
  }
}

}  // namespace peepwright
