// SPDX-License-Identifier: GPL-3.0-or-later
// What the geometry kernel really does (7.6.3), where our code leans on it or works around it. An upgrade that changes
// one of these shows up here first.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBndLib.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Builder.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <IFSelect_ReturnStatus.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_PrinterOStream.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <STEPConstruct.hxx>
#include <STEPControl_Reader.hxx>
#include <STEPControl_Writer.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <TCollection_ExtendedString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_Label.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSAlgo.hxx>
#include <XSAlgo_AlgoContainer.hxx>
#include <XSControl_TransferWriter.hxx>
#include <XSControl_WorkSession.hxx>
#include <cmath>
#include <filesystem>
#include <gp_Ax2.hxx>
#include <iostream>
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

std::string text_of(const handle<XSControl_WorkSession>& session) {
  StepData_StepWriter out(handle<StepData_StepModel>::DownCast(session->Model()));
  out.SendModel(handle<StepData_Protocol>::DownCast(session->Protocol()));
  std::ostringstream stream;
  out.Print(stream);
  return stream.str();
}

std::string text_of(const handle<TDocStd_Document>& document) {
  STEPCAFControl_Writer writer;
  EXPECT_TRUE(writer.Transfer(document, STEPControl_AsIs));
  return text_of(writer.Writer().WS());
}

std::string document_text(const TopoDS_Shape& shape, bool as_assembly, const TCollection_ExtendedString& name) {
  kernel::hush();
  STEPCAFControl_Controller::Init();
  Interface_Static::SetCVal("write.step.schema", "AP242DIS");
  const handle<TDocStd_Document> document = new TDocStd_Document("XmlXCAF");
  const handle<XCAFDoc_ShapeTool> shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  TDataStd_Name::Set(shapes->AddShape(shape, as_assembly), name);
  return text_of(document);
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
  EXPECT_EQ(writer.Write(nowhere.c_str()), IFSelect_RetStop);  // 4
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
  const std::string text = text_of(writer.WS());
  EXPECT_THAT(text, HasSubstr("'INCH'"));
  EXPECT_THAT(text, HasSubstr("(10.5,"));  // still the millimetres. We never touch the unit
  STEPControl_Reader reader;
  std::istringstream in(text);
  ASSERT_EQ(reader.ReadStream("inch.step", in), IFSelect_RetDone);
  reader.TransferRoots();
  Bnd_Box box;
  BRepBndLib::AddOptimal(reader.OneShape(), box, false, false);
  EXPECT_NEAR(box.CornerMax().X(), 266.7, 1e-3);
}

TEST(OcctAssumptions, FaceNamesAreWrittenWhenAskedFor) {
  for (const int asked : {0, 1}) {
    STEPCAFControl_Controller::Init();
    Interface_Static::SetIVal("write.stepcaf.subshapes.name", asked);
    const handle<TDocStd_Document> document = new TDocStd_Document("XmlXCAF");
    const handle<XCAFDoc_ShapeTool> shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
    const TopoDS_Shape box = BRepPrimAPI_MakeBox(1, 1, 1).Shape();
    const TDF_Label label = shapes->AddShape(box, false);
    TDataStd_Name::Set(shapes->AddSubShape(label, TopExp_Explorer(box, TopAbs_FACE).Current()), "top");
    const std::string text = text_of(document);
    EXPECT_EQ(count(text, "ADVANCED_FACE('top',"), std::size_t(asked));
  }
}

// The name goes on between Transfer and Write.
TEST(OcctAssumptions, ASolidIsNamedThroughTheTransfersFinder) {
  kernel::hush();
  STEPControl_Writer writer;
  const TopoDS_Shape box = BRepPrimAPI_MakeBox(1, 1, 1).Shape();
  writer.Transfer(box, STEPControl_AsIs);
  const auto solid = handle<StepShape_ManifoldSolidBrep>::DownCast(STEPConstruct::FindEntity(
      writer.WS()->TransferWriter()->FinderProcess(), TopExp_Explorer(box, TopAbs_SOLID).Current()));
  ASSERT_FALSE(solid.IsNull());
  solid->SetName(new TCollection_HAsciiString("wanted"));
  EXPECT_THAT(text_of(writer.WS()), HasSubstr("MANIFOLD_SOLID_BREP('wanted',"));
}

TEST(OcctAssumptions, OnlyTheHeadersDateTellsTwoFilesApart) {
  const auto body = [] {
    const std::string text = document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "box");
    return text.substr(text.find("DATA;"));
  };
  EXPECT_EQ(body(), body());
}

// Hundreds of holes are cut with one list: one at a time takes many times as long (bench_solid, a_hundred_holes).
TEST(OcctAssumptions, AListOfToolsIsCutLikeOneAfterAnother) {
  const TopoDS_Shape plate = BRepPrimAPI_MakeBox(50, 50, 2).Shape();
  TopTools_ListOfShape first, holes;
  first.Append(plate);
  for (int i = 0; i < 5; ++i)
    for (int j = 0; j < 5; ++j)
      holes.Append(BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(5 + 10 * i, 5 + 10 * j, -1), gp_Dir(0, 0, 1)), 2, 4).Shape());
  BRepAlgoAPI_Cut cut;
  cut.SetArguments(first);
  cut.SetTools(holes);
  cut.Build();
  ASSERT_TRUE(cut.IsDone());
  EXPECT_TRUE(BRepCheck_Analyzer(cut.Shape()).IsValid());
  EXPECT_NEAR(volume(cut.Shape()), 2 * (50 * 50 - 25 * M_PI * 2 * 2), 1e-6);
}

// STEP keeps no curves in the parameters of curved faces unless asked to: the reader's repairs add them, and ours do.
TEST(OcctAssumptions, WithoutRepairsWhatIsReadLacksItsCurvesOnFaces) {
  class Nothing : public XSAlgo_AlgoContainer {
    TopoDS_Shape ProcessShape(const TopoDS_Shape& shape, double, double, const char*, const char*,
                              handle<Standard_Transient>&, const Message_ProgressRange&, bool) const override {
      return shape;
    }
  };
  STEPCAFControl_Controller::Init();
  Interface_Static::SetIVal("write.surfacecurve.mode", 0);
  const std::string text = document_text(BRepPrimAPI_MakeCylinder(2, 5).Shape(), false, "rod");
  Interface_Static::SetIVal("write.surfacecurve.mode", 1);
  const auto valid = [&](const handle<XSAlgo_AlgoContainer>& container) {
    XSAlgo::SetAlgoContainer(container);
    STEPControl_Reader reader;
    std::istringstream in(text);
    EXPECT_EQ(reader.ReadStream("rod.step", in), IFSelect_RetDone);
    reader.TransferRoots();
    return BRepCheck_Analyzer(reader.OneShape()).IsValid();
  };
  EXPECT_FALSE(valid(new Nothing));
  EXPECT_TRUE(valid(new XSAlgo_AlgoContainer));
}

TEST(OcctAssumptions, TheKernelPrintsUntilItsPrintersAreRemoved) {
  kernel::hush();
  const handle<Message_Messenger> fresh = new Message_Messenger;
  ASSERT_EQ(fresh->Printers().Length(), 1);  // what every process begins with
  Message::DefaultMessenger()->AddPrinter(fresh->Printers().First());
  testing::internal::CaptureStdout();
  (void)document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "loud");
  std::fflush(stdout);
  std::cout.flush();
  EXPECT_NE(testing::internal::GetCapturedStdout(), "");
  Message::DefaultMessenger()->RemovePrinters(STANDARD_TYPE(Message_PrinterOStream));

  testing::internal::CaptureStdout();
  (void)document_text(BRepPrimAPI_MakeBox(1, 1, 1).Shape(), false, "quiet");
  std::fflush(stdout);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
}

}  // namespace
