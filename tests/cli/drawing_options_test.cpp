// SPDX-License-Identifier: GPL-3.0-or-later
// Options and cautions of every command that draws.

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

std::vector<std::string> files(const std::string& command, std::vector<std::string> more) {
  std::vector<std::string> out{command};
  if (command == "compare") out.emplace_back("--a");
  out.push_back(in_project("examples/tied-too-low/fit.toml").string());
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

/// A report breaks its lines.
std::string unbroken(std::string text) {
  for (std::size_t at = 0; (at = text.find("\n    ", at)) != std::string::npos;) text.replace(at, 5, " ");
  return text;
}

TEST(SvgText, EveryCommandThatWritesSvgTakesIt) {
  const fs::path folder = fresh_folder();
  for (const auto& [command, name] : {std::pair<const char*, const char*>{"fit", "side-view.svg"},
                                      {"fit", "gauge.svg"},
                                      {"gauge", "gauge.svg"},
                                      {"view", "side-view.svg"},
                                      {"compare", "compare.svg"},
                                      {"draw", "draw-force.svg"},
                                      {"sweep", "sweep-mark-sight-extension.svg"}}) {
    std::vector<std::string> more{"--quiet", "-o", (folder / command).string()};
    if (std::string(command) == "sweep") more.insert(more.end(), {"--vary", "sight.extension=8 in..10 in/1 in"});
    ASSERT_EQ(run_program(files(command, more)).exit_code, 0) << command;
    EXPECT_GT(read_file(folder / command / name).size(), 5000U) << command << ' ' << name;
    EXPECT_EQ(read_file(folder / command / name).find("<text"), std::string::npos) << command;
    more.emplace_back("--svg-text");
    ASSERT_EQ(run_program(files(command, more)).exit_code, 0) << command;
    EXPECT_NE(read_file(folder / command / name).find("<text"), std::string::npos) << command << ' ' << name;
    EXPECT_NE(read_file(folder / command / name).find("@font-face"), std::string::npos) << command << ' ' << name;
  }
}

TEST(Labels, ThatNoFontShowsAreToldByEveryCommand) {
  const fs::path folder = fresh_folder();
  write_file(folder / "label.toml", "[archer]\nlabel = \"弓 Zoë Ωλ\"\n");
  for (const char* command : {"fit", "gauge", "view", "compare", "draw", "sweep"}) {
    std::vector<std::string> more{(folder / "label.toml").string(), "-o", (folder / command).string()};
    if (std::string(command) == "sweep") more.insert(more.end(), {"--vary", "sight.extension=8 in..10 in/1 in"});
    const Outcome outcome = run_program(files(command, more));
    EXPECT_EQ(outcome.exit_code, 0) << command << outcome.err;
    const std::string said = unbroken(outcome.out);
    EXPECT_THAT(said, HasSubstr("\"?\" for 弓 (U+5F13) of the label \"弓 Zoë Ωλ\"")) << command;
    EXPECT_THAT(said, HasSubstr("PEEPWRIGHT_FONT_DIR")) << command;
  }
  EXPECT_THAT(nlohmann::json::parse(read_file(folder / "fit" / "fit.json"))["notes"].dump(), HasSubstr("弓"));
}

TEST(TwoBows, AreToldByEveryCommandThatTakesThemForOne) {
  const fs::path folder = fresh_folder();
  write_file(folder / "b.toml", "[bow]\naxle_to_axle = \"33 in\"\n");
  const std::string first = in_project("examples/survey-face/bow.toml").string();
  const std::string second = (folder / "b.toml").string(), out = (folder / "out").string();
  for (const std::vector<std::string>& more :
       std::vector<std::vector<std::string>>{{"fit"},
                                             {"gauge", "-o", out},
                                             {"view", "-o", out},
                                             {"model", "-o", out},
                                             {"verify", "--mark", "126 mm", "--eye-to-arrow", "92 mm"},
                                             {"draw"},
                                             {"sweep", "-o", out, "--vary", "sight.extension=8 in..10 in/1 in"}}) {
    std::vector<std::string> arguments = more;
    arguments.insert(arguments.begin() + 1, {first, second});
    const Outcome outcome = run_program(arguments);
    EXPECT_EQ(outcome.exit_code, 0) << more.front() << outcome.err;
    EXPECT_THAT(unbroken(outcome.out), HasSubstr("bow.axle_to_axle is of " + second)) << more.front();
  }
  const Outcome compared = run_program({"compare", "--a", first, second, "--b", first});
  EXPECT_THAT(compared.out, HasSubstr("bow.axle_to_axle is of " + second)) << compared.err;
}

TEST(Yards, ASightThatIsStruckIsForbiddenAtTheSameDistanceByFitAndView) {
  const fs::path folder = fresh_folder();
  write_file(folder / "low.toml", "[sight]\nbar_drop = \"70 mm\"\n");
  const auto written = [&](const std::string& command, const std::string& file) {
    const Outcome outcome = run_program(files(
        command, {(folder / "low.toml").string(), "--units", "in", "--svg-text", "-o", (folder / command).string()}));
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return read_file(folder / command / file);
  };
  const std::string of_fit = written("fit", "side-view.svg"), of_view = written("view", "side-view.svg");
  EXPECT_THAT(of_fit, HasSubstr("DO NOT SHOOT"));
  EXPECT_EQ(of_fit, of_view);
}

TEST(Compare, ForbidsWhatEitherFitForbids) {
  const fs::path folder = fresh_folder();
  write_file(folder / "low.toml", "[sight]\nhousing_diameter = \"80 mm\"\n");
  write_file(folder / "short.toml", "[arrow]\nlength = \"25 in\"\n");
  const std::string fit = example("tied-too-low/fit.toml"), low = (folder / "low.toml").string(),
                    shorter = (folder / "short.toml").string(), out = (folder / "out").string();
  const auto compare = [&](std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "compare");
    arguments.insert(arguments.end(), {"-o", out, "--svg-text"});
    const Outcome outcome = run_program(arguments);
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return std::pair{outcome.out, read_file(folder / "out" / "compare.svg")};
  };
  const auto [tied, tied_sheet] = compare({"--a", fit, low});
  for (const std::string& said : {tied, tied_sheet}) {
    EXPECT_THAT(said, HasSubstr("A: DO NOT SHOOT at "));
    EXPECT_THAT(said, Not(HasSubstr("B: DO NOT")));
  }
  const auto [two, two_sheet] = compare({"--a", fit, shorter, "--b", fit});
  for (const std::string& said : {two, two_sheet}) {
    EXPECT_THAT(said, HasSubstr("A: DO NOT DRAW with this arrow"));
    EXPECT_THAT(said, Not(HasSubstr("B: DO NOT")));
  }
  EXPECT_THAT(two, StartsWith("A: DO NOT DRAW"));
  EXPECT_THAT(two, HasSubstr("shot into hand or arm"));
  const auto [same, same_sheet] = compare({"--a", fit, shorter, "--b", fit, shorter});
  for (const std::string& said : {same, same_sheet}) EXPECT_THAT(said, HasSubstr("A and B: DO NOT DRAW with"));
  const auto [none, none_sheet] = compare({"--a", fit, "--b", fit});
  for (const std::string& said : {none, none_sheet}) EXPECT_THAT(said, Not(HasSubstr("DO NOT")));
}

TEST(Labels, ThatAreShownAreNotTold) {
  const fs::path folder = fresh_folder();
  write_file(folder / "label.toml", "[archer]\nlabel = \"Zoë Ωλ Жук אב ½ 33″\"\n");
  const Outcome outcome = run_program(files("view", {(folder / "label.toml").string(), "-o", folder.string()}));
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_THAT(outcome.out, Not(HasSubstr("Mind")));
  const Outcome dated = run_program(files("view", {"--date", "5月2日", "-o", folder.string()}));
  EXPECT_THAT(dated.out, HasSubstr("月 (U+6708), 日 (U+65E5)"));
}

}  // namespace
}  // namespace peepwright
