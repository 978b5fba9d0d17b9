// SPDX-License-Identifier: GPL-3.0-or-later
#include <fcntl.h>
#include <pty.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

/// Files that make a bow, and a sweep of some hundred faces over it.
std::vector<std::string> sweep_arguments(const fs::path& folder, const std::vector<std::string>& more) {
  write_file(folder / "bow.toml",
             "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 1/2 in\"\n");
  std::vector<std::string> out{"sweep",  (folder / "bow.toml").string(),      "--population", "adult-male:150:2",
                               "--vary", "bow.axle_to_axle=31 in..35 in/2 in"};
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

TEST(SweepCommand, WritesTableManifestAndSummary) {
  const fs::path folder = fresh_folder();
  const Outcome done = run_program(sweep_arguments(folder, {"-o", (folder / "out").string()}));
  ASSERT_EQ(done.exit_code, 0) << done.err;
  EXPECT_EQ(done.err, "");  // no progress where nobody watches
  EXPECT_THAT(done.out, HasSubstr("SWEEP  450 variants, faces adult-male:150:2"));
  const auto summary = nlohmann::json::parse(read_file(folder / "out" / "sweep-summary.json"));
  EXPECT_EQ(summary["variants"], 450);
  EXPECT_EQ(summary["by_key"][0]["values"].size(), 3u);
  EXPECT_TRUE(nlohmann::json::parse(read_file(folder / "out" / "sweep.json"))["complete"]);
  EXPECT_FALSE(fs::exists(folder / "out" / "sweep.partial.csv"));
}

/// Becomes the program, in a process that was forked for it.
[[noreturn]] void become_program(const std::vector<std::string>& arguments) {
  std::vector<char*> words{const_cast<char*>(PEEPWRIGHT_PROGRAM)};
  for (const std::string& a : arguments) words.push_back(const_cast<char*>(a.c_str()));
  words.push_back(nullptr);
  ::execv(PEEPWRIGHT_PROGRAM, words.data());
  ::_exit(127);
}

/// Starts the program and kills it as soon as its partial table has `bytes`; false when it was done before.
bool run_and_kill(const std::vector<std::string>& arguments, const fs::path& partial, std::uintmax_t bytes, int signal,
                  int& exit_code) {
  const pid_t child = ::fork();
  if (child == 0) {
    const int nowhere = ::open("/dev/null", O_RDWR);
    for (const int stream : {0, 1, 2}) ::dup2(nowhere, stream);
    become_program(arguments);
  }
  int status = 0;
  while (::waitpid(child, &status, WNOHANG) == 0) {
    std::error_code missing;
    const std::uintmax_t size = fs::file_size(partial, missing);
    if (!missing && size >= bytes) {
      ::kill(child, signal);
      ::waitpid(child, &status, 0);
      break;
    }
    ::usleep(500);
  }
  exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return WIFSIGNALED(status) || exit_code != 0;
}

TEST(SweepCommand, KilledAtAnyMomentItResumesToTheSameBytes) {
  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program(sweep_arguments(folder, {"-o", (folder / "whole").string()})).exit_code, 0);
  const std::string whole = read_file(folder / "whole" / "sweep.csv");
  const std::string summary = read_file(folder / "whole" / "sweep-summary.json");
  const fs::path out = folder / "out";
  int killed = 0;
  for (const double share : {0.0, 0.002, 0.2, 0.5, 0.8}) {
    fs::remove_all(out);
    const auto arguments = sweep_arguments(folder, {"--threads", "2", "-o", out.string()});
    int code = 0;
    killed += run_and_kill(arguments, out / "sweep.partial.csv",
                           static_cast<std::uintmax_t>(share * static_cast<double>(whole.size())), SIGKILL, code);
    const Outcome resumed = run_program(sweep_arguments(folder, {"--resume", "--threads", "1", "-o", out.string()}));
    ASSERT_EQ(resumed.exit_code, 0) << resumed.err;
    EXPECT_EQ(read_file(out / "sweep.csv"), whole);
    EXPECT_EQ(read_file(out / "sweep-summary.json"), summary);
    EXPECT_FALSE(fs::exists(out / "sweep.partial.csv"));
  }
  EXPECT_GE(killed, 3);  // else this has tested nothing
}

TEST(SweepCommand, ShowsItsProgressOnATerminal) {
  const fs::path folder = fresh_folder();
  auto arguments = sweep_arguments(folder, {"-o", (folder / "out").string()});
  std::ranges::replace(arguments, "adult-male:150:2", "adult-male:1500:2");  // long enough to have something to show
  int terminal = -1;
  const pid_t child = ::forkpty(&terminal, nullptr, nullptr, nullptr);
  if (child == 0) become_program(arguments);
  std::string shown;
  char some[4096];
  for (ssize_t count; (count = ::read(terminal, some, sizeof some)) > 0;)
    shown.append(some, static_cast<std::size_t>(count));
  ::close(terminal);
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  EXPECT_THAT(shown, HasSubstr(" of 4500, "));
  EXPECT_THAT(shown, HasSubstr(" a second, "));
}

/// Most memory a run held, KiB.
long peak_kib(const std::vector<std::string>& arguments) {
  const pid_t child = ::fork();
  if (child == 0) {
    const int nowhere = ::open("/dev/null", O_RDWR);
    for (const int stream : {0, 1, 2}) ::dup2(nowhere, stream);
    become_program(arguments);
  }
  int status = 0;
  rusage used{};
  ::wait4(child, &status, 0, &used);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  return used.ru_maxrss;
}

// Half of a sweep, which draws no charts: their memory would hide that of the rows.
TEST(SweepCommand, MemoryDoesNotGrowWithTheVariants) {
#ifdef __SANITIZE_ADDRESS__
  GTEST_SKIP() << "the address sanitizer keeps what was given back";
#endif
  const fs::path folder = fresh_folder();
  write_file(folder / "bow.toml",
             "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 1/2 in\"\n");
  const auto peak = [&](const char* range, const char* name) {
    return peak_kib({"sweep", (folder / "bow.toml").string(), "--vary", std::string("sight.extension=") + range,
                     "--part", "1/2", "--netcdf", "--threads", "1", "-o", (folder / name).string()});
  };
  const long few = peak("100 mm..250 mm/0.0375 mm", "few");     // 2000 variants a half
  const long many = peak("100 mm..250 mm/0.00375 mm", "many");  // 20 000
  const auto rows = static_cast<long>(fs::file_size(folder / "many" / "sweep-1-of-2.csv") / 1024);
  EXPECT_GT(rows, 4500);  // KiB
  EXPECT_LT(many, few + rows / 3) << few << " KiB, then " << many;
  EXPECT_LT(many, 200 * 1024);
}

TEST(SweepCommand, InterruptedItSaysSoAndKeepsItsRows) {
  const fs::path folder = fresh_folder();
  const fs::path out = folder / "out";
  int code = 0;
  ASSERT_TRUE(
      run_and_kill(sweep_arguments(folder, {"-o", out.string()}), out / "sweep.partial.csv", 1000, SIGINT, code));
  EXPECT_EQ(code, 5);
  EXPECT_FALSE(nlohmann::json::parse(read_file(out / "sweep.partial.json"))["complete"]);
  EXPECT_TRUE(read_file(out / "sweep.partial.csv").ends_with('\n'));
  const Outcome again = run_program(sweep_arguments(folder, {"-o", out.string()}));
  EXPECT_EQ(again.exit_code, 2);
  EXPECT_THAT(again.err, HasSubstr("--resume"));
  EXPECT_EQ(run_program(sweep_arguments(folder, {"--resume", "-o", out.string()})).exit_code, 0);
}

TEST(SweepCommand, PartsMergeToTheSameBytes) {
  const fs::path folder = fresh_folder();
  const auto in = [&](const char* name) { return (folder / name).string(); };
  ASSERT_EQ(run_program(sweep_arguments(folder, {"-o", in("whole")})).exit_code, 0);
  std::vector<std::string> merge{"merge", "-o", in("merged")};
  for (const char* part : {"2/3", "1/3", "3/3"}) {
    ASSERT_EQ(run_program(sweep_arguments(folder, {"--part", part, "--quiet", "-o", in("parts")})).exit_code, 0);
    merge.push_back(in("parts") + "/sweep-" + part[0] + "-of-3.csv");
  }
  const Outcome merged = run_program(merge);
  ASSERT_EQ(merged.exit_code, 0) << merged.err;
  for (const char* name : {"sweep.csv", "sweep.json", "sweep-summary.json"})
    EXPECT_EQ(read_file(folder / "merged" / name), read_file(folder / "whole" / name)) << name;
  merge.pop_back();
  const Outcome missing = run_program(merge);
  EXPECT_EQ(missing.exit_code, 2);
  EXPECT_THAT(missing.err, HasSubstr("part 3 of 3 is missing"));
}

TEST(SweepCommand, WritesModelsOfChosenVariants) {
  const fs::path folder = fresh_folder();
  const Outcome done = run_program(sweep_arguments(folder, {"--models", "0,449", "-o", (folder / "out").string()}));
  ASSERT_EQ(done.exit_code, 0) << done.err;
  for (const char* name : {"assembly-0.step", "assembly-449.step"})
    EXPECT_TRUE(read_file(folder / "out" / name).starts_with("ISO-10303-21;")) << name;
}

TEST(SweepCommand, DrawsItsCharts) {
  const fs::path folder = fresh_folder();
  const auto two = sweep_arguments(
      folder, {"--vary", "bow.brace_height=6 in..7 in/1 in", "--latin", "300:4", "-o", (folder / "out").string()});
  auto few = two;
  few[3] = "adult-female:2";  // two persons, 300 points each
  ASSERT_EQ(run_program(few).exit_code, 0);
  for (const char* name : {"sweep-mark-bow-axle-to-axle", "sweep-clear-bow-axle-to-axle", "sweep-mark-bow-brace-height",
                           "sweep-longest", "sweep-map"}) {
    EXPECT_TRUE(read_file(folder / "out" / (std::string(name) + ".pdf")).starts_with("%PDF")) << name;
    EXPECT_THAT(read_file(folder / "out" / (std::string(name) + ".svg")), HasSubstr("<svg")) << name;
  }
}

/// A sweep of some rows over the bow alone; the bow's file is there.
std::vector<std::string> small_sweep(const fs::path& folder, const std::string& range,
                                     const std::vector<std::string>& more) {
  auto out = sweep_arguments(folder, {});
  out.resize(2);
  out.insert(out.end(), {"--quiet", "--vary", range});
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

const char *const axles = "bow.axle_to_axle=31 in..35 in/2 in", *const braces = "bow.brace_height=6 in..7 in/1 in";

// The folder never shows results of two sweeps as if they were one's.
TEST(SweepCommand, WhatAnEarlierSweepLeftGoes) {
  const fs::path folder = fresh_folder(), out = folder / "out", clean = folder / "clean";
  const auto ran = [&](const std::string& range, const std::vector<std::string>& more) {
    const Outcome done = run_program(small_sweep(folder, range, more));
    EXPECT_EQ(done.exit_code, 0) << done.err;
  };
  ran(axles, {"--vary", braces, "--netcdf", "--models", "0,3", "-o", out.string()});
  ASSERT_THAT(names_in(out), AllOf(Contains("sweep.nc"), Contains("sweep-map.svg"), Contains("assembly-3.step"),
                                   Contains("sweep-mark-bow-axle-to-axle.png")));
  // Names that no sweep gives are somebody's own, a folder or link of such a name too.
  const std::vector<std::string> others{"assembly.step",        "assembly-03.step", "assembly-x.step",
                                        "sweep-mark-mine.pdf",  "sweep-map.txt",    "sweep-map.old.svg",
                                        "sweep-notes.nc",       "sweep-1-of-2.csv", "sweep-1-of-2.nc",
                                        "sweep-clear-mine.svg", "assembly-7.stl"};
  for (const std::string& name : others) write_file(out / name, "mine");
  fs::create_directory(out / "sweep-mark-peep-bore.pdf");
  fs::create_directory(out / "assembly-8.step");
  fs::create_symlink("assembly.step", out / "assembly-9.step");
  ran(braces, {"--models", "1", "-o", out.string()});
  ran(braces, {"--models", "1", "-o", clean.string()});
  auto wanted = names_in(clean);
  wanted.insert(wanted.end(), others.begin(), others.end());
  wanted.insert(wanted.end(), {"sweep-mark-peep-bore.pdf", "assembly-8.step", "assembly-9.step"});
  EXPECT_THAT(names_in(out), ::testing::UnorderedElementsAreArray(wanted));
}

TEST(SweepCommand, ComingBackForOneThingKeepsTheOthersOfTheSameSweep) {
  const fs::path folder = fresh_folder(), out = folder / "out";
  const auto ran = [&](const std::vector<std::string>& more) {
    auto arguments = small_sweep(folder, braces, more);
    arguments.insert(arguments.end(), {"-o", out.string()});
    const Outcome done = run_program(arguments);
    EXPECT_EQ(done.exit_code, 0) << done.err;
  };
  ran({"--netcdf", "--models", "0"});
  ran({"--resume", "--models", "1"});
  EXPECT_THAT(names_in(out), AllOf(Contains("sweep.nc"), Contains("assembly-0.step"), Contains("assembly-1.step")));
  // Killed when the table was in its place and nothing else: what stands beside is another sweep's.
  write_file(out / "sweep-summary.json", "of another sweep");
  ran({"--resume"});
  EXPECT_THAT(names_in(out), AllOf(Not(Contains("sweep.nc")), Not(Contains("assembly-0.step")), Contains("sweep.csv")));
}

TEST(SweepCommand, AMergeTidiesItsFolderButNotWhatPartsBroughtThere) {
  const fs::path folder = fresh_folder(), parts = folder / "parts", out = folder / "out";
  const auto ran = [&](std::vector<std::string> arguments, const fs::path& into) {
    arguments.insert(arguments.end(), {"-o", into.string()});
    const Outcome done = run_program(arguments);
    EXPECT_EQ(done.exit_code, 0) << done.err;
  };
  ran(small_sweep(folder, axles, {"--netcdf", "--models", "2"}), out);
  ran(small_sweep(folder, braces, {"--part", "1/2", "--models", "0", "--netcdf"}), parts);
  ran(small_sweep(folder, braces, {"--part", "2/2"}), parts);
  EXPECT_THAT(names_in(parts), AllOf(Contains("assembly-0.step"), Contains("sweep-1-of-2.nc")));
  const std::vector<std::string> merge{"merge", "--quiet", (parts / "sweep-1-of-2.csv").string(),
                                       (parts / "sweep-2-of-2.csv").string()};
  ran(merge, out);
  EXPECT_THAT(names_in(out), AllOf(Not(Contains("sweep.nc")), Not(Contains("assembly-2.step")),
                                   Not(Contains("sweep-mark-bow-axle-to-axle.svg")),
                                   Contains("sweep-mark-bow-brace-height.svg"), Contains("sweep-summary.json")));
  ran(merge, parts);
  EXPECT_THAT(names_in(parts), AllOf(Contains("assembly-0.step"), Contains("sweep-1-of-2.nc"), Contains("sweep.csv")));
}

TEST(SweepCommand, AFolderThatCannotBeIsCodeThree) {
  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program(small_sweep(folder, braces, {"-o", (folder / "whole").string()})).exit_code, 0);
  fs::create_symlink("itself", folder / "itself");
  write_file(folder / "a file", "mine");
  for (const fs::path& into : {folder / "itself", folder / std::string(300, 'x'), folder / "a file",
                               folder / "a file" / "out", fs::path("/proc/peepwright")})
    for (const auto& arguments : {std::vector<std::string>{"merge", (folder / "whole" / "sweep.csv").string()},
                                  small_sweep(folder, braces, {})}) {
      auto all = arguments;
      all.insert(all.end(), {"-o", into.string()});
      const Outcome done = run_program(all);
      EXPECT_EQ(done.exit_code, 3) << done.err;
      EXPECT_THAT(done.err, AllOf(StartsWith("peepwright: " + into.string() + ": cannot be made a folder ("),
                                  HasSubstr("nothing was written")));
    }
  EXPECT_EQ(read_file(folder / "a file"), "mine");
  EXPECT_EQ(names_in(folder), (std::vector<std::string>{"a file", "bow.toml", "itself", "whole"}));
}

/// The job script for one machine, as it stands in the examples.
TEST(SweepCommand, JobScriptMakesTheWholeSweepOfItsParts) {
  const fs::path folder = fresh_folder();
  ASSERT_EQ(run_program(sweep_arguments(folder, {"-o", (folder / "whole").string()})).exit_code, 0);
  const std::string command = "PEEPWRIGHT='" + std::string(PEEPWRIGHT_PROGRAM) + "' sh '" +
                              in_project("examples/sweep-parts.sh").string() + "' 4 '" + (folder / "out").string() +
                              "' '" + (folder / "bow.toml").string() +
                              "' --population adult-male:150:2 --vary 'bow.axle_to_axle=31 in..35 in/2 in' >'" +
                              (folder / "log").string() + "' 2>&1";
  ASSERT_EQ(std::system(command.c_str()), 0) << read_file(folder / "log");
  EXPECT_EQ(read_file(folder / "out" / "sweep.csv"), read_file(folder / "whole" / "sweep.csv"));
}

TEST(SweepCommand, RefusesInWordsAndWritesNothing) {
  const fs::path folder = fresh_folder();
  const auto said = [&](const std::vector<std::string>& more) {
    auto arguments = sweep_arguments(folder, {"-o", (folder / "out").string()});
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Outcome outcome = run_program(arguments);
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_FALSE(fs::exists(folder / "out"));
    return outcome.err;
  };
  EXPECT_THAT(said({"--vary", "bow.brace_heigth=6 in..7 in/1 in"}), HasSubstr("did you mean bow.brace_height?"));
  EXPECT_THAT(said({"--part", "4/3"}), HasSubstr("part 4 of 3"));
  EXPECT_THAT(said({"--part", "1"}), HasSubstr("I/N"));
  EXPECT_THAT(said({"--latin", "x"}), HasSubstr("N:SEED"));
  EXPECT_THAT(said({"--models", "450"}), HasSubstr("0 to 449"));
}

}  // namespace
}  // namespace peepwright
