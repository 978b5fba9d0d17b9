// SPDX-License-Identifier: GPL-3.0-or-later
// 3MF core specification 1.2: a package of one model part, relations and content types.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/xml_text.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/mesh/zip.hpp"

namespace peepwright {
namespace {

constexpr std::string_view content_types =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">"
    "<Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>"
    "<Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/></Types>\n";
constexpr std::string_view relations =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">"
    "<Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" "
    "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>"
    "</Relationships>\n";
constexpr const char* model_name = "3D/3dmodel.model";

/// 3MF's display colours are sRGB (IEC 61966-2-1), eight bits each, alpha last.
std::string display_colour(const solid::Colour& c) {
  const auto byte = [](double v) {
    const double linear = std::clamp(v, 0.0, 1.0);
    const double curved = linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
    return int(std::lround(255 * curved));
  };
  return fmt::format("#{:02X}{:02X}{:02X}FF", byte(c.red), byte(c.green), byte(c.blue));
}

[[noreturn]] void differs(const std::string& what) {
  throw Error(ErrorCode::internal, "The 3MF was read again and is not what was written: " + what + ".");
}

/// Walks the model text that this file writes: the next value of an attribute, in order.
class Walker {
 public:
  explicit Walker(std::string_view text) : text_(text) {}
  void to(std::string_view mark) {
    place_ = text_.find(mark, place_);
    if (place_ == std::string_view::npos) differs(fmt::format("{} is missing", mark));
    place_ += mark.size();
  }
  std::string_view attribute(std::string_view name) {
    to(fmt::format(" {}=\"", name));
    const std::size_t end = text_.find('"', place_);
    return text_.substr(place_, end - place_);
  }
  template <class Number>
  Number number(std::string_view name) {
    const std::string_view value = attribute(name);
    Number n{};
    const auto result = std::from_chars(value.data(), value.data() + value.size(), n);
    if (result.ec != std::errc{} || result.ptr != value.data() + value.size())
      differs(fmt::format("{} is no number", value));
    return n;
  }

 private:
  std::string_view text_;
  std::size_t place_ = 0;
};

}  // namespace

std::string threemf_bytes(const std::vector<NamedMesh>& meshes) {
  fmt::memory_buffer out;
  const auto to = std::back_inserter(out);
  fmt::format_to(
      to,
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" "
      "xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n<resources>\n<basematerials id=\"1\">\n");
  for (const NamedMesh& m : meshes)
    fmt::format_to(to, "<base name=\"{}\" displaycolor=\"{}\"/>\n", xml_text(m.name), display_colour(m.colour));
  fmt::format_to(to, "</basematerials>\n");
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    const NamedMesh& m = meshes[i];
    fmt::format_to(to, "<object id=\"{}\" type=\"model\" name=\"{}\" pid=\"1\" pindex=\"{}\">\n<mesh>\n<vertices>\n",
                   i + 2, xml_text(m.name), i);
    // Nanometres: far below any surface, and the same digits everywhere.
    for (const Point3& p : m.mesh.vertices)
      fmt::format_to(to, "<vertex x=\"{:.6f}\" y=\"{:.6f}\" z=\"{:.6f}\"/>\n", p.x, p.y, p.z);
    fmt::format_to(to, "</vertices>\n<triangles>\n");
    for (const auto& t : m.mesh.triangles)
      fmt::format_to(to, "<triangle v1=\"{}\" v2=\"{}\" v3=\"{}\"/>\n", t[0], t[1], t[2]);
    fmt::format_to(to, "</triangles>\n</mesh>\n</object>\n");
  }
  fmt::format_to(to, "</resources>\n<build>\n");
  for (std::size_t i = 0; i < meshes.size(); ++i) fmt::format_to(to, "<item objectid=\"{}\"/>\n", i + 2);
  fmt::format_to(to, "</build>\n</model>\n");
  return zip::pack({{"[Content_Types].xml", std::string(content_types)},
                    {"_rels/.rels", std::string(relations)},
                    {model_name, fmt::to_string(out)}});
}

void check_threemf(const std::string& text, const std::vector<NamedMesh>& meshes) {
  const std::vector<zip::Entry> entries = zip::unpack(text);
  if (entries.size() != 3 || entries[2].first != model_name) differs("its package");
  const std::string& model = entries[2].second;
  std::size_t objects = 0;
  for (std::size_t at = model.find("<object "); at != std::string::npos; at = model.find("<object ", at + 1)) ++objects;
  if (objects != meshes.size()) differs("the number of objects");
  Walker in(model);
  if (in.attribute("unit") != "millimeter") differs("the unit");
  for (const NamedMesh& m : meshes) {
    in.to("<base");
    if (in.attribute("name") != xml_text(m.name)) differs(fmt::format("the material of \"{}\"", m.name));
    if (in.attribute("displaycolor") != display_colour(m.colour)) differs(fmt::format("the colour of \"{}\"", m.name));
  }
  for (const NamedMesh& m : meshes) {
    in.to("<object");
    if (in.attribute("name") != xml_text(m.name)) differs(fmt::format("the name of \"{}\"", m.name));
    for (const Point3& p : m.mesh.vertices) {
      in.to("<vertex");
      for (const auto& [axis, value] : {std::pair{"x", p.x}, {"y", p.y}, {"z", p.z}})
        if (std::abs(in.number<double>(axis) - value) > 1e-6) differs(fmt::format("a vertex of \"{}\"", m.name));
    }
    for (const auto& t : m.mesh.triangles) {
      in.to("<triangle");
      for (std::size_t k = 0; k < 3; ++k) {
        constexpr const char* corners[] = {"v1", "v2", "v3"};
        if (in.number<std::uint32_t>(corners[k]) != t[k]) differs(fmt::format("a triangle of \"{}\"", m.name));
      }
    }
    in.to("</object>");
  }
}

}  // namespace peepwright
