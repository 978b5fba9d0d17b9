// SPDX-License-Identifier: GPL-3.0-or-later
// The limits that cli/errors.md names: what is at one is taken, what is above it is refused in words and nothing is
// written.

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

const std::string bow = "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"7 in\"\ndraw_length = \"29 in\"\n";

Outcome fit_of(const fs::path& folder, const std::string& text, const std::vector<std::string>& more = {}) {
  write_file(folder / "bow.toml", text);
  std::vector<std::string> arguments{"fit", (folder / "bow.toml").string()};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return run_program(arguments);
}

TEST(Limits, OfAnInputFile) {
  const fs::path folder = fresh_folder();
  const std::string full = bow + std::string((1 << 20) - bow.size(), '\n');
  EXPECT_EQ(fit_of(folder, full).exit_code, 0);
  expect_refused(fit_of(folder, full + "\n"), "1048577 bytes; input files of up to 1048576 bytes are read");
}

TEST(Limits, OfALabelAndADate) {
  const fs::path folder = fresh_folder();
  const auto labelled = [&](std::size_t bytes) { return bow + "label = \"" + std::string(bytes, 'x') + "\"\n"; };
  EXPECT_EQ(fit_of(folder, labelled(1000)).exit_code, 0);
  expect_refused(fit_of(folder, labelled(1001)), "bow.label: is 1001 bytes long; at most 1000 are kept");
  expect_refused(fit_of(folder, labelled(1000000)), "is 1000000 bytes long; at most 1000 are kept");
  EXPECT_EQ(fit_of(folder, bow, {"--date", std::string(1000, 'x')}).exit_code, 0);
  expect_refused(fit_of(folder, bow, {"--date", std::string(1001, 'x')}),
                 "--date: is 1001 bytes long; at most 1000 are kept");
}

TEST(Limits, OfALabelThatIsDrawn) {
  const fs::path folder = fresh_folder(), out = folder / "out";
  const Outcome drawn = fit_of(folder, bow + "label = \"" + std::string(1000, 'W') + "\"\n", {"-o", out.string()});
  // Drawn, broken into lines or shortened; or said to have no room. Never half.
  EXPECT_TRUE(drawn.exit_code == 0 || drawn.exit_code == 2) << drawn.exit_code << drawn.err;
  EXPECT_EQ(fs::exists(out / "fit.json"), drawn.exit_code == 0);
}

TEST(Limits, OfLists) {
  const fs::path folder = fresh_folder();
  const auto listed = [&](int count) {
    std::string out = bow + "[distances]\nmarks = [";
    for (int k = 0; k < count; ++k) out += (k ? ", \"" : "\"") + std::to_string(5 + k % 60) + " m\"";
    return out + "]\n";
  };
  EXPECT_EQ(fit_of(folder, listed(200)).exit_code, 0);
  expect_refused(fit_of(folder, listed(201)), "has 201 entries; accepted are 1 to 200");
  expect_refused(fit_of(folder, bow + "force_draw = [[\"9 in\", \"3 lbf\"]]\n"),
                 "has 1 readings; accepted are 6 to 200");
}

TEST(Limits, OfASweep) {
  const fs::path folder = fresh_folder(), out = folder / "out";
  write_file(folder / "bow.toml", bow);
  const auto swept = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {"sweep", (folder / "bow.toml").string(), "-o", out.string()});
    return run_program(more);
  };
  expect_refused(
      swept({"--vary", "bow.axle_to_axle=30 in..36 in/0.001 mm", "--vary", "bow.brace_height=6 in..8 in/0.005 mm"}),
      "more than 1000000000 variants");
  expect_refused(swept({"--vary", "bow.axle_to_axle=30 in..36 in/1 in", "--latin", "1000000001"}),
                 "1000000001 points; at most 1000000000");
  expect_refused(swept({"--vary", "bow.axle_to_axle=30 in..36 in/0.0001 mm"}), "at most 1000000 are taken");
  expect_refused(swept({"--population", "adult-male:100000001"}), "accepted are 1 to 100000000");
  EXPECT_FALSE(fs::exists(out));
}

TEST(Limits, OfASweepsOwnFiles) {
  const fs::path folder = fresh_folder();
  const std::string out = (folder / "out").string();
  write_file(folder / "bow.toml", bow);
  const std::vector<std::string> sweep{
      "sweep", (folder / "bow.toml").string(), "--vary", "bow.axle_to_axle=30 in..36 in/1 in", "-o", out};
  ASSERT_EQ(run_program(sweep).exit_code, 0);
  const auto merged = [&] { return run_program({"merge", out + "/sweep.csv", "-o", (folder / "merged").string()}); };
  ASSERT_EQ(merged().exit_code, 0);
  fs::remove_all(folder / "merged");
  const std::string table = read_file(out + "/sweep.csv"), description = read_file(out + "/sweep.json");
  write_file(out + "/sweep.csv", table + std::string(70000, '1') + "\n");
  expect_refused(merged(), "is longer than 65536 bytes; this is no table of a sweep");
  write_file(out + "/sweep.csv", table);
  write_file(out + "/sweep.json", description + std::string(1 << 20, ' '));
  expect_refused(merged(), "does not describe a sweep");
}

}  // namespace
}  // namespace peepwright
