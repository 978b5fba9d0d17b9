// SPDX-License-Identifier: GPL-3.0-or-later
// An archer who aims through a peep that is tied has the eye where that peep puts it. Whoever asks for the eye's height
// says so: settle with eyes closed, then read.

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

TEST(EyeReading, EveryPlaceThatAsksForItSaysEyesClosed) {
  const std::string help = run_program({"verify", "--help"}).out;
  for (const char* option : {"--eye-to-arrow", "--comfortable"}) {
    const std::size_t at = help.find(option), end = help.find("\n  --", at + 1);
    ASSERT_NE(at, std::string::npos);
    EXPECT_THAT(help.substr(at, end - at), HasSubstr("eyes closed")) << option;
  }
  const std::string keys = run_program({"keys"}).out;
  const std::size_t key = keys.find("archer.face.eye_to_arrow\n");
  ASSERT_NE(key, std::string::npos);
  EXPECT_THAT(keys.substr(key, 200), HasSubstr("eyes closed"));

  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program({"new", (folder / "new").string()}).exit_code, 0);
  const auto before = [](const std::string& text, const std::string& word) {
    const std::size_t at = text.find(word);
    return text.substr(at - std::min<std::size_t>(at, 300), std::min<std::size_t>(at, 300));
  };
  EXPECT_THAT(before(read_file(folder / "new" / "archer.toml"), "# eye_to_arrow"),
              AllOf(HasSubstr("eyes closed"), HasSubstr("finger off the trigger")));
  const Outcome fit = run_program({"fit", example("first-fit/bow.toml"), example("first-fit/arrow.toml")});
  const std::size_t next = fit.out.find("- archer.face.eye_to_arrow");
  ASSERT_NE(next, std::string::npos) << fit.out;
  EXPECT_THAT(fit.out.substr(next, 200), HasSubstr("eyes closed"));

  const std::string guide = read_file(in_project("examples/bench-guide.md"));
  const std::size_t row = guide.find("| 1 eye to arrow"), verify = guide.find("add `--eye-to-arrow`");
  ASSERT_TRUE(row != std::string::npos && verify != std::string::npos);
  EXPECT_THAT(guide.substr(row, guide.find('\n', row) - row),
              AllOf(HasSubstr("eyes closed"), HasSubstr("finger off the trigger")));
  EXPECT_THAT(guide.substr(verify, 300), AllOf(HasSubstr("eyes closed"), HasSubstr("craning")));
  const std::string readme = read_file(in_project("README.md"));
  const std::size_t told = readme.find("`archer.face.eye_to_arrow`");
  ASSERT_NE(told, std::string::npos);
  EXPECT_THAT(readme.substr(told, 150), HasSubstr("eyes closed"));
}

TEST(Populations, OfTheSurveySayWhatTheyLack) {
  const fs::path folder = fresh_folder();
  const auto sweep = [&](const char* population) {
    return run_program({"sweep", example("first-fit/arrow.toml"), example("survey-face/bow.toml"), "--population",
                        population, "-o", (folder / population).string()})
        .out;
  };
  EXPECT_THAT(sweep("survey-female:5"), HasSubstr("Mind: survey-female has what the survey measured"));
  EXPECT_THAT(sweep("adult-female:5"), Not(HasSubstr("Mind:")));
  EXPECT_THAT(read_file(folder / "adult-female:5" / "sweep.csv"), HasSubstr(",archer.face.spread.hollow_ahead_mm,"));
}

}  // namespace
}  // namespace peepwright
