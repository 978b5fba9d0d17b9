// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/kernel.hpp"

#include <fmt/format.h>

#include <BRepBndLib.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_PrinterOStream.hxx>
#include <TopExp_Explorer.hxx>
#include <mutex>

namespace peepwright::solid::kernel {

void hush() {
  static std::once_flag once;
  std::call_once(once, [] { Message::DefaultMessenger()->RemovePrinters(STANDARD_TYPE(Message_PrinterOStream)); });
}

void fail(std::string_view tried, std::string_view kernel_text) {
  throw Error(ErrorCode::internal,
              fmt::format("{} failed. This is a fault of ours, or the sizes are impossible. [{}]", tried, kernel_text));
}

Box quick_box(const TopoDS_Shape& shape) {
  Bnd_Box box;
  BRepBndLib::Add(shape, box, false);
  Box b;
  box.Get(b.low.x, b.low.y, b.low.z, b.high.x, b.high.y, b.high.z);
  return b;
}

double volume(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties);
  return properties.Mass();
}

double exact_volume(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  constexpr double relative_error = 1e-8;
  BRepGProp::VolumeProperties(shape, properties, relative_error, true, false);
  return properties.Mass();
}

std::string unsound(const TopoDS_Shape& shape) {
  if (shape.IsNull()) return "no shape came out";
  std::size_t solids = 0;
  for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) ++solids;
  if (solids != 1) return fmt::format("{} solids instead of one", solids);
  for (TopExp_Explorer it(shape, TopAbs_SHELL); it.More(); it.Next())
    if (!BRep_Tool::IsClosed(it.Current())) return "the shell is open";
  if (!BRepCheck_Analyzer(shape).IsValid()) return "the shape is not valid";
  return {};
}

Shape wrap(const TopoDS_Shape& shape, std::string_view tried, std::shared_ptr<const TriangleMesh> mesh) {
  if (const std::string trouble = unsound(shape); !trouble.empty()) fail(tried, trouble);
  const double v = volume(shape);
  if (!(v > 0)) fail(tried, fmt::format("its volume is {} mm³", v));
  return Shape(std::make_shared<const Shape::Kernel>(Shape::Kernel{shape, std::move(mesh), v}));
}

}  // namespace peepwright::solid::kernel
