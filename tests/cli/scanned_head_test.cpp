// SPDX-License-Identifier: GPL-3.0-or-later
// An archer known by a scan of his head.
#include "tests/cli/program_words.hpp"
#include "tests/engine/scan_sample.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

/// archer-with-scan.toml and its mesh in `folder`; `more` is what else the file says.
std::string archer_with_scan(const fs::path& folder, const std::string& more = "") {
  const Face face = make_face(test::person());
  write_file(folder / "head.ply", test::as_ply(test::placed(test::sampled_head(face, 120, 110), test::scanner_pose())));
  std::string text = "[archer.face]\nscan = \"head.ply\"\nscan_unit = \"mm\"\n[archer.face.scan_landmarks]\n";
  for (const ScanMark& mark : test::picked(face, test::scanner_pose()))
    text += fmt::format("{} = [{}, {}, {}]\n", mark.name, mark.place_mm[0], mark.place_mm[1], mark.place_mm[2]);
  const fs::path file = folder / "archer-with-scan.toml";
  write_file(file, text + more);
  return file.string();
}

// Where the peep stands hangs on the face, unless it is tied.
TEST(ScannedHead, IsTakenInByDraw) {
  const fs::path folder = fresh_folder();
  const std::string archer = archer_with_scan(folder), bow = example("first-fit/bow.toml");
  const Outcome draw = run_program({"draw", archer, bow, "--json"});
  ASSERT_EQ(draw.exit_code, 0) << draw.err;
  const Outcome fit = run_program({"fit", archer, bow, "--json"});
  ASSERT_EQ(fit.exit_code, 0) << fit.err;
  EXPECT_NEAR(nlohmann::json::parse(draw.out)["peep"]["along_string_mm"].get<double>(),
              nlohmann::json::parse(fit.out)["peep"]["along_string_mm"].get<double>(), 1e-6);
}

TEST(ScannedHead, MayBeToldHowSureItIs) {
  const fs::path folder = fresh_folder();
  const std::string archer = archer_with_scan(folder, "[uncertainty.archer.face]\nmouth_width = \"3 mm\"\n");
  const Outcome fit = run_program({"fit", archer, example("first-fit/bow.toml"), "--json"});
  ASSERT_EQ(fit.exit_code, 0) << fit.err;
  const auto width = nlohmann::json::parse(fit.out)["inputs"]["archer.face.mouth_width"];
  EXPECT_EQ(width["standard_uncertainty"].get<double>(), 3);
}

}  // namespace
}  // namespace peepwright
