// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "exporters/sweep/sweep_merge.hpp"
#include "exporters/sweep/sweep_summary.hpp"
#include "tests/exporters/sweep_sample.hpp"

namespace peepwright {
namespace {

using ::testing::HasSubstr;

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
}

}  // namespace
}  // namespace peepwright
