// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/step/step.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <set>
#include <thread>

#include "engine/quantity/error.hpp"
#include "engine/solid/parts.hpp"
#include "exporters/step/part21_text.hpp"
#include "tests/engine/solid_test_assembly.hpp"
#include "tests/exporters/part21.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using testing::HasSubstr;
using testing::Not;

const std::vector<solid::Part>& parts() {
  static const std::vector<solid::Part> all = [] {
    const auto in = test::sample_assembly();
    return solid::assembly_parts(solid::HeadModel(in.face), in);
  }();
  return all;
}

const std::string& text() {
  static const std::string once = step_text(parts());
  return once;
}

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// ISO 10303-21:2016, 6.4.3.3: the octets of a file are those of ISO 646; letters beyond stand as \\X2\\hhhh\\X0\\.
TEST(Step, LettersBeyondAsciiAreEscaped) {
  EXPECT_EQ(part21_text("'a\xc3\xb6z'"), "'a\\X2\\00F6\\X0\\z'");
  EXPECT_EQ(part21_text("\xe5\xbc\x93"), "\\X2\\5F13\\X0\\");
  EXPECT_EQ(part21_text("\xf0\x9f\x98\x80"), "\\X4\\0001F600\\X0\\");
  EXPECT_EQ(part21_text("\xe5\n\xbc\x93."), "\\X2\\5F13\\X0\\\n.");  // the kernel breaks long strings anywhere
  EXPECT_EQ(part21_text("a\xc3(\xff\x80\xc3"), "a?(???");
}

TEST(Step, ALongNameOfOtherLettersStaysInAscii) {
  StepOptions options;
  options.assembly_name.clear();
  std::string escaped;
  for (int k = 0; k < 240; ++k) {
    options.assembly_name += k % 3 ? "\xc3\xb6" : "\xe5\xbc\x93";
    escaped += k % 3 ? "\\X2\\00F6\\X0\\" : "\\X2\\5F13\\X0\\";
  }
  std::string written = step_text(parts(), options);
  EXPECT_TRUE(std::ranges::all_of(written, [](char c) { return static_cast<unsigned char>(c) < 0x80; }));
  EXPECT_NO_THROW(check_step(written, parts()));
  std::erase(written, '\n');
  EXPECT_THAT(written, HasSubstr("PRODUCT('" + escaped + "'"));
}

TEST(Step, ReadsBackAsTheSameParts) { EXPECT_NO_THROW(check_step(text(), parts())); }

TEST(Step, ReadsBackForOtherPeopleAndTheOtherHand) {
  for (const char* build : {"adult-male", "adult-female"})
    for (const bool right : {true, false}) {
      auto in = test::sample_assembly(build, 4);
      in.right_handed = right;
      in.bar_drop_mm = 29;
      in.vane_count = 4;
      in.shaft_diameter_mm = 9.3;
      in.nock_height_mm = 10;
      in.peep_bore_angle_rad = 0.55;
      const auto other = solid::assembly_parts(solid::HeadModel(in.face), in);
      EXPECT_NO_THROW(check_step(step_text(other), other));
    }
}

TEST(Step, CheckSeesADifference) {
  auto other = parts();
  other[3].name += " x";
  EXPECT_THROW(check_step(text(), other), Error);
  other = parts();
  other[0].colour.red = 0.1;
  EXPECT_THROW(check_step(text(), other), Error);
  other = parts();
  other.pop_back();
  EXPECT_THROW(check_step(text(), other), Error);
  other = parts();
  other[1].shape = solid::rod_solid({{0, 0, 0}, {10, 0, 0}, 2});
  EXPECT_THROW(check_step(text(), other), Error);
}

TEST(StepText, IsPart21ThatAnIndependentReaderTakes) {
  const test::Part21File file = test::Part21Reader(text()).read();
  std::set<std::string> products, solids, wanted, usages;
  for (const auto& part : parts()) wanted.insert(part.name);
  for (const auto* product : file.of("PRODUCT")) products.insert(product->strings.at(1));
  for (const auto* solid : file.of("MANIFOLD_SOLID_BREP")) solids.insert(solid->strings.at(0));
  EXPECT_EQ(file.of("MANIFOLD_SOLID_BREP").size(), parts().size());
  EXPECT_EQ(solids, wanted);
  EXPECT_EQ(file.of("PRODUCT").size(), parts().size() + 1);  // and the assembly
  EXPECT_TRUE(products.contains("peepwright assembly"));
  products.erase("peepwright assembly");
  EXPECT_EQ(products, wanted);
  EXPECT_EQ(file.of("NEXT_ASSEMBLY_USAGE_OCCURRENCE").size(), parts().size());
  EXPECT_EQ(file.of("ADVANCED_BREP_SHAPE_REPRESENTATION").size(), parts().size());
  EXPECT_GE(file.of("STYLED_ITEM").size(), parts().size());
  std::set<std::string> faces;
  for (const auto* face : file.of("ADVANCED_FACE")) faces.insert(face->strings.at(0));
  for (const char* name : {"skin", "crown", "neck cut", "bore"}) EXPECT_TRUE(faces.contains(name)) << name;
}

TEST(StepText, HasTheHeaderItShould) {
  const test::Part21File file = test::Part21Reader(text()).read();
  ASSERT_EQ(file.header.size(), 3u);
  EXPECT_EQ(file.header[2].type, "FILE_SCHEMA");
  ASSERT_EQ(file.header[2].strings.size(), 1u);
  EXPECT_EQ(file.header[2].strings[0], "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }");
  EXPECT_EQ(file.header[1].type, "FILE_NAME");
  EXPECT_EQ(file.header[1].strings.at(1), "1970-01-01T00:00:00");
  StepOptions options;
  options.time_stamp = "2024-02-03T04:05:06";
  const std::string dated = step_text({parts().front()}, options);
  EXPECT_THAT(dated, HasSubstr("'2024-02-03T04:05:06'"));
}

TEST(StepText, IsInMillimetres) {
  EXPECT_THAT(text(), HasSubstr("SI_UNIT(.MILLI.,.METRE.)"));
  EXPECT_THAT(text(), Not(HasSubstr("CONVERSION_BASED_UNIT")));
}

TEST(StepText, IsTheSameTwiceInOneProcessAndInOthers) {
  EXPECT_EQ(step_text(parts()), text());
  const auto folder = std::filesystem::temp_directory_path() / ("peepwright-step-" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  for (const char* times : {"1", "1", "3"}) {
    const std::string path = (folder / "out.step").string();
    ASSERT_EQ(std::system((std::string(STEP_WRITER) + " " + path + " " + times).c_str()), 0);
    EXPECT_EQ(bytes_of(path) == text(), true) << "written " << times << " times";
  }
  std::filesystem::remove_all(folder);
}

TEST(StepText, TwoThreadsDoNotMixTheirFiles) {
  std::string a, b;
  std::thread one([&] {
    for (int k = 0; k < 3; ++k) a = step_text({parts()[0], parts()[5]});
  });
  std::thread two([&] {
    for (int k = 0; k < 3; ++k) b = step_text({parts()[8], parts()[9]});
  });
  one.join(), two.join();
  EXPECT_NO_THROW(check_step(a, {parts()[0], parts()[5]}));
  EXPECT_NO_THROW(check_step(b, {parts()[8], parts()[9]}));
  EXPECT_EQ(a, step_text({parts()[0], parts()[5]}));
}

TEST(StepText, PrintsNothingOnStdout) {
  testing::internal::CaptureStdout();
  (void)step_text({parts()[5]});
  std::fflush(stdout);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
}

TEST(StepRefuses, PartsWithoutANameOrWithATakenOne) {
  const auto refusal = [](const std::vector<solid::Part>& wrong) {
    return test::refusal([&] { (void)step_text(wrong); }, ErrorCode::internal);
  };
  auto twice = std::vector{parts()[0], parts()[0]};
  EXPECT_THAT(refusal(twice), HasSubstr("Two parts are called \"head\""));
  twice[1].name = "";
  EXPECT_THAT(refusal(twice), HasSubstr("without a name"));
  twice[1].name = "Kopf für alle";
  EXPECT_THAT(refusal(twice), HasSubstr("ASCII"));
  EXPECT_THAT(refusal({}), HasSubstr("no parts"));
}

}  // namespace
}  // namespace peepwright
