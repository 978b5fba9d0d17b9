// SPDX-License-Identifier: GPL-3.0-or-later
// `peepwright draw` as a person meets it.

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

std::vector<std::string> draw(const std::vector<std::string>& more = {}) { return first_example("draw", more); }

const char* const files[] = {"draw.json", "draw.csv", "draw-force.pdf", "draw-force.svg", "draw-force.png"};

TEST(Draw, SaysTheBowAndWritesItsFiles) {
  const fs::path folder = fresh_folder() / "out";
  const Outcome run = run_program(draw({"-o", folder.string(), "--units", "in"}));
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.err, IsEmpty());
  EXPECT_THAT(run.out, AllOf(HasSubstr("peak            56.0 lbf (249.1 N)"), HasSubstr("let-off 75.0 %"),
                             HasSubstr("\nCautions\n"), HasSubstr("draw-force.svg")));
  for (const char* name : files) EXPECT_GT(fs::file_size(folder / name), 1000U) << name;
  EXPECT_EQ(nlohmann::json::parse(read_file(folder / "draw.json"))["schema"], "peepwright-draw-1");
  EXPECT_THAT(read_file(folder / "draw.csv"), StartsWith("draw_to_pivot_mm,"));
}

TEST(Draw, NeedsTheBowAlone) {
  const Outcome run = run_program({"draw", in_project("examples/first-fit/bow.toml")});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("56.0 lbf"));
}

TEST(Draw, UnitsJsonAndQuiet) {
  EXPECT_THAT(run_program(draw({"--units", "mm"})).out, HasSubstr("peak            249.1 N (56.0 lbf)"));
  EXPECT_THAT(run_program(draw({"--quiet"})).out, IsEmpty());
  const auto json = nlohmann::json::parse(run_program(draw({"--json"})).out);
  EXPECT_NEAR(json["force"]["let_off"].get<double>(), 0.75, 1e-5);
}

TEST(Draw, HelpListsTheColumns) {
  const std::string help = run_program({"draw", "--help"}).out;
  EXPECT_THAT(help, AllOf(HasSubstr("Columns of draw.csv"), HasSubstr("force_N"), HasSubstr("stored_J")));
  EXPECT_THAT(run_program({"--help"}).out, HasSubstr("  draw "));
}

TEST(Draw, SameBytesUnderAnyLocale) {
  const fs::path a = fresh_folder() / "a", b = fresh_folder().parent_path() / "draw-same-b";
  fs::remove_all(b);
  ASSERT_EQ(run_program(draw({"--quiet", "-o", a.string()})).exit_code, 0);
  ASSERT_EQ(run_program(draw({"--quiet", "-o", b.string()}), {"LC_ALL=de_DE.UTF-8", "TZ=Asia/Tokyo"}).exit_code, 0);
  for (const char* name : files) EXPECT_EQ(read_file(a / name), read_file(b / name)) << name;
}

TEST(Draw, ATableOfForcesIsUsed) {
  const fs::path folder = fresh_folder();
  // 90 % of the example bow's force: the table must win over the catalogue's peak weight.
  const auto catalogue = nlohmann::json::parse(run_program(draw({"--json"})).out);
  std::string text = "[bow]\nforce_draw = [\n";
  int row = 0;
  for (const auto& s : catalogue["curve"])
    if (row++ % 5 == 0)
      text += "  [\"" + s[1].dump() + " mm\", \"" + std::to_string(0.9 * s[2].get<double>()) + " N\"],\n";
  text += "]\n";
  write_file(folder / "table.toml", text);
  const Outcome run = run_program(draw({(folder / "table.toml").string(), "--json"}));
  ASSERT_EQ(run.exit_code, 0) << run.err;
  const auto json = nlohmann::json::parse(run.out);
  EXPECT_EQ(json["found_by"], "force_draw");
  EXPECT_NEAR(json["force"]["peak_N"].get<double>() / catalogue["force"]["peak_N"].get<double>(), 0.9, 0.01);
  EXPECT_LT(json["full_draw"]["leg_angle_standard_uncertainty_deg"].get<double>(),
            catalogue["full_draw"]["leg_angle_standard_uncertainty_deg"].get<double>());
}

/// One message, on stderr; nothing on stdout, nothing written; exit code 2.
void expect_refused(const std::string& more, const std::string& part) {
  const fs::path folder = fresh_folder(), out = folder / "out";
  fs::remove_all(out);
  write_file(folder / "more.toml", more);
  const Outcome run = run_program(draw({(folder / "more.toml").string(), "-o", out.string()}));
  EXPECT_EQ(run.exit_code, 2) << run.err;
  EXPECT_THAT(run.err, AllOf(StartsWith("peepwright: "), HasSubstr(part), Not(HasSubstr("nan"))));
  EXPECT_EQ(std::ranges::count(run.err, '\n'), 1) << run.err;
  EXPECT_THAT(run.out, IsEmpty());
  EXPECT_FALSE(fs::exists(out)) << part;
}

TEST(Draw, WrongInputIsRefusedAndNothingWritten) {
  expect_refused("[bow]\naxle_to_axle = \"21 in\"\ndraw_length = \"36 in\"\n", "");
  expect_refused("[bow]\nforce_draw = [[\"9 in\", \"3 lbf\"]]\n", "more.toml:2:14: bow.force_draw: has 1 readings");
  expect_refused("[bow]\nforce_draw = 3\n", "write pairs of draw and force");
  expect_refused("[bow]\nforce_drew = []\n", "did you mean bow.force_draw?");
  expect_refused(
      "[bow]\nforce_draw = [[\"10 in\", \"300 N\"], [\"14 in\", \"0 N\"], [\"18 in\", \"300 N\"], [\"22 in\", \"0 "
      "N\"], "
      "[\"26 in\", \"300 N\"], [\"29 in\", \"0 N\"]]\n",
      "more.toml:2:15: bow.force_draw: no bow with round cams");
  expect_refused("[bow.cam]\nstring_radius = \"42 mm\"\n", "is given without");
}

TEST(Draw, WrongWordsAreRefused) {
  EXPECT_EQ(run_program({"draw"}).exit_code, 2);
  EXPECT_EQ(run_program(draw({"--units", "ft"})).exit_code, 2);
  EXPECT_EQ(run_program({"draw", "/nowhere/bow.toml"}).exit_code, 2);
  const fs::path folder = fresh_folder();
  write_file(folder / "a file", "mine");
  EXPECT_EQ(run_program(draw({"--quiet", "-o", (folder / "a file").string()})).exit_code, 3);
}

}  // namespace
}  // namespace peepwright
