// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <IFSelect_ReturnStatus.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <Interface_InterfaceModel.hxx>
#include <Interface_Static.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <TCollection_AsciiString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDF_Label.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <TCollection_HAsciiString.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <algorithm>
#include <cmath>
#include <sstream>

#include "engine/quantity/error.hpp"
#include "engine/solid/kernel.hpp"
#include "exporters/step/step.hpp"
#include "exporters/step/step_session.hpp"

namespace peepwright {
namespace {

using opencascade::handle;
namespace kernel = solid::kernel;

std::string name_on(const TDF_Label& label) {
  handle<TDataStd_Name> name;
  if (!label.FindAttribute(TDataStd_Name::GetID(), name)) return {};
  return TCollection_AsciiString(name->Get()).ToCString();
}

[[noreturn]] void differs(const std::string& what) {
  throw Error(ErrorCode::internal, "The STEP text was read again and is not what was written: " + what + ".");
}

}  // namespace

namespace {

/// A part with the solid it was read as.
struct ReadPart : StepPart {
  TopoDS_Shape solid;
};

std::vector<ReadPart> read_parts(const std::string& text) {
  const std::lock_guard lock(step_lock());
  return kernel::guarded("Reading STEP again", [&] {
    STEPCAFControl_Controller::Init();
    // What the file says, as it says it: the reader's own repairs would hide a fault.
    Interface_Static::SetCVal("read.step.sequence", "none");
    STEPCAFControl_Reader reader;
    reader.SetColorMode(true);
    reader.SetNameMode(true);
    std::istringstream in(text);
    in.imbue(std::locale::classic());
    if (reader.ChangeReader().ReadStream("own.step", in) != IFSelect_RetDone) kernel::fail("Reading STEP again", "the syntax was refused");
    handle<TDocStd_Document> document = new TDocStd_Document("XmlXCAF");
    if (!reader.Transfer(document)) kernel::fail("Reading STEP again", "the transfer was refused");
    const handle<XCAFDoc_ShapeTool> shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
    const handle<XCAFDoc_ColorTool> colours = XCAFDoc_DocumentTool::ColorTool(document->Main());
    // The document keeps the product's name alone; the solid's is asked of the STEP entity that each solid came from.
    const handle<Transfer_TransientProcess> process = reader.Reader().WS()->TransferReader()->TransientProcess();
    const handle<Interface_InterfaceModel> model = reader.Reader().WS()->Model();
    std::vector<std::pair<TopoDS_Shape, std::string>> named_solids;
    for (int i = 1; i <= model->NbEntities(); ++i)
      if (const auto brep = handle<StepShape_ManifoldSolidBrep>::DownCast(model->Value(i)); !brep.IsNull())
        if (const TopoDS_Shape solid = TransferBRep::ShapeResult(process, brep); !solid.IsNull())
          named_solids.emplace_back(solid, brep->Name()->ToCString());

    std::vector<ReadPart> found;
    TDF_LabelSequence roots;
    shapes->GetFreeShapes(roots);
    if (roots.Length() != 1) kernel::fail("Reading STEP again", fmt::format("{} assemblies instead of one", roots.Length()));
    TDF_LabelSequence components;
    XCAFDoc_ShapeTool::GetComponents(roots.Value(1), components, false);
    for (int i = 1; i <= components.Length(); ++i) {
      TDF_Label product;
      XCAFDoc_ShapeTool::GetReferredShape(components.Value(i), product);
      const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(product);
      for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
        ReadPart part;
        part.solid = it.Current();
        part.name = name_on(product);
        Quantity_Color colour;
        part.has_colour = colours->GetColor(product, XCAFDoc_ColorSurf, colour) || colours->GetColor(it.Current(), XCAFDoc_ColorSurf, colour) ||
                          colours->GetColor(product, XCAFDoc_ColorGen, colour);
        if (part.has_colour) part.colour = {colour.Red(), colour.Green(), colour.Blue()};
        for (const auto& [solid, its_name] : named_solids)
          if (solid.IsPartner(it.Current())) part.solid_name = its_name;
        if (const std::string trouble = kernel::unsound(it.Current()); !trouble.empty())
          kernel::fail(fmt::format("Reading the part \"{}\" again", part.name), trouble);
        part.volume_mm3 = kernel::volume(it.Current());
        part.bounds = kernel::quick_box(it.Current());
        found.push_back(std::move(part));
      }
    }
    return found;
  });
}

}  // namespace

std::vector<StepPart> read_own_step(const std::string& text) {
  const auto parts = read_parts(text);
  return {parts.begin(), parts.end()};
}

void check_step(const std::string& text, const std::vector<solid::Part>& parts) {
  const std::vector<ReadPart> found = read_parts(text);
  if (found.size() != parts.size()) differs(fmt::format("{} solids instead of {}", found.size(), parts.size()));
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const solid::Part& part = parts[i];
    const ReadPart& again = found[i];
    if (again.name != part.name) differs(fmt::format("the product \"{}\" is called \"{}\"", part.name, again.name));
    if (again.solid_name != part.name) differs(fmt::format("the solid of \"{}\" is called \"{}\"", part.name, again.solid_name));
    constexpr double volume_tolerance = 1e-6;
    if (const double quick = part.shape.volume_mm3(); std::abs(again.volume_mm3 - quick) > volume_tolerance * quick) {
      const double before = kernel::exact_volume(part.shape.kernel().shape), after = kernel::exact_volume(again.solid);
      if (std::abs(after - before) > volume_tolerance * before)
        differs(fmt::format("\"{}\" has {:.9g} mm³ instead of {:.9g} mm³", part.name, after, before));
    }
    const solid::Box a = kernel::quick_box(part.shape.kernel().shape), b = again.bounds;
    const double off = std::max({std::abs(a.low.x - b.low.x), std::abs(a.low.y - b.low.y), std::abs(a.low.z - b.low.z),
                                 std::abs(a.high.x - b.high.x), std::abs(a.high.y - b.high.y), std::abs(a.high.z - b.high.z)});
    if (!(off < 1e-3)) differs(fmt::format("the box of \"{}\" is off by {:.4g} mm", part.name, off));
    const double hue = std::max({std::abs(part.colour.red - again.colour.red), std::abs(part.colour.green - again.colour.green),
                                 std::abs(part.colour.blue - again.colour.blue)});
    if (!again.has_colour || hue > 1e-3) differs(fmt::format("the colour of \"{}\" is lost", part.name));
  }
}

}  // namespace peepwright
