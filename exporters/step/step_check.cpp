// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <BRepAdaptor_Surface.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Geom2d_Line.hxx>
#include <Geom_BSplineSurface.hxx>
#include <IFSelect_ReturnStatus.hxx>
#include <Interface_InterfaceModel.hxx>
#include <Interface_Static.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <ShapeBuild_ReShape.hxx>
#include <ShapeFix_Face.hxx>
#include <ShapeFix_Wire.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <TCollection_AsciiString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_Label.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSAlgo.hxx>
#include <XSAlgo_AlgoContainer.hxx>
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

/// Gives the edges of a spline skin that closes on itself their places in its parameters, where they are its own end
/// lines and seam. Projection would find the same lines in thirty milliseconds.
void add_end_lines(const TopoDS_Face& face) {
  TopLoc_Location place;
  const auto surface = handle<Geom_BSplineSurface>::DownCast(BRep_Tool::Surface(face, place));
  if (surface.IsNull()) return;
  double u0 = 0, u1 = 0, v0 = 0, v1 = 0;
  surface->Bounds(u0, u1, v0, v1);
  for (TopExp_Explorer it(face.Oriented(TopAbs_FORWARD), TopAbs_EDGE); it.More(); it.Next()) {
    const TopoDS_Edge& edge = TopoDS::Edge(it.Current());
    double first = 0, last = 0;
    if (!BRep_Tool::CurveOnSurface(edge, face, first, last).IsNull()) continue;
    const handle<Geom_Curve> curve = BRep_Tool::Curve(edge, first, last);
    if (curve.IsNull()) continue;
    const double tolerance = BRep_Tool::Tolerance(edge);
    // Twice a knot span, so that a line that leaves the surface between knots is seen.
    const int samples = 2 * std::max(surface->NbUKnots(), surface->NbVKnots());
    const auto runs = [&](auto&& on_surface) {
      for (int i = 0; i <= samples; ++i) {
        const double t = first + (last - first) * i / samples;
        if (!(curve->Value(t).Distance(surface->Value(on_surface(t).X(), on_surface(t).Y())) < tolerance)) return false;
      }
      return true;
    };
    const gp_Dir2d with_u(1, 0), with_v(0, 1);
    for (const double v : {v0, v1})
      if (runs([&](double t) { return gp_Pnt2d(t, v); }))
        BRep_Builder().UpdateEdge(edge, new Geom2d_Line(gp_Pnt2d(0, v), with_u), face, tolerance);
    // Upwards the seam is the far side of the parameters, seen from inside; downwards the near one.
    if (runs([&](double t) { return gp_Pnt2d(u0, t); }) && runs([&](double t) { return gp_Pnt2d(u1, t); }))
      BRep_Builder().UpdateEdge(edge, new Geom2d_Line(gp_Pnt2d(u1, 0), with_v),
                                new Geom2d_Line(gp_Pnt2d(u0, 0), with_v), face, tolerance);
  }
}

/// Adds to what was read what the format leaves out and the kernel needs: where edges run in the parameters of curved
/// faces, and the poles of balls. The kernel's own repairs do much more, in four times the time, and would hide faults.
class NoRepairs : public XSAlgo_AlgoContainer {
 public:
  TopoDS_Shape ProcessShape(const TopoDS_Shape& shape, double precision, double most, const char* resources,
                            const char* sequence, handle<Standard_Transient>& info,
                            const Message_ProgressRange& progress, bool non_manifold) const override {
    if (!std::string_view(sequence).starts_with("read."))
      return XSAlgo_AlgoContainer::ProcessShape(shape, precision, most, resources, sequence, info, progress,
                                                non_manifold);
    const handle<ShapeBuild_ReShape> changed = new ShapeBuild_ReShape;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
      const TopoDS_Face& face = TopoDS::Face(it.Current());
      if (BRepAdaptor_Surface(face, false).GetType() == GeomAbs_Plane) continue;
      add_end_lines(face);
      ShapeFix_Face fix(face);
      fix.SetPrecision(precision);
      fix.SetMaxTolerance(most);
      fix.SetContext(changed);
      fix.FixWireMode() = 1;
      fix.FixSmallAreaWireMode() = 0;
      fix.FixIntersectingWiresMode() = 0;
      fix.FixWireTool()->FixSelfIntersectionMode() = 0;
      fix.FixWireTool()->FixNotchedEdgesMode() = 0;
      fix.Perform();
    }
    return changed->Apply(shape);
  }
};

/// Puts an algorithm container in the place of the process's own, which comes back at the end, also after a throw.
class OwnContainer {
 public:
  explicit OwnContainer(const handle<XSAlgo_AlgoContainer>& ours) : before_(XSAlgo::AlgoContainer()) {
    XSAlgo::SetAlgoContainer(ours);
  }
  ~OwnContainer() { XSAlgo::SetAlgoContainer(before_); }
  OwnContainer(const OwnContainer&) = delete;
  OwnContainer& operator=(const OwnContainer&) = delete;

 private:
  handle<XSAlgo_AlgoContainer> before_;
};

/// What a STEP file of ours holds, as the kernel's reader sees it.
struct ReadPart {
  std::string name;        ///< of the product
  std::string solid_name;  ///< of the solid in it
  solid::Colour colour;
  bool has_colour = false;
  double volume_mm3 = 0;
  solid::Box bounds;
  TopoDS_Shape solid;
};

std::vector<ReadPart> read_parts(const std::string& text) {
  const std::lock_guard lock(step_lock());
  return kernel::guarded("Reading STEP again", [&] {
    STEPCAFControl_Controller::Init();
    // What the file says, as it says it: the reader's own repairs would hide a fault.
    const OwnContainer no_repairs(new NoRepairs);
    STEPCAFControl_Reader reader;
    reader.SetColorMode(true);
    reader.SetNameMode(true);
    std::istringstream in(text);
    in.imbue(std::locale::classic());
    if (reader.ChangeReader().ReadStream("own.step", in) != IFSelect_RetDone)
      kernel::fail("Reading STEP again", "the syntax was refused");
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
    if (roots.Length() != 1)
      kernel::fail("Reading STEP again", fmt::format("{} assemblies instead of one", roots.Length()));
    TDF_LabelSequence components;
    XCAFDoc_ShapeTool::GetComponents(roots.Value(1), components, false);
    for (int i = 1; i <= components.Length(); ++i) {
      TDF_Label product;
      XCAFDoc_ShapeTool::GetReferredShape(components.Value(i), product);
      const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(product);
      for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
        ReadPart part;
        part.solid = it.Current();  // in its product's own frame
        part.name = name_on(product);
        Quantity_Color colour;
        part.has_colour = colours->GetColor(product, XCAFDoc_ColorSurf, colour) ||
                          colours->GetColor(it.Current(), XCAFDoc_ColorSurf, colour) ||
                          colours->GetColor(product, XCAFDoc_ColorGen, colour);
        if (part.has_colour) part.colour = {colour.Red(), colour.Green(), colour.Blue()};
        for (const auto& [solid, its_name] : named_solids)
          if (solid.IsPartner(it.Current())) part.solid_name = its_name;
        if (const std::string trouble = kernel::unsound(it.Current()); !trouble.empty())
          kernel::fail(fmt::format("Reading the part \"{}\" again", part.name), trouble);
        part.volume_mm3 = kernel::volume(it.Current());
        part.bounds = kernel::quick_box(it.Current().Moved(XCAFDoc_ShapeTool::GetLocation(components.Value(i))));
        found.push_back(std::move(part));
      }
    }
    return found;
  });
}

}  // namespace

void check_step(const std::string& text, const std::vector<solid::Part>& parts) {
  const std::vector<ReadPart> found = read_parts(text);
  if (found.size() != parts.size()) differs(fmt::format("{} solids instead of {}", found.size(), parts.size()));
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const solid::Part& part = parts[i];
    const ReadPart& again = found[i];
    if (again.name != part.name) differs(fmt::format("the product \"{}\" is called \"{}\"", part.name, again.name));
    if (again.solid_name != part.name)
      differs(fmt::format("the solid of \"{}\" is called \"{}\"", part.name, again.solid_name));
    constexpr double volume_tolerance = 1e-6;
    if (const double quick = part.shape.volume_mm3(); std::abs(again.volume_mm3 - quick) > volume_tolerance * quick) {
      const double before = kernel::exact_volume(part.shape.kernel().shape), after = kernel::exact_volume(again.solid);
      if (std::abs(after - before) > volume_tolerance * before)
        differs(fmt::format("\"{}\" has {:.9g} mm³ instead of {:.9g} mm³", part.name, after, before));
    }
    const solid::Box a = kernel::quick_box(part.shape.kernel().shape), b = again.bounds;
    const double off =
        std::max({std::abs(a.low.x - b.low.x), std::abs(a.low.y - b.low.y), std::abs(a.low.z - b.low.z),
                  std::abs(a.high.x - b.high.x), std::abs(a.high.y - b.high.y), std::abs(a.high.z - b.high.z)});
    if (!(off < 1e-3)) differs(fmt::format("the box of \"{}\" is off by {:.4g} mm", part.name, off));
    const double hue =
        std::max({std::abs(part.colour.red - again.colour.red), std::abs(part.colour.green - again.colour.green),
                  std::abs(part.colour.blue - again.colour.blue)});
    if (!again.has_colour || hue > 1e-3) differs(fmt::format("the colour of \"{}\" is lost", part.name));
  }
}

}  // namespace peepwright
