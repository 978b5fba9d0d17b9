// SPDX-License-Identifier: GPL-3.0-or-later
// What the geometry kernel really does (7.6.3), where our code leans on it or works around it. An upgrade that changes
// one of these shows up here first.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRep_Builder.hxx>
#include <GProp_GProps.hxx>
#include <IFSelect_ReturnStatus.hxx>
#include <Interface_Static.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <STEPControl_Reader.hxx>
#include <STEPControl_Writer.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <TCollection_ExtendedString.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_WorkSession.hxx>
#include <filesystem>
#include <sstream>

#include "engine/solid/kernel.hpp"
#include "engine/solid/parts.hpp"

namespace {

using opencascade::handle;
using testing::HasSubstr;
using testing::Not;
namespace kernel = peepwright::solid::kernel;

double volume(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties);
  return properties.Mass();
}

std::size_t count(const std::string& text, const std::string& word) {
  std::size_t n = 0;
  for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + word.size())) ++n;
  return n;
}

std::string document_text(const TopoDS_Shape& shape, bool as_assembly, const TCollection_ExtendedString& name) {
  kernel::hush();
  STEPCAFControl_Controller::Init();
  Interface_Static::SetCVal("write.step.schema", "AP242DIS");
  const handle<TDocStd_Document> document = new TDocStd_Document("XmlXCAF");
  const handle<XCAFDoc_ShapeTool> shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  TDataStd_Name::Set(shapes->AddShape(shape, as_assembly), name);
  STEPCAFControl_Writer writer;
  EXPECT_TRUE(writer.Transfer(document, STEPControl_AsIs));
  const handle<XSControl_WorkSession> session = writer.Writer().WS();
  StepData_StepWriter out(handle<StepData_StepModel>::DownCast(session->Model()));
  out.SendModel(handle<StepData_Protocol>::DownCast(session->Protocol()));
  std::ostringstream stream;
  out.Print(stream);
  return stream.str();
}

TEST(OcctAssumptions, AFilletTooLargeIsDoneButWrong) {
  const TopoDS_Shape box = BRepPrimAPI_MakeBox(10, 10, 10).Shape();
  BRepFilletAPI_MakeFillet fillet(box);
  for (TopExp_Explorer it(box, TopAbs_EDGE); it.More(); it.Next()) fillet.Add(6, TopoDS::Edge(it.Current()));
  fillet.Build();
  ASSERT_TRUE(fillet.IsDone());
  EXPECT_FALSE(BRepCheck_Analyzer(fillet.Shape()).IsValid());
  EXPECT_GT(volume(fillet.Shape()), 1000);  // more than the box: "done" proves nothing
}

TEST(OcctAssumptions, ACutThatRemovesAllIsDoneAndValidAndEmpty) {
  BRepAlgoAPI_Cut cut(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), BRepPrimAPI_MakeBox(gp_Pnt(-1, -1, -1), 5, 5, 5).Shape());
  EXPECT_TRUE(cut.IsDone());
  EXPECT_TRUE(BRepCheck_Analyzer(cut.Shape()).IsValid());
  EXPECT_FALSE(TopExp_Explorer(cut.Shape(), TopAbs_SOLID).More());
  // Our own cut says so instead.
  using peepwright::solid::rod_solid;
  const auto inner = rod_solid({{0, 0, 0}, {10, 0, 0}, 2}), outer = rod_solid({{-5, 0, 0}, {15, 0, 0}, 4});
  EXPECT_THROW((void)peepwright::solid::cut(inner, {outer}, "a rod"), peepwright::Error);
}

TEST(OcctAssumptions, StepIntoAMissingFolderFailsWithoutAnException) {
  kernel::hush();
  STEPControl_Writer writer;
  writer.Transfer(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), STEPControl_AsIs);
  const auto nowhere = std::filesystem::temp_directory_path() / "no-such-folder-here" / "x.step";
  EXPECT_NE(writer.Write(nowhere.c_str()), IFSelect_RetDone);
}

TEST(OcctAssumptions, TheProductIsNamedAndTheSolidIsNot) {
  const std::string text = document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "wanted");
  EXPECT_THAT(text, HasSubstr("PRODUCT('wanted','wanted'"));
  EXPECT_THAT(text, HasSubstr("MANIFOLD_SOLID_BREP('',"));
}

TEST(OcctAssumptions, TheSchemaLineComesOutMalformed) {
  const std::string text = document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "box");
  EXPECT_THAT(text, HasSubstr("AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF"));
  EXPECT_THAT(text, HasSubstr(". {"));
}

TEST(OcctAssumptions, NonAsciiNamesAreNotEscaped) {
  const TCollection_ExtendedString name("caf\xC3\xA9", true);
  const std::string text = document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, name);
  EXPECT_THAT(text, HasSubstr("caf\xC3\xA9"));
  EXPECT_THAT(text, Not(HasSubstr("\\X2\\")));
}

TEST(OcctAssumptions, ACompoundAddedAsAnAssemblyMakesAProductMore) {
  TopoDS_Compound compound;
  BRep_Builder builder;
  builder.MakeCompound(compound);
  builder.Add(compound, BRepPrimAPI_MakeBox(1, 1, 1).Shape());
  builder.Add(compound, BRepPrimAPI_MakeBox(gp_Pnt(5, 0, 0), 1, 1, 1).Shape());
  const std::string text = document_text(compound, true, "pair");
  EXPECT_EQ(count(text, "MANIFOLD_SOLID_BREP("), 2u);
  EXPECT_EQ(count(text, "= PRODUCT("), 3u);
}

TEST(OcctAssumptions, AUnitSetAfterTheWriterIsBuiltChangesTheTagAlone) {
  kernel::hush();
  STEPCAFControl_Controller::Init();
  STEPControl_Writer writer;
  Interface_Static::SetCVal("write.step.unit", "INCH");
  writer.Transfer(BRepPrimAPI_MakeBox(10.5, 1, 1).Shape(), STEPControl_AsIs);
  Interface_Static::SetCVal("write.step.unit", "MM");
  const handle<XSControl_WorkSession> session = writer.WS();
  StepData_StepWriter out(handle<StepData_StepModel>::DownCast(session->Model()));
  out.SendModel(handle<StepData_Protocol>::DownCast(session->Protocol()));
  std::ostringstream stream;
  out.Print(stream);
  const std::string text = stream.str();
  EXPECT_THAT(text, HasSubstr("'INCH'"));
  EXPECT_THAT(text, HasSubstr("(10.5,"));  // still the millimetres: a reader takes them for 266.7. We never touch the unit
}

TEST(OcctAssumptions, NothingPrintsOnceThePrintersAreRemoved) {
  kernel::hush();
  testing::internal::CaptureStdout();
  (void)document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "quiet");
  std::fflush(stdout);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
}

}  // namespace
