// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "exporters/sweep/sweep_merge.hpp"
#include "exporters/sweep/sweep_summary.hpp"
#include "exporters/sweep/sweep_units.hpp"
#include "tests/exporters/sweep_sample.hpp"

namespace peepwright {
namespace {

using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr double billionth = 0.501e-9;  // half of it, as numbers are rounded

TEST_F(SweepFiles, NumbersReadBackToABillionth) {
  const std::string csv = write_part(1, 1);
  SweepReader reader(csv);
  std::size_t solved = 0;
  for (const SweepRow& row : rows()) {
    ASSERT_TRUE(reader.next());
    EXPECT_NEAR(reader.number(reader.column("bow.draw_length_mm")).value(), row.values[0], billionth);
    EXPECT_EQ(reader.field(reader.column("problem")), row.problem);
    if (!row.outcome) continue;
    ++solved;
    EXPECT_NEAR(reader.number(reader.column("mark_mm")).value(), row.outcome->mark_mm, billionth);
    EXPECT_NEAR(reader.number(reader.column("nock_face_mm")).value(), row.outcome->gap_mm[5], billionth);
    EXPECT_EQ(reader.field(reader.column("clears")), row.outcome->all_met() ? "yes" : "no");
  }
  EXPECT_FALSE(reader.next());
  EXPECT_GT(solved, 0u);
  EXPECT_LT(solved, rows().size());
}

/// Wherever a killed process left the file, resuming gives the same bytes.
TEST_F(SweepFiles, CutAnywhereItIsGoneOnWithToTheSameBytes) {
  const std::string whole = read(write_part(1, 1));
  ASSERT_EQ(whole, header() + text_of({0, plan().size()}));
  for (std::size_t cut = 0; cut <= whole.size(); cut += 101) {
    fs::remove_all(folder);
    { SweepFile begun(folder.string(), manifest(), header(), SweepFile::Start::fresh); }
    std::ofstream(folder / "sweep.partial.csv", std::ios::binary | std::ios::trunc) << whole.substr(0, cut);
    EXPECT_FALSE(fs::exists(folder / "sweep.csv"));
    SweepFile file(folder.string(), manifest(), header(), SweepFile::Start::resume);
    if (!file.complete()) file.append(text_of({file.next(), plan().size()}), plan().size());
    file.finish();
    ASSERT_EQ(read(folder / "sweep.csv"), whole) << cut;
    EXPECT_FALSE(fs::exists(folder / "sweep.partial.csv"));
    EXPECT_FALSE(fs::exists(folder / "sweep.partial.json"));
    EXPECT_TRUE(read_manifest((folder / "sweep.json").string()).complete);
  }
}

/// Killed between the steps that put a finished table in its place.
TEST_F(SweepFiles, KilledAtTheVeryEndItIsFinished) {
  const std::string whole = read(write_part(1, 1)), json = read(folder / "sweep.json");
  const auto finish = [&] {
    SweepFile file(folder.string(), manifest(), header(), SweepFile::Start::resume);
    EXPECT_TRUE(file.complete());
    file.finish();
    EXPECT_EQ(read(folder / "sweep.csv"), whole);
    EXPECT_EQ(read(folder / "sweep.json"), json);
  };
  fs::rename(folder / "sweep.json", folder / "sweep.partial.json");
  finish();
  fs::rename(folder / "sweep.json", folder / "sweep.partial.json");
  fs::rename(folder / "sweep.csv", folder / "sweep.partial.csv");
  finish();
  finish();  // and once more, with nothing to do
}

TEST_F(SweepFiles, WhatIsThereIsNotTakenForAnotherSweep) {
  { SweepFile begun(folder.string(), manifest(), header(), SweepFile::Start::fresh); }
  const auto start = [&](SweepFile::Start how, const std::string& fingerprint, ErrorCode code = ErrorCode::input) {
    return refusal([&] { SweepFile(folder.string(), manifest(1, 1, fingerprint), header(), how); }, code);
  };
  EXPECT_THAT(start(SweepFile::Start::fresh, "0"), HasSubstr("--resume"));
  EXPECT_THAT(start(SweepFile::Start::resume, "1"), HasSubstr("another sweep"));
  SweepFile running(folder.string(), manifest(), header(), SweepFile::Start::resume);
  EXPECT_THAT(start(SweepFile::Start::resume, "0", ErrorCode::write), HasSubstr("another process"));
}

TEST_F(SweepFiles, AChangedTableIsRefused) {
  { SweepFile begun(folder.string(), manifest(), header(), SweepFile::Start::fresh); }
  std::ofstream(folder / "sweep.partial.csv", std::ios::binary | std::ios::trunc) << header() << text_of({1, 3});
  EXPECT_THAT(refusal([&] { SweepFile(folder.string(), manifest(), header(), SweepFile::Start::resume); }),
              HasSubstr("variant 1 stands where 0"));
}

TEST_F(SweepFiles, PartsJoinToTheSameBytes) {
  const std::string whole = read(write_part(1, 1)), json = read(folder / "sweep.json");
  fs::remove(folder / "sweep.csv");
  fs::remove(folder / "sweep.json");
  const std::string c = write_part(3, 3), a = write_part(1, 3), b = write_part(2, 3);
  const MergedSweep merged = merge_sweeps({c, a, b}, folder.string());
  EXPECT_EQ(read(merged.csv), whole);
  EXPECT_EQ(read(folder / "sweep.json"), json);
}

TEST_F(SweepFiles, PartsThatDoNotJoinAreRefused) {
  const std::string a = write_part(1, 3), b = write_part(2, 3), c = write_part(3, 3);
  const std::string out = (folder / "out").string();
  const auto said = [&](const std::vector<std::string>& parts) { return refusal([&] { merge_sweeps(parts, out); }); };
  EXPECT_THAT(said({a, c}), HasSubstr("part 2 of 3 is missing"));
  EXPECT_THAT(said({a, b}), HasSubstr("part 3 of 3 is missing"));
  EXPECT_THAT(said({b, c}), HasSubstr("part 1 of 3 is missing"));
  EXPECT_THAT(said({a, b, b, c}), HasSubstr("both part 2 of 3"));
  EXPECT_THAT(said({a, b, c, c}), HasSubstr("both part 3 of 3"));
  EXPECT_THAT(said({a, b, write_part(4, 4)}), HasSubstr("overlap"));
  EXPECT_THAT(said({a, b, "nothing.csv"}), HasSubstr("nothing.json"));
  const std::string text = read(c);
  std::ofstream(c, std::ios::binary | std::ios::trunc) << text.substr(0, text.size() - 5);
  EXPECT_THAT(said({a, b, c}), HasSubstr("damaged"));
  fs::remove(c);
  write_part(3, 3, "other");
  EXPECT_THAT(said({a, b, c}), HasSubstr("different sweeps"));
  EXPECT_FALSE(fs::exists(out));
}

TEST_F(SweepFiles, SummaryCountsWhatTheRowsSay) {
  const SweepSummary s = summarise(write_part(1, 1), manifest());
  std::uint64_t solved = 0, clear = 0, nock = 0;
  double least = 1e9;
  for (const SweepRow& row : rows())
    if (row.outcome) {
      ++solved;
      clear += row.outcome->all_met();
      nock += !row.outcome->met[5];
      least = std::min(least, row.outcome->mark_mm);
    }
  EXPECT_EQ(s.rows, rows().size());
  EXPECT_EQ(s.solved, solved);
  EXPECT_EQ(s.clear, clear);
  EXPECT_EQ(s.clearances[5].not_met, nock);
  EXPECT_NEAR(s.mark.least, least, billionth);
  EXPECT_EQ(rows()[s.mark.least_at].outcome->mark_mm, least);
  EXPECT_EQ(s.by_axis.front().size(), plan().size());
  const std::string text = summary_text(s, PaperUnits::millimetres);
  EXPECT_THAT(text, HasSubstr("Cannot be:"));
  EXPECT_THAT(text, HasSubstr("bow.draw_length: all clear"));
  EXPECT_THAT(text, Not(HasSubstr("the last value is")));
}

/// The line of `text` that begins with `name`.
std::string line_of(const std::string& text, const std::string& name) {
  const std::size_t at = text.find(name);
  return at == std::string::npos ? "no " + name : text.substr(at, text.find('\n', at) - at);
}

TEST_F(SweepFiles, SummarySpeaksInchesThroughout) {
  const std::string text = summary_text(summarise(write_part(1, 1), manifest()), PaperUnits::inches);
  for (const char* name : {"Mark:", "Height:", "Forward:", "Up:"}) {
    EXPECT_THAT(line_of(text, name), HasSubstr(" in (")) << text;
    EXPECT_THAT(line_of(text, name), HasSubstr(" mm)")) << text;
  }
  EXPECT_THAT(line_of(text, "Longest:"), HasSubstr(" yd (")) << text;
  for (const std::string_view clearance : clearance_names)
    EXPECT_THAT(line_of(text, "  " + std::string(clearance) + " "), HasSubstr(" in (")) << text;
  EXPECT_THAT(line_of(text, "  bow.draw_length: "), ContainsRegex("some clear [0-9 /]+ in to [0-9 /]+ in")) << text;
}

TEST_F(SweepFiles, VariedKeysAreShownInTheUnitsOfTheirTrade) {
  const auto shown = [](const char* range, PaperUnits units) {
    const SweepManifest m = manifest_of({test::shop_spec(), {parse_variation(range)}, std::nullopt}, "0", 1, 1);
    return text_on(m.axes[0], m.axes[0].to, units);
  };
  constexpr auto mm = PaperUnits::millimetres, in = PaperUnits::inches;
  EXPECT_EQ(shown("bow.peak_weight=40 lbf..70 lbf/10 lbf", in), "70 lbf");
  EXPECT_EQ(shown("bow.peak_weight=200 N..300 N/50 N", mm), "300 N");
  EXPECT_EQ(shown("distances.far=40 yd..60 yd/10 yd", in), "60 yd");
  EXPECT_EQ(shown("distances.far=40 m..60 m/10 m", mm), "60 m");
  EXPECT_EQ(shown("sight.two_marks.far=40 yd..60 yd/10 yd", in), "60 yd");
  EXPECT_EQ(shown("air.altitude=0 ft..3000 ft/1000 ft", in), "3000 ft");
  EXPECT_EQ(shown("arrow.speed=250 ft/s..300 ft/s/10 ft/s", in), "300 ft/s");
  EXPECT_EQ(shown("arrow.mass=350 gr..450 gr/25 gr", in), "450 gr");
  EXPECT_EQ(shown("bow.axle_to_axle=28 in..36 1/4 in/1/4 in", in), "36 1/4 in");
  EXPECT_EQ(shown("bow.string.diameter=2 mm..2.4 mm/0.1 mm", in), "0.094488 in");
  EXPECT_EQ(shown("bow.let_off=0.7..0.8/0.1", in), "0.8");
  EXPECT_EQ(shown("peep.bore_angle=30 deg..40 deg/5 deg", in), "40 deg");
}

TEST_F(SweepFiles, AnEndThatNoStepMeetsIsTold) {
  const SweepPlan odd(test::shop_spec(), {parse_variation("bow.axle_to_axle=28 in..36 in/5 in")}, std::nullopt);
  const SweepManifest m = manifest_of(odd, "0", 1, 1);
  SweepFile file(folder.string(), m, csv_header(sweep_columns(odd.keys(), false)), SweepFile::Start::fresh);
  file.append(csv_rows(Evaluator(odd, odd.base()).rows(0, odd.size()), odd.keys(), false), m.rows.last);
  file.finish();
  EXPECT_THAT(summary_text(summarise(file.path(), m), PaperUnits::inches),
              HasSubstr("bow.axle_to_axle: the last value is 33 in; one more step of 5 in would pass the range's end, "
                        "36 in"));
}

}  // namespace
}  // namespace peepwright
