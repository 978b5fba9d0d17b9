// SPDX-License-Identifier: GPL-3.0-or-later
// Slips of people who try the program: what it says names what was typed.
#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

/// What "fit -o" says of the first example with `text` after its files; nothing may be written.
void expect_fit_refused(const std::string& text, const std::string& part) {
  const fs::path folder = fresh_folder();
  write_file(folder / "more.toml", text);
  const Outcome outcome =
      run_program(first_example("fit", {(folder / "more.toml").string(), "-o", (folder / "out").string()}));
  expect_refused(outcome, part);
  EXPECT_FALSE(fs::exists(folder / "out")) << text;
}

TEST(Mistakes, UnknownCommandsAndOptionsAreNamedWithTheNearest) {
  const struct {
    std::vector<std::string> words;
    const char* part;
  } cases[] = {{{"foo"}, "unknown command \"foo\". The commands are fit, "},
               {{"fti"}, "unknown command \"fti\"; did you mean fit?"},
               {{"verfiy", "--mark", "5 in"}, "unknown command \"verfiy\"; did you mean verify?"},
               {{"--versoin"}, "unknown option --versoin; did you mean --version?"},
               {{"fit", "--outptu=x", "a.toml"}, "unknown option --outptu of fit; did you mean --output?"},
               {{"fit", "a.toml", "-x"}, "unknown option -x of fit"},
               {{"help", "foo"}, "unknown command \"foo\""},
               {{}, "no command was given. The commands are fit, "}};
  for (const auto& c : cases) expect_refused(run_program(c.words), c.part);
}

TEST(Mistakes, HelpIsACommandToo) {
  EXPECT_EQ(run_program({"help"}).out, run_program({"--help"}).out);
  EXPECT_EQ(run_program({"help", "sweep"}).out, run_program({"sweep", "--help"}).out);
  EXPECT_THAT(run_program({"help", "sweep"}).out, HasSubstr("--vary"));
  EXPECT_EQ(run_program({"help"}).exit_code, 0);
}

TEST(Mistakes, AMarkWithoutItsSpaceIsRefused) {
  expect_fit_refused("peep.tied.mark = \"47/8 in\"\n", "perhaps \"4 7/8 in\" is meant");
  expect_refused(run_program(first_example("verify", {"--mark", "47/8 in"})), "perhaps \"4 7/8 in\" is meant");
  expect_refused(run_program(first_example("verify", {"--mark", "33 1/4 in"})),
                 "--mark: 33.25 in (844.55 mm) cannot be; accepted is 0.7874 in to 17.72 in (20 mm to 450 mm)");
}

TEST(Mistakes, ReadingsChangedOverAreAskedAbout) {
  expect_refused(run_program(first_example("verify", {"--mark", "90 mm", "--height", "126 mm"})),
                 "were the two swapped?");
  const Outcome other = run_program(first_example("verify", {"--mark", "30 mm", "--height", "290 mm"}));
  expect_refused(other, "Measure both again");
  EXPECT_THAT(other.err, Not(HasSubstr("swapped")));
}

// The strip has no room for such a body; what is said are the keys, and the numbers as they were written.
TEST(Mistakes, APeepTooWideForTheStripIsRefusedByItsKeys) {
  expect_fit_refused(
      "peep.body_length = \"20 mm\"\n",
      "peep.body_length = 20 mm and peep.body_diameter = 9 mm at peep.bore_angle = 45 deg make a peep 20.5 mm "
      "wide across the string; the strip has room for 18 mm");
  expect_fit_refused("peep.body_diameter = \"0.7 in\"\n", "peep.body_diameter = 0.7 in (17.78 mm)");
}

TEST(Mistakes, AFaceThatNobodyHasIsRefusedByItsKeys) {
  expect_fit_refused("archer.face.jaw_breadth = \"70 mm\"\n", "archer.face.jaw_breadth (70 mm)");
  const fs::path folder = fresh_folder();
  write_file(folder / "more.toml", "archer.face.jaw_breadth = \"70 mm\"\n");
  expect_refused(run_program(first_example("fit", {(folder / "more.toml").string()})),
                 "archer.face.jaw_breadth (70 mm)");
}

TEST(Mistakes, TwoHandsAreNotComparedWithOrWithoutADrawing) {
  const fs::path folder = fresh_folder();
  write_file(folder / "left.toml", "archer.hand = \"left\"\n");
  std::vector<std::string> words = first_example("compare");
  words.insert(words.begin() + 1, "--a");
  for (const std::string& file : {std::string("--b"), words[2], words[3], words[4], (folder / "left.toml").string()})
    words.push_back(file);
  expect_refused(run_program(words), "A draws with one hand and B with the other");
  words.insert(words.end(), {"-o", (folder / "out").string()});
  expect_refused(run_program(words), "A draws with one hand and B with the other");
  EXPECT_FALSE(fs::exists(folder / "out"));
}

// Short bows, and angles that are flat for their length, once made a riser whose outline crossed itself.
TEST(Mistakes, BowsFarFromTheUsualHaveTheirSolids) {
  const fs::path folder = fresh_folder();
  for (const char* bow : {"bow.axle_to_axle = \"33 1/4 in\"\nbow.full_draw.string_angle = \"63 deg\"\n",
                          "bow.axle_to_axle = \"20 in\"\nbow.full_draw.string_angle = \"82 deg\"\n"}) {
    write_file(folder / "bow.toml",
               std::string(bow) + "bow.brace_height = \"6 3/4 in\"\nbow.draw_length = \"29 1/2 in\"\n");
    const Outcome done = run_program({"fit", example("first-fit/archer.toml"), (folder / "bow.toml").string(),
                                      example("first-fit/arrow.toml"), "--quiet", "-o", (folder / "out").string()});
    EXPECT_EQ(done.exit_code, 0) << bow << done.err;
    EXPECT_THAT(names_in(folder / "out"), Contains("assembly.step")) << bow;
    fs::remove_all(folder / "out");
  }
}

// A left-handed head held against a right-handed one would give a shift that means nothing.
TEST(Mistakes, AReferenceOfTheOtherHandIsRefused) {
  const fs::path folder = fresh_folder();
  const std::vector<std::string> right{example("first-fit/archer.toml"), example("first-fit/shorter-bow.toml"),
                                       example("first-fit/arrow.toml")};
  const auto against = [&](std::vector<std::string> command, const std::vector<std::string>& more,
                           const std::string& reference) {
    command.insert(command.end(), right.begin(), right.end());
    command.insert(command.end(), more.begin(), more.end());
    command.insert(command.end(), {"--reference", reference, "-o", (folder / "out").string()});
    return run_program(command);
  };
  const std::vector<std::string> vary{"--vary", "bow.axle_to_axle=30 in..32 in/1 in"};
  for (const Outcome& outcome : {against({"fit"}, {}, example("left-handed/fit.toml")),
                                 against({"sweep"}, vary, example("left-handed/fit.toml"))}) {
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(outcome.err, HasSubstr("--reference draws with the left hand and the fit with the right one"));
  }
  EXPECT_FALSE(fs::exists(folder / "out"));
  EXPECT_EQ(against({"sweep"}, vary, example("tied-too-low/fit.toml")).exit_code, 0);
}

// A variant that is no bow costs its own solids, nothing else.
TEST(Mistakes, AModelThatCannotBeBuiltLeavesTheSweepWhole) {
  const fs::path folder = fresh_folder();
  const Outcome done =
      run_program({"sweep", example("first-fit/archer.toml"), example("first-fit/shorter-bow.toml"),
                   example("first-fit/arrow.toml"), "--vary", "bow.draw_length=20 in..36 in/16 in", "--vary",
                   "bow.axle_to_axle=20 in..50 in/30 in", "--models", "0,2,3", "-o", (folder / "out").string()});
  EXPECT_EQ(done.exit_code, 2) << done.err;
  EXPECT_THAT(done.err, HasSubstr("--models: the table is whole, but no solids were written of variant "));
  EXPECT_THAT(names_in(folder / "out"), AllOf(Contains("sweep.csv"), Contains("sweep-summary.json"),
                                              Contains("sweep-map.svg"), Not(Contains("assembly-2.step"))));
}

}  // namespace
}  // namespace peepwright
