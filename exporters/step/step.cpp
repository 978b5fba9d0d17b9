// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/step/step.hpp"

#include <fmt/format.h>

#include <APIHeaderSection_MakeHeader.hxx>
#include <Interface_HArray1OfHAsciiString.hxx>
#include <Interface_Static.hxx>
#include <OSD_Process.hxx>
#include <Quantity_Color.hxx>
#include <Quantity_Date.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <STEPConstruct.hxx>
#include <STEPConstruct_Styles.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <StepRepr_RepresentationContext.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <StepVisual_Colour.hxx>
#include <StepVisual_MechanicalDesignGeometricPresentationRepresentation.hxx>
#include <StepVisual_PresentationStyleAssignment.hxx>
#include <StepVisual_StyledItem.hxx>
#include <TCollection_ExtendedString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_Label.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <Transfer_FinderProcess.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_TransferWriter.hxx>
#include <XSControl_WorkSession.hxx>
#include <mutex>
#include <set>
#include <sstream>

#include "engine/quantity/error.hpp"
#include "engine/solid/kernel.hpp"
#include "exporters/step/part21_text.hpp"
#include "exporters/step/step_session.hpp"

namespace peepwright {
namespace {

using opencascade::handle;
using solid::Part;
namespace kernel = solid::kernel;

/// Puts one of the kernel's settings, which are the process's, back to what it was; also after a throw.
class KeptSetting {
 public:
  explicit KeptSetting(const char* name) : name_(name), before_(Interface_Static::IVal(name)) {}
  ~KeptSetting() { Interface_Static::SetIVal(name_, before_); }
  KeptSetting(const KeptSetting&) = delete;
  KeptSetting& operator=(const KeptSetting&) = delete;

 private:
  const char* name_;
  int before_;
};

handle<TCollection_HAsciiString> text(const std::string& s) { return new TCollection_HAsciiString(s.c_str()); }

handle<Interface_HArray1OfHAsciiString> one_text(const std::string& s) {
  handle<Interface_HArray1OfHAsciiString> array = new Interface_HArray1OfHAsciiString(1, 1);
  array->SetValue(1, text(s));
  return array;
}

void refuse_unfit(const std::vector<Part>& parts) {
  if (parts.empty()) throw Error(ErrorCode::internal, "There are no parts to write as STEP.");
  std::set<std::string> names;
  for (const Part& part : parts) {
    if (part.name.empty()) throw Error(ErrorCode::internal, "A part without a name cannot be written as STEP.");
    for (const char c : part.name)
      if (c < ' ' || c > '~' || c == '\'' || c == '\\')
        throw Error(
            ErrorCode::internal,
            fmt::format("The part name \"{}\" holds a letter that STEP would not keep; plain ASCII only.", part.name));
    if (!names.insert(part.name).second)
      throw Error(ErrorCode::internal, fmt::format("Two parts are called \"{}\".", part.name));
    if (part.shape.kernel().volume_mm3 > 0) continue;  // checked when it was made, and shapes never change
    const std::string trouble = kernel::guarded("Checking a part before the export",
                                                [&] { return kernel::unsound(part.shape.kernel().shape); });
    if (!trouble.empty())
      throw Error(ErrorCode::internal, fmt::format("The part \"{}\" was not written: {}.", part.name, trouble));
  }
}

/// The one solid of a part, where it stands.
TopoDS_Shape solid_of(const TopoDS_Shape& shape) {
  TopoDS_Shape solid;
  for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) solid = it.Current();
  return solid;
}

handle<TDocStd_Document> document_of(const std::vector<Part>& parts, const std::string& name,
                                     std::vector<TopoDS_Shape>& solids) {
  handle<TDocStd_Document> document = new TDocStd_Document("XmlXCAF");
  const handle<XCAFDoc_ShapeTool> shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  const auto set_name = [](const TDF_Label& label, const std::string& s) {
    TDataStd_Name::Set(label, TCollection_ExtendedString(s.c_str(), true));
  };
  const TDF_Label assembly = shapes->NewShape();
  for (const Part& part : parts) {
    // A part that was moved keeps its own frame (the head's: its landmarks) and is placed by the assembly.
    const TopoDS_Shape solid = solid_of(part.shape.kernel().shape);
    solids.push_back(solid.Located(TopLoc_Location()));
    const TDF_Label label = shapes->AddShape(solids.back(), false);
    set_name(label, part.name);
    set_name(shapes->AddComponent(assembly, label, solid.Location()), part.name);
    for (const auto& [index, face_name] : part.face_names) {
      std::size_t k = 0;
      for (TopExp_Explorer it(solids.back(), TopAbs_FACE); it.More(); it.Next(), ++k)
        if (k == index) set_name(shapes->AddSubShape(label, it.Current()), face_name);
    }
  }
  set_name(assembly, name);
  shapes->UpdateAssemblies();
  return document;
}

void name_solids(const handle<Transfer_FinderProcess>& finder, const std::vector<Part>& parts,
                 const std::vector<TopoDS_Shape>& solids) {
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto item = handle<StepShape_ManifoldSolidBrep>::DownCast(STEPConstruct::FindEntity(finder, solids[i]));
    if (item.IsNull())
      kernel::fail(fmt::format("Writing the part \"{}\" as STEP", parts[i].name), "its solid was not transferred");
    item->SetName(text(parts[i].name));
  }
}

/// One colour for each solid, in the order of the parts. The kernel's own colour writer goes by addresses in memory,
/// so that no two runs would give the same bytes.
void colour_solids(const handle<XSControl_WorkSession>& session, const std::vector<Part>& parts,
                   const std::vector<TopoDS_Shape>& solids) {
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const solid::Colour& c = parts[i].colour;
    STEPConstruct_Styles styles(session);
    const handle<StepVisual_Colour> colour =
        STEPConstruct_Styles::EncodeColor(Quantity_Color(c.red, c.green, c.blue, Quantity_TOC_RGB));
    const auto item = STEPConstruct::FindEntity(session->TransferWriter()->FinderProcess(), solids[i]);
    styles.AddStyle(item, styles.MakeColorPSA(item, colour, nullptr, nullptr, 0.0), nullptr);
    handle<StepVisual_MechanicalDesignGeometricPresentationRepresentation> presentation;
    if (!styles.CreateMDGPR(styles.FindContext(solids[i]), presentation))
      kernel::fail(fmt::format("Writing the part \"{}\" as STEP", parts[i].name), "its colour was not accepted");
    session->Model()->AddWithRefs(presentation, session->Protocol());
  }
}

/// Ids that the kernel counts up over the life of the process, counted from 1 in each file.
void renumber(const handle<StepData_StepModel>& model) {
  int next = 1;
  for (int i = 1; i <= model->NbEntities(); ++i)
    if (const auto usage = handle<StepRepr_NextAssemblyUsageOccurrence>::DownCast(model->Value(i)); !usage.IsNull()) {
      usage->SetId(text(fmt::format("{}", next)));
      ++next;
    }
}

void set_header(const handle<StepData_StepModel>& model, const StepOptions& options) {
  APIHeaderSection_MakeHeader header(model);
  header.SetName(text(options.assembly_name));
  header.SetTimeStamp(text(options.time_stamp));
  header.SetAuthor(one_text(""));
  header.SetOrganization(one_text(""));
  header.SetOriginatingSystem(text("peepwright"));
  header.SetPreprocessorVersion(text("peepwright"));
  header.SetAuthorisation(text(""));
  header.SetDescription(one_text(options.description.c_str()));
  header.SetImplementationLevel(text("2;1"));
  // The kernel's own line ends in a stray brace. ISO 10303-242 edition 1.
  header.SetSchemaIdentifiers(one_text("AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }"));
  header.Apply(model);
}

}  // namespace

}  // namespace peepwright

/// In the place of the kernel's own, which asks the machine's clock for a header that is overwritten, and fails when
/// that stands before 1979. The linker lets the program's function go before the library's; step.hpp says so to others.
Quantity_Date OSD_Process::SystemDate() { return {}; }

namespace peepwright {

std::mutex& step_lock() {
  static std::mutex lock;
  return lock;
}

std::string step_text(const std::vector<Part>& parts, const StepOptions& options) {
  refuse_unfit(parts);
  const std::lock_guard lock(step_lock());
  return kernel::guarded("Writing STEP", [&] {
    STEPCAFControl_Controller::Init();  // defines the settings below; before it they would be dropped
    constexpr const char *schema = "write.step.schema", *face_names = "write.stepcaf.subshapes.name",
                         *curves_on_faces = "write.surfacecurve.mode";
    const KeptSetting kept[] = {KeptSetting(schema), KeptSetting(face_names), KeptSetting(curves_on_faces)};
    Interface_Static::SetCVal(schema, "AP242DIS");
    Interface_Static::SetIVal(face_names, 1);
    Interface_Static::SetIVal(curves_on_faces, 0);

    std::vector<TopoDS_Shape> solids;
    const handle<TDocStd_Document> document = document_of(parts, options.assembly_name, solids);
    STEPCAFControl_Writer writer;
    writer.SetColorMode(false);
    if (!writer.Transfer(document, STEPControl_AsIs)) kernel::fail("Writing STEP", "the transfer was refused");
    const handle<XSControl_WorkSession> session = writer.Writer().WS();
    name_solids(session->TransferWriter()->FinderProcess(), parts, solids);
    colour_solids(session, parts, solids);
    const handle<StepData_StepModel> model = handle<StepData_StepModel>::DownCast(session->Model());
    renumber(model);
    set_header(model, options);

    StepData_StepWriter out(model);
    out.SendModel(handle<StepData_Protocol>::DownCast(session->Protocol()));
    std::ostringstream stream;
    stream.imbue(std::locale::classic());
    out.Print(stream);
    if (!stream) kernel::fail("Writing STEP", "the text could not be collected");
    return part21_text(std::move(stream).str());
  });
}

}  // namespace peepwright
