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

/// Gathers the parts' binary data and the tables that lead to them.
class Writer {
 public:
  void add(const NamedMesh& m) {
    const std::size_t index = meshes_.size();
    children_.push_back(index + 1);  // the root is node 0
    nodes_.push_back({{"name", m.name}, {"mesh", index}});
    materials_.push_back({{"name", m.name},
                          {"pbrMetallicRoughness",
                           {{"baseColorFactor", {m.colour.red, m.colour.green, m.colour.blue, 1.0}},
                            {"metallicFactor", 0.0},
                            {"roughnessFactor", 0.7}}}});
    Json attributes;
    Json positions = accessor(points(m.mesh.vertices), float_type, m.mesh.vertices.size(), "VEC3");
    positions["min"] = bound(m.mesh, false), positions["max"] = bound(m.mesh, true);
    attributes["POSITION"] = add_accessor(std::move(positions));
    if (!m.mesh.normals.empty())
      attributes["NORMAL"] = add_accessor(accessor(points(m.mesh.normals), float_type, m.mesh.normals.size(), "VEC3"));
    const std::size_t indices =
        add_accessor(accessor(corners(m.mesh), index_type, 3 * m.mesh.triangles.size(), "SCALAR"));
    meshes_.push_back(
        {{"name", m.name},
         {"primitives", Json::array({{{"attributes", attributes}, {"indices", indices}, {"material", index}}})}});
  }

  [[nodiscard]] std::string bytes() const {
    std::string text = tables().dump();
    text.resize((text.size() + 3) / 4 * 4, ' ');
    std::string out;
    const auto put = [&](std::size_t number) { bytes::put32(out, std::uint32_t(number)); };
    put(magic), put(2), put(12 + 8 + text.size() + 8 + data_.size());
    put(text.size()), put(json_chunk);
    out += text;
    put(data_.size()), put(binary_chunk);
    return out + data_;
  }

 private:
  [[nodiscard]] Json tables() const {
    Json json;
    json["asset"] = {{"version", "2.0"}, {"generator", "peepwright"}};
    json["scene"] = 0;
    json["scenes"] = Json::array({{{"nodes", Json::array({0})}}});
    // Quarter turn about x: our z up becomes y up; millimetres become metres.
    const double half = 0.70710678118654752;
    json["nodes"] = Json::array({{{"name", "assembly"},
                                  {"rotation", {-half, 0.0, 0.0, half}},
                                  {"scale", {0.001, 0.001, 0.001}},
                                  {"children", children_}}});
    for (const Json& node : nodes_) json["nodes"].push_back(node);
    json["meshes"] = meshes_, json["materials"] = materials_, json["accessors"] = accessors_;
    json["bufferViews"] = views_;
    json["buffers"] = Json::array({{{"byteLength", data_.size()}}});
    return json;
  }

  /// What was appended to the data since `from`, as a view; its number.
  std::size_t add_view(std::size_t from, int target) {
    views_.push_back({{"buffer", 0}, {"byteOffset", from}, {"byteLength", data_.size() - from}, {"target", target}});
    return views_.size() - 1;
  }
  std::size_t points(const std::vector<Point3>& all) {
    const std::size_t from = data_.size();
    for (const Point3& p : all)
      for (const double x : {p.x, p.y, p.z}) bytes::put_float(data_, x);
    return add_view(from, vertex_target);
  }
  std::size_t corners(const solid::TriangleMesh& mesh) {
    const std::size_t from = data_.size();
    for (const auto& t : mesh.triangles)
      for (const std::uint32_t k : t) bytes::put32(data_, k);
    return add_view(from, index_target);
  }
  static Json accessor(std::size_t view, int component, std::size_t count, const char* type) {
    return {{"bufferView", view}, {"componentType", component}, {"count", count}, {"type", type}};
  }
  std::size_t add_accessor(Json accessor) {
    accessors_.push_back(std::move(accessor));
    return accessors_.size() - 1;
  }

  std::string data_;
  Json children_ = Json::array(), nodes_ = Json::array(), meshes_ = Json::array(), materials_ = Json::array(),
       accessors_ = Json::array(), views_ = Json::array();
};

}  // namespace

std::string glb_bytes(const std::vector<NamedMesh>& meshes) {
  Writer writer;
  for (const NamedMesh& m : meshes) writer.add(m);
  return writer.bytes();
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
