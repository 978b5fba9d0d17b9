// SPDX-License-Identifier: GPL-3.0-or-later
// The program as a person meets it: what it says, what it writes, its exit codes.

#include <algorithm>
#include <fstream>
#include <map>

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

std::vector<std::string> first_fit(const std::vector<std::string>& more = {}) { return first_example("fit", more); }

TEST(Help, NamesEveryCommandAndExitCode) {
  const Outcome help = run_program({"--help"});
  EXPECT_EQ(help.exit_code, 0);
  for (const char* word : {"fit", "gauge", "model", "verify", "draw", "new", "keys", "Exit codes", "backstop"})
    EXPECT_THAT(help.out, HasSubstr(word));
  EXPECT_THAT(run_program({"fit", "--help"}).out,
              AllOf(HasSubstr("--reference"), HasSubstr("--strict"), HasSubstr("--page")));
  EXPECT_THAT(run_program({"--version"}).out, StartsWith("peepwright 0."));
}

TEST(Usage, WrongWordsAreRefusedWithCodeTwo) {
  expect_refused(run_program({}), "--help");
  expect_refused(run_program({"fti"}), "--help");
  expect_refused(run_program({"fit"}), "files");
  expect_refused(run_program(first_fit({"--page", "a5"})), "a5");
  expect_refused(run_program(first_fit({"--unitz", "in"})), "unitz");
}

TEST(New, StarterFilesRunAsTheyAre) {
  const fs::path folder = fresh_folder() / "fit of mine";
  ASSERT_EQ(run_program({"new", folder.string()}).exit_code, 0);
  EXPECT_EQ(names_in(folder), (std::vector<std::string>{"archer.toml", "arrow.toml", "bow.toml", "measure-sheet.pdf"}));
  const Outcome fit = run_program({"fit", folder / "archer.toml", folder / "bow.toml", folder / "arrow.toml"});
  EXPECT_EQ(fit.exit_code, 0) << fit.err;
  EXPECT_THAT(fit.out,
              AllOf(HasSubstr("MARK"), HasSubstr("give or take"), HasSubstr("Measure next"), HasSubstr("Cautions")));
}

TEST(New, SpeaksOneSystemOfUnitsWhereItIsAsked) {
  const fs::path folder = fresh_folder();
  const std::map<std::string, std::vector<std::string>> strange{
      {"in", {" mm\"", " m\"", " m/s\"", " N\"", " g\""}}, {"mm", {" in\"", " yd\"", " ft/s\"", " lbf\"", " gr\""}}};
  for (const auto& [units, others] : strange) {
    const fs::path here = folder / units;
    ASSERT_EQ(run_program({"new", here.string(), "--units", units}).exit_code, 0);
    for (const char* name : {"archer.toml", "bow.toml", "arrow.toml"}) {
      std::string text = read_file(here / name);
      text.erase(0, text.find("\n["));  // what stands above tells how any unit is written
      for (const std::string& other : others) EXPECT_THAT(text, Not(HasSubstr(other))) << units << name;
      EXPECT_THAT(text, AllOf(HasSubstr(" " + units + "\""), Not(HasSubstr("|")))) << name;
    }
    const Outcome fit = run_program({"fit", here / "archer.toml", here / "bow.toml", here / "arrow.toml", "--quiet"});
    EXPECT_EQ(fit.exit_code, 0) << fit.err;
  }
  ASSERT_EQ(run_program({"new", (folder / "both").string()}).exit_code, 0);
  EXPECT_THAT(read_file(folder / "both" / "archer.toml"), HasSubstr("eye_to_arrow = \"95 mm\""));
  EXPECT_THAT(read_file(folder / "both" / "bow.toml"), HasSubstr("axle_to_axle = \"33 in\""));
  expect_refused(run_program({"new", (folder / "c").string(), "--units", "cm"}), "--units");
}

TEST(New, CommentedKeysAreRightToo) {
  // Every key line that is commented out is switched on, one at a time, and must be accepted or refused for a
  // reason other than its spelling or its unit.
  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program({"new", folder.string()}).exit_code, 0);
  int tried = 0;
  for (const char* name : {"archer.toml", "bow.toml", "arrow.toml"}) {
    const std::string text = read_file(folder / name);
    std::size_t header = std::string::npos;  // of a table that is commented out too
    for (std::size_t at = text.find('\n'); at + 1 < text.size(); at = text.find('\n', at + 1)) {
      const std::string line = text.substr(at + 1, text.find('\n', at + 1) - at - 1);
      if (line.starts_with("[")) header = std::string::npos;
      if (line.starts_with("# [")) header = at + 1;
      if (!line.starts_with("# ") || line.find(" = ") == std::string::npos || line.find(' ', 2) != line.find(" = "))
        continue;
      std::string changed = text;
      changed.erase(at + 1, 2);
      if (header != std::string::npos) changed.erase(header, 2);
      write_file(folder / "changed.toml", changed);
      std::vector<std::string> arguments{"fit", "--quiet"};
      for (const char* other : {"archer.toml", "bow.toml", "arrow.toml"})
        arguments.push_back(folder / (std::string(other) == name ? "changed.toml" : other));
      EXPECT_THAT(run_program(arguments).err, AllOf(Not(HasSubstr("unit")), Not(HasSubstr("TOML")))) << line;
      ++tried;
    }
  }
  EXPECT_GT(tried, 15);
}

TEST(New, BringsASheetToMeasureWith) {
  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program({"new", folder.string(), "--page", "letter"}).exit_code, 0);
  EXPECT_THAT(read_file(folder / "measure-sheet.pdf"), StartsWith("%PDF-"));
  expect_refused(run_program({"new", (folder / "b").string(), "--page", "a5"}), "--page");
}

TEST(New, LeavesFilesThatAreThereAlone) {
  const fs::path folder = fresh_folder();
  write_file(folder / "bow.toml", "mine");
  expect_refused(run_program({"new", folder.string()}), "is there already");
  EXPECT_EQ(names_in(folder), std::vector<std::string>{"bow.toml"});
  EXPECT_EQ(read_file(folder / "bow.toml"), "mine");
}

TEST(Drawings, ViewWritesTheSameAsFitInEveryProcess) {
  const fs::path folder = fresh_folder();
  std::vector<std::string> view = first_fit({"-o", (folder / "view").string(), "--quiet"});
  view[0] = "view";
  ASSERT_EQ(run_program(view).exit_code, 0);
  EXPECT_EQ(names_in(folder / "view"), (std::vector<std::string>{"side-view.pdf", "side-view.png", "side-view.svg"}));
  for (const char* turn : {"one", "two"}) {
    ASSERT_EQ(run_program(first_fit({"-o", (folder / turn).string(), "--quiet"})).exit_code, 0);
    for (const std::string& name : names_in(folder / "view"))
      EXPECT_EQ(read_file(folder / turn / name), read_file(folder / "view" / name)) << name;
  }
  EXPECT_EQ(read_file(folder / "one" / "fit-sheet.pdf"), read_file(folder / "two" / "fit-sheet.pdf"));
  EXPECT_EQ(read_file(folder / "one" / "assembly.step"), read_file(folder / "two" / "assembly.step"));
}

TEST(Drawings, ViewSaysWhatIsWrong) {
  const fs::path folder = fresh_folder();
  write_file(folder / "taken", "");
  const Outcome unwritable = run_program({"view", example("left-handed/fit.toml"), "-o", (folder / "taken").string()});
  EXPECT_EQ(unwritable.exit_code, 3);
  EXPECT_THAT(unwritable.err, StartsWith("peepwright: "));
  expect_refused(run_program({"view", example("left-handed/fit.toml")}), "--output");
  expect_refused(run_program({"view", (folder / "none.toml").string(), "-o", folder.string()}), "none.toml");
}

TEST(Drawings, CompareTellsAndDraws) {
  const fs::path folder = fresh_folder();
  const Outcome bows =
      run_program({"compare", "--a", example("first-fit/archer.toml"), example("first-fit/bow.toml"), "--b",
                   example("first-fit/archer.toml"), example("first-fit/shorter-bow.toml"), "-o", folder.string()});
  EXPECT_EQ(bows.exit_code, 0) << bows.err;
  EXPECT_THAT(bows.out, AllOf(HasSubstr("mark, string at rest"), HasSubstr("head forward"), HasSubstr("shorter bow")));
  EXPECT_EQ(names_in(folder), (std::vector<std::string>{"compare.pdf", "compare.png", "compare.svg"}));
  const Outcome tied = run_program({"compare", "--a", example("tied-too-low/fit.toml")});
  EXPECT_EQ(tied.exit_code, 0) << tied.err;
  EXPECT_THAT(tied.out, HasSubstr("peep as tied"));
  expect_refused(run_program({"compare", "--a", example("first-fit/archer.toml"), example("first-fit/bow.toml")}),
                 "--b");
  expect_refused(run_program({"compare", "--a", example("first-fit/archer.toml"), example("first-fit/bow.toml"), "--b",
                              example("left-handed/fit.toml"), "-o", folder.string()}),
                 "hand");
}

TEST(Examples, EveryOneRunsAndWrites) {
  int ran = 0;
  for (const auto& entry : fs::directory_iterator(in_project("examples"))) {
    if (!entry.is_directory() || entry.path().filename() == "pictures") continue;
    std::vector<std::string> arguments{"fit"};
    for (const std::string& name : names_in(entry.path()))
      if (name != "shorter-bow.toml") arguments.push_back(entry.path() / name);
    const fs::path folder = fresh_folder();
    arguments.insert(arguments.end(), {"-o", folder.string()});
    const Outcome outcome = run_program(arguments);
    EXPECT_EQ(outcome.exit_code, 0) << entry.path() << outcome.err;
    EXPECT_THAT(names_in(folder), ::testing::IsSupersetOf({"fit.json", "gauge.pdf", "gauge.svg", "gauge.dxf",
                                                           "assembly.step", "assembly.glb"}));
    ++ran;
  }
  EXPECT_GE(ran, 4);
}

TEST(Examples, TheOneTiedTooLowSaysSo) {
  const Outcome outcome = run_program({"fit", example("tied-too-low/fit.toml"), "--json"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const auto json = nlohmann::json::parse(outcome.out);
  EXPECT_GT(json["tied"]["move_mm"].get<double>(), 15);
  EXPECT_LT(json["tied"]["posture"]["arrow_below_eye_mm"].get<double>(),
            json["posture"]["arrow_below_eye_mm"].get<double>() - 5);
  EXPECT_LT(json["tied"]["sight"]["longest_distance_m"].get<double>(),
            json["sight"]["longest_distance_m"].get<double>());
}

TEST(Fit, ReferenceGivesTheHeadShift) {
  const Outcome outcome = run_program({"fit", example("first-fit/archer.toml"), example("first-fit/arrow.toml"),
                                       example("first-fit/shorter-bow.toml"), "--json", "--reference",
                                       example("first-fit/archer.toml"), "--reference", example("first-fit/bow.toml")});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const auto shift = nlohmann::json::parse(outcome.out)["posture"]["head_shift_mm"];
  ASSERT_EQ(shift.size(), 2U);
  EXPECT_GT(std::abs(shift[0].get<double>()), 1);
}

TEST(Fit, StrictTurnsAnUnmetClearanceIntoCodeOne) {
  const fs::path folder = fresh_folder();
  write_file(folder / "wanted.toml", "[wanted]\npeep_eye = \"150 mm\"\n");
  EXPECT_EQ(run_program(first_fit({(folder / "wanted.toml").string(), "--quiet"})).exit_code, 0);
  EXPECT_EQ(run_program(first_fit({(folder / "wanted.toml").string(), "--quiet", "--strict"})).exit_code, 1);
  EXPECT_EQ(run_program(first_fit({"--quiet", "--strict"})).exit_code, 0);
}

TEST(Fit, QuietSaysNothingAndJsonIsJson) {
  EXPECT_THAT(run_program(first_fit({"--quiet"})).out, IsEmpty());
  const Outcome json = run_program(first_fit({"--json"}));
  EXPECT_EQ(nlohmann::json::parse(json.out)["schema"], "peepwright-fit-1");
  EXPECT_THAT(json.err, IsEmpty());
}

TEST(Fit, SameInputSameBytesUnderAnyLocaleAndPlace) {
  const fs::path a = fresh_folder() / "a", b = fresh_folder().parent_path() / "same-input-b";
  fs::remove_all(b);
  ASSERT_EQ(run_program(first_fit({"-o", a.string()})).exit_code, 0);
  ASSERT_EQ(run_program(first_fit({"-o", b.string()}), {"LC_ALL=de_DE.UTF-8", "TZ=Asia/Tokyo"}).exit_code, 0);
  ASSERT_EQ(names_in(a), names_in(b));
  for (const std::string& name : names_in(a)) EXPECT_EQ(read_file(a / name), read_file(b / name)) << name;
}

TEST(Gauge, WritesStripAndClipAndAFitAfterItTakesTheOldClipAway) {
  const fs::path folder = fresh_folder();
  std::vector<std::string> arguments = first_fit({"-o", folder.string(), "--quiet"});
  arguments[0] = "gauge";
  ASSERT_EQ(run_program(arguments).exit_code, 0);
  EXPECT_EQ(names_in(folder), (std::vector<std::string>{"gauge.dxf", "gauge.pdf", "gauge.svg"}));
  arguments.push_back("--clip");
  ASSERT_EQ(run_program(arguments).exit_code, 0);
  EXPECT_EQ(names_in(folder), (std::vector<std::string>{"gauge-clip.3mf", "gauge-clip.step", "gauge-clip.stl",
                                                        "gauge.dxf", "gauge.pdf", "gauge.svg"}));
  ASSERT_EQ(run_program(first_fit({"-o", folder.string(), "--quiet"})).exit_code, 0);
  EXPECT_FALSE(fs::exists(folder / "gauge-clip.step"));
}

TEST(Model, IsTheOneThatFitWrites) {
  const fs::path a = fresh_folder() / "a", b = fresh_folder().parent_path() / "model-b";
  fs::remove_all(b);
  ASSERT_EQ(run_program({"model", example("left-handed/fit.toml"), "-o", a.string()}).exit_code, 0);
  ASSERT_EQ(run_program({"fit", example("left-handed/fit.toml"), "-o", b.string(), "--quiet"}).exit_code, 0);
  EXPECT_EQ(names_in(a), (std::vector<std::string>{"assembly.3mf", "assembly.glb", "assembly.step", "assembly.stl"}));
  const std::string text = read_file(a / "assembly.step");
  EXPECT_THAT(text, AllOf(StartsWith("ISO-10303-21;"), HasSubstr("AP242_MANAGED_MODEL_BASED_3D_ENGINEERING"),
                          HasSubstr("'peep'")));
  EXPECT_EQ(text, read_file(b / "assembly.step"));
}

TEST(Options, WhatIsWrongWithThemIsSaidInWords) {
  const std::string archer = example("first-fit/archer.toml"), bow = example("first-fit/bow.toml");
  expect_refused(run_program({"fit", archer, bow, "--units", "in", "--units", "mm"}),
                 "--units: was given more than once");
  expect_refused(run_program({"verify", archer, bow, "--mark", "3 in", "--mark", "4 in"}),
                 "--mark: was given more than once");
  expect_refused(run_program({"fit", archer, bow, "--units"}), "--units: needs a value behind it");
  expect_refused(run_program({"fit"}), "no input file was given");
  expect_refused(run_program({"view", archer, bow}), "--output is needed");
  expect_refused(run_program({"fit", archer, bow, "--page", "A5"}),
                 "--page: \"A5\" cannot be; accepted is one of {a4,letter}");
  const Outcome one_letter = run_program({"verify", archer, bow, "-z", "3 in"});
  EXPECT_THAT(one_letter.err, AllOf(HasSubstr("unknown option -z"), Not(HasSubstr("did you mean"))));
  // Capitals are no reason to refuse.
  EXPECT_EQ(run_program({"fit", archer, bow, "--units", "IN"}).out,
            run_program({"fit", archer, bow, "--units", "in"}).out);
  expect_refused(run_program({"sweep", archer, bow, "--vary", "bow.axel=28 in..36 in/2 in", "-o", "nowhere"}),
                 "did you mean bow.axle_to_axle?");
  expect_refused(run_program({"gauge", archer, bow, "-o", "nowhere", "--bar-measured-x", "99 mm"}), "--bar-measured-y");
}

TEST(Verify, SaysHowFarAndWhichWay) {
  const Outcome up = run_program({"verify", example("tied-too-low/fit.toml"), "--mark", "109 mm", "--height", "79 mm"});
  EXPECT_EQ(up.exit_code, 0) << up.err;
  EXPECT_THAT(up.out, AllOf(StartsWith("MOVE the peep"), HasSubstr("UP the string"), HasSubstr("Cautions")));
  const Outcome json =
      run_program({"verify", example("tied-too-low/fit.toml"), "--mark", "109 mm", "--height", "79 mm", "--json"});
  EXPECT_EQ(nlohmann::json::parse(json.out)["verdict"], "move");
  expect_refused(run_program({"verify", example("first-fit/archer.toml"), example("first-fit/bow.toml")}), "--mark");
  expect_refused(run_program({"verify", example("tied-too-low/fit.toml"), "--mark", "109 mm", "--height", "95 mm"}),
                 "To settle it measure the height again, to the peep's centre and square to the arrow (--height), or ");
  expect_refused(run_program({"verify", example("first-fit/archer.toml"), example("first-fit/bow.toml"),
                              example("first-fit/arrow.toml"), "--height", "70 mm"}),
                 "the mark of the fit (none was measured)");
  // A mark alone says that the peep is where it was to be, not that it suits.
  const Outcome mark = run_program({"verify", example("first-fit/archer.toml"), example("first-fit/bow.toml"),
                                    example("first-fit/arrow.toml"), "--mark", "124 mm"});
  EXPECT_THAT(mark.out, AllOf(StartsWith("LEAVE IT"), HasSubstr("give --height too")));
  expect_refused(run_program({"verify", example("tied-too-low/fit.toml"), "--mark", "109"}),
                 "--mark: \"109\" has no unit");
  expect_refused(run_program({"verify", example("tied-too-low/fit.toml"), "--mark", "109 mm", "--height", "150 mm"}),
                 "no angle");
}

TEST(Keys, ListsEveryKeyOfTheStarterFiles) {
  const Outcome keys = run_program({"keys"});
  EXPECT_EQ(keys.exit_code, 0);
  for (const char* key : {"bow.axle_to_axle", "archer.face.eye_to_arrow", "peep.tied.mark", "distances.marks",
                          "bow.force_draw", "uncertainty.KEY"})
    EXPECT_THAT(keys.out, HasSubstr(std::string("\n") + key + "\n")) << key;
}

}  // namespace
}  // namespace peepwright
