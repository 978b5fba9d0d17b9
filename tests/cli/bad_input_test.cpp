// SPDX-License-Identifier: GPL-3.0-or-later
// What people and broken disks do to the program. Each time: one message, the right code, nothing half-written.
#include <sys/mount.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

std::vector<std::string> first_fit(const std::vector<std::string>& more = {}) { return first_example("fit", more); }

TEST(BadInput, OneMessageWithPlaceKeyAndRemedy) {
  const fs::path folder = fresh_folder(), out = folder / "out";
  const struct {
    const char *name, *text, *part;
  } cases[] = {
      {"misspelt.toml", "[bow]\naxle_to_axel = \"33 in\"\n",
       "misspelt.toml:2:1: bow.axle_to_axel: unknown key; did you mean bow.axle_to_axle?"},
      {"unit.toml", "[bow]\naxle_to_axle = \"33 lb\"\n",
       "unit.toml:2:16: bow.axle_to_axle: \"33 lb\" has a unit that does not fit here"},
      {"bare.toml", "[bow]\naxle_to_axle = 33\n", "bare.toml:2:16: bow.axle_to_axle: is a bare number"},
      {"nan.toml", "[bow]\nlet_off = nan\n", "nan.toml:2:11: bow.let_off:"},
      {"inf.toml", "[arrow]\ndrag_coefficient = inf\n", "cannot be"},
      {"negative.toml", "[bow]\nbrace_height = \"-7 in\"\n", "cannot be; accepted is"},
      {"absurd.toml", "[bow]\naxle_to_axle = \"33 m\"\n", "cannot be; accepted is"},
      {"truncated.toml", "[bow]\naxle_to_axle = \"33", "truncated.toml:2:"},
      {"prose.toml", "Dear shop, my bow is 33 inches.\n", "prose.toml:1:"},
      {"empty.toml", "", "is missing"},
  };
  for (const auto& c : cases) {
    write_file(folder / c.name, c.text);
    const Outcome outcome = run_program({"fit", (folder / c.name).string(), "-o", out.string()});
    expect_refused(outcome, c.part);
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
    EXPECT_FALSE(fs::exists(out)) << c.name;
  }
}

TEST(BadInput, FilesThatAreNone) {
  const fs::path folder = fresh_folder();
  expect_refused(run_program({"fit", (folder / "nowhere.toml").string()}), "there is no such file");
  expect_refused(run_program({"fit", folder.string()}), "is a folder");
  expect_refused(run_program({"fit", "/dev/zero"}), "not a regular file");
  const fs::path huge = folder / "huge.toml";
  write_file(huge, "");
  fs::resize_file(huge, 100 << 20);
  expect_refused(run_program({"fit", huge.string()}), "input files of up to");
  fs::remove(huge);
}

TEST(BadInput, AFileThatCannotBeReachedIsSaidToBeThat) {
  const fs::path folder = fresh_folder(), link = folder / "itself.toml";
  fs::create_symlink(link, link);
  expect_refused(run_program({"fit", link.string()}), "itself.toml: cannot be reached: Too many levels");
}

// The note on two bows quotes the files' names, which need not be UTF-8 as JSON must be.
TEST(BadInput, AFileNameThatIsNotUtf8IsToldInJson) {
  const fs::path folder = fresh_folder(), bow = folder / "b\xf6w.toml";
  write_file(bow, "[bow]\naxle_to_axle = \"32 in\"\n");
  const std::string other = in_project("examples/survey-face/bow.toml").string();
  const Outcome fit =
      run_program(std::vector<std::string>({"fit", other, bow.string(), "--json", "-o", (folder / "out").string()}));
  EXPECT_EQ(fit.exit_code, 0) << fit.err;
  const std::string text = read_file(folder / "out" / "fit.json");
  EXPECT_EQ(fit.out.substr(0, text.size()), text);
  EXPECT_THAT(nlohmann::json::parse(text)["notes"].dump(), HasSubstr("b\xef\xbf\xbdw.toml, which came after"));
}

TEST(BadInput, ContradictionsAreNamed) {
  const fs::path folder = fresh_folder();
  const auto with = [&](const std::string& text) {
    write_file(folder / "more.toml", text);
    return run_program(first_fit({(folder / "more.toml").string()}));
  };
  expect_refused(with("[archer.face]\nhollow_below_eye = \"74 mm\"\n"), "sublabiale");
  expect_refused(with("[arrow]\nspeed = \"31 m/s\"\n[distances]\nfar = \"150 m\"\n"), "does not reach");
  expect_refused(with("[bow.full_draw]\nstring_angle = \"140 deg\"\n"), "");
}

TEST(Scan, IsLookedForBesideItsFileAndRefusedByName) {
  const fs::path folder = fresh_folder();
  const std::string marks =
      "[archer.face.scan_landmarks]\npupil_left = [0, 31, 0]\npupil_right = [0, -31, 0]\npronasale = [30, 0, -38]\n"
      "sublabiale = [12, 0, -85]\ncheilion_left = [10, 25, -66]\ncheilion_right = [10, -25, -66]\n";
  const auto said = [&](const std::string& head, const std::string& part) {
    write_file(folder / "scan.toml", head + marks);
    expect_refused(run_program(first_fit({(folder / "scan.toml").string(), "-o", (folder / "out").string()})), part);
  };
  said("[archer.face]\nscan = \"head.ply\"\n", "scan_unit");
  said("[archer.face]\nscan = \"head.ply\"\nscan_unit = \"mm\"\n",
       (folder / "head.ply").string() + ": cannot be used as a scan: there is no such file");
  write_file(folder / "head.obj", "v 0 0 0\nv 10 0 0\nv 0 10 0\nf 1 2 3\n");
  said("[archer.face]\nscan = \"head.obj\"\nscan_unit = \"mm\"\n", "head.obj");
  said("[archer.face]\nscan = \"head.obj\"\nscan_unit = \"m\"\n", "scan_unit = \"mm\"");
  EXPECT_FALSE(fs::exists(folder / "out"));
}

TEST(Faults, AFolderThatCannotBeWrittenIsCodeThree) {
  const fs::path folder = fresh_folder();
  write_file(folder / "a file", "mine");
  Outcome outcome = run_program(first_fit({"--quiet", "-o", (folder / "a file").string()}));
  EXPECT_EQ(outcome.exit_code, 3) << outcome.err;
  EXPECT_EQ(read_file(folder / "a file"), "mine");
  outcome = run_program(first_fit({"--quiet", "-o", "/proc/peepwright"}));
  EXPECT_EQ(outcome.exit_code, 3) << outcome.err;
  fs::create_directories(folder / "out" / "fit.json");
  outcome = run_program(first_fit({"--quiet", "-o", (folder / "out").string()}));
  EXPECT_EQ(outcome.exit_code, 3) << outcome.err;
  EXPECT_EQ(names_in(folder / "out"), std::vector<std::string>{"fit.json"});
}

TEST(Faults, ADiskThatFillsLeavesTheEarlierRunAsItWas) {
  const fs::path folder = fresh_folder();
  if (::mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=40k") != 0)
    GTEST_SKIP() << "no right to mount a small file system here";
  const fs::path out = folder / "out";
  fs::create_directories(out);
  write_file(out / "fit.json", "an earlier run");
  const Outcome outcome = run_program(first_fit({"--quiet", "-o", out.string()}));
  const auto names = names_in(out);
  const std::string kept = read_file(out / "fit.json");
  ::umount(folder.c_str());
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_THAT(outcome.err, HasSubstr("No space left"));
  EXPECT_EQ(names, std::vector<std::string>{"fit.json"});
  EXPECT_EQ(kept, "an earlier run");
}

TEST(Faults, WhatAKilledRunLeftIsNotInTheWayAndOldSheetsGo) {
  const fs::path folder = fresh_folder();
  write_file(folder / ".fit.json.1234.part", "half of");
  write_file(folder / "gauge-2.svg", "second sheet of another bow");
  EXPECT_EQ(run_program(first_fit({"--quiet", "-o", folder.string()})).exit_code, 0);
  EXPECT_FALSE(fs::exists(folder / "gauge-2.svg"));
  EXPECT_EQ(read_file(folder / ".fit.json.1234.part"), "half of");
  for (const std::string& name : names_in(folder)) EXPECT_NE(::access((folder / name).c_str(), R_OK), -1) << name;
}

TEST(Faults, AnEmptyFolderNameIsRefused) { expect_refused(run_program(first_fit({"-o", ""})), "empty"); }

TEST(Faults, AFullTerminalIsSaid) {
  // The report cannot be written: exit code 3, not a silent 0.
  const fs::path folder = fresh_folder();
  const std::string command = std::string(PEEPWRIGHT_PROGRAM) + " keys > /dev/full 2> " + (folder / "err").string();
  const int status = std::system(command.c_str());
  EXPECT_EQ(WEXITSTATUS(status), 3);
  EXPECT_THAT(read_file(folder / "err"), HasSubstr("cannot be written"));
}

}  // namespace
}  // namespace peepwright
