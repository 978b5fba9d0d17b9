// SPDX-License-Identifier: GPL-3.0-or-later
// Versions, man page and shell completions: what the program's help names is in all of them, and the shells take it.
#include <sys/wait.h>

#include <cstdlib>
#include <map>
#include <regex>

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

/// Runs `script` in a folder of the test's own, which is left as it is; `shell` is the command that takes a file.
Outcome run_script(const std::string& shell, const std::string& script, const fs::path& folder) {
  write_file(folder / ".script", script);
  const std::string run = "cd '" + folder.string() + "' && timeout 60 " + shell + " .script >.out 2>.err </dev/null";
  const int status = std::system(run.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, read_file(folder / ".out"), read_file(folder / ".err")};
}

fs::path page(const std::string& name) { return fs::path(PEEPWRIGHT_BUILD_DIR) / "cli/pages" / name; }

/// Commands and their options as the help lists them; "" is the program itself.
std::map<std::string, std::vector<std::string>> all_options() {
  static const std::regex row(R"(^  (-[A-Za-z0-9])?,?(--[a-z0-9-]+)?[ ,].*)"), command_row(R"(^  ([a-z]+) +[a-z].*)");
  std::map<std::string, std::vector<std::string>> out;
  const auto read = [&](const std::string& command, const std::string& help) {
    std::smatch found;
    for (const std::string& line : lines_of(help.substr(0, help.find("Columns of"))))
      if (std::regex_match(line, found, row))
        for (const int part : {1, 2})
          if (found[part].matched) out[command].push_back(found[part]);
  };
  const std::string help = run_program({"--help"}).out;
  read("", help);
  bool listing = false;
  std::smatch found;
  for (const std::string& line : lines_of(help)) {
    listing = line.starts_with("Subcommands:") || (listing && !line.empty());
    if (listing && std::regex_match(line, found, command_row)) read(found[1], run_program({found[1], "--help"}).out);
  }
  EXPECT_GE(out.size(), 11U);
  EXPECT_THAT(out["sweep"], AllOf(Contains("--vary"), Contains("-o"), Contains("--output"), Contains("--help")));
  EXPECT_THAT(out[""], AllOf(Contains("--version"), Contains("-h")));
  return out;
}

/// The part of `text` from `begin` to the next `end`.
std::string part_of(const std::string& text, const std::string& begin, const std::string& end) {
  const std::size_t at = text.find(begin);
  EXPECT_NE(at, std::string::npos) << begin;
  if (at == std::string::npos) return "";
  const std::size_t to = text.find(end, at + begin.size());
  return text.substr(at + begin.size(), to == std::string::npos ? to : to - at - begin.size());
}

// What pkg-config says of the libraries that have an entry there is a second source for half of the lines.
TEST(Version, NamesTheLibrariesAsTheyAreInstalled) {
  const Outcome said = run_program({"--version"});
  EXPECT_EQ(said.exit_code, 0);
  std::map<std::string, std::string> versions;
  for (const std::string& line : lines_of(said.out)) {
    const std::size_t blank = line.find(' ');
    ASSERT_NE(blank, std::string::npos) << line;
    versions[line.substr(0, blank)] = line.substr(blank + 1);
    EXPECT_TRUE(std::regex_match(line, std::regex(R"([A-Za-z][A-Za-z0-9+/]* \d+(\.\d+)+)"))) << line;
  }
  EXPECT_EQ(lines_of(said.out).at(0), "peepwright " + versions["peepwright"]);
  for (const char* name :
       {"OpenCASCADE", "CGAL", "Boost", "Ceres", "oneTBB", "dxflib", "CLI11", "nlohmann/json", "toml++"})
    EXPECT_TRUE(versions.contains(name)) << name;
  const std::map<std::string, std::string> packages{
      {"Cairo", "cairo"},           {"Pango", "pango"},  {"HarfBuzz", "harfbuzz"},
      {"Fontconfig", "fontconfig"}, {"qpdf", "libqpdf"}, {"zlib", "zlib"},
      {"Eigen", "eigen3"},          {"fmt", "fmt"},      {"toml++", "tomlplusplus"}};
  const fs::path folder = fresh_folder();
  for (const auto& [name, package] : packages)
    EXPECT_EQ(versions[name] + "\n", run_script("sh", "pkg-config --modversion " + package, folder).out) << name;
}

TEST(Pages, HoldEveryCommandAndOption) {
  const std::string man = read_file(page("peepwright.1")), bash = read_file(page("peepwright.bash")),
                    zsh = read_file(page("_peepwright")), fish = read_file(page("peepwright.fish"));
  for (const auto& [command, options] : all_options()) {
    const bool own = command.empty();
    const std::string in_man =
        own ? part_of(man, ".SH OPTIONS\n", ".SH COMMANDS") : part_of(man, ".SS " + command + "\n", "\n.S");
    const std::string in_bash = part_of(bash, own ? "    '') words='" : "    " + command + ") words='", "'") + " ";
    const std::string in_zsh = own ? part_of(zsh, "\n_peepwright() {\n", "\n}\n")
                                   : part_of(zsh, "\n_peepwright_" + command + "() {\n", "\n}\n");
    if (!own) {
      EXPECT_THAT(zsh, HasSubstr("\n    '" + command + ":"));
      EXPECT_THAT(fish, HasSubstr("__fish_use_subcommand -a " + command + " "));
      EXPECT_THAT(part_of(bash, "    '') words='", "'"), HasSubstr(command));
    }
    for (const std::string& option : options) {
      const std::string in_fish =
          option.starts_with("--") ? " -l " + option.substr(2) + " " : " -s " + option.substr(1) + " ";
      EXPECT_THAT(in_man, HasSubstr("\\fB" + std::regex_replace(option, std::regex("-"), "\\-") + "\\fR")) << command;
      EXPECT_THAT(in_bash, HasSubstr(option + " ")) << command;
      EXPECT_TRUE(std::regex_search(in_zsh, std::regex("'[(*][^']*" + option + "[=+]?\\[")))
          << command << ' ' << option;
      const std::string condition =
          own ? "-n '__fish_use_subcommand'" : "-n '__fish_seen_subcommand_from " + command + "'";
      bool there = false;
      for (const std::string& line : lines_of(fish))
        there = there || (line.find(condition) != std::string::npos && line.find(in_fish) != std::string::npos);
      EXPECT_TRUE(there) << command << ' ' << option;
    }
  }
}

TEST(ManPage, IsCleanToBothFormatters) {
  const fs::path folder = fresh_folder();
  const std::string file = "'" + page("peepwright.1").string() + "'";
  const Outcome man = run_script("sh", "LC_ALL=C.UTF-8 MANWIDTH=100 man --warnings -l " + file, folder);
  EXPECT_EQ(man.exit_code, 0);
  EXPECT_THAT(man.err, IsEmpty());
  EXPECT_THAT(man.out, AllOf(HasSubstr("EXIT STATUS"), HasSubstr("--bar-measured-x LENGTH"),
                             HasSubstr("KEY=FROM..TO/STEP"), HasSubstr("the archer's"), HasSubstr("--units mm|in")));
  const Outcome lint = run_script("sh", "mandoc -T lint " + file, folder);
  EXPECT_EQ(lint.exit_code, 0) << lint.out;
  EXPECT_THAT(lint.out, IsEmpty());
  EXPECT_EQ(run_script("sh", "gzip -dc " + file + ".gz | cmp - " + file, folder).exit_code, 0);
}

/// A folder with files and folders to complete, one of them with a blank in its name.
fs::path folder_to_complete() {
  const fs::path folder = fresh_folder();
  fs::create_directories(folder / "out folder");
  write_file(folder / "archer.toml", "");
  write_file(folder / "arrow one.toml", "");
  return folder;
}

/// What a bash that reads no start-up files offers for the last of `words`; readline's cuts at "=" are the caller's.
std::vector<std::string> bash_offers(const fs::path& folder, const std::vector<std::string>& words) {
  std::string script = "set -u\nsource '" + page("peepwright.bash").string() + "'\nCOMP_WORDS=(peepwright";
  for (const std::string& word : words) script += " '" + word + "'";
  script += ")\nCOMP_CWORD=" + std::to_string(words.size()) +
            "\n[[ $(complete -p peepwright) == *'-F _peepwright peepwright' ]] || exit 9\n"
            "_peepwright\nfor offer in ${COMPREPLY[@]+\"${COMPREPLY[@]}\"}; do printf '%s\\n' \"$offer\"; done\n";
  const Outcome run = run_script("bash --norc --noprofile", script, folder);
  EXPECT_EQ(run.exit_code, 0);
  EXPECT_THAT(run.err, IsEmpty());
  return lines_of(run.out);
}

TEST(BashCompletion, Completes) {
  const fs::path folder = folder_to_complete();
  EXPECT_THAT(bash_offers(folder, {"f"}), ElementsAre("fit"));
  EXPECT_THAT(bash_offers(folder, {""}), AllOf(Contains("sweep"), Contains("keys"), Not(Contains("archer.toml"))));
  EXPECT_THAT(bash_offers(folder, {"--v"}), ElementsAre("--version"));
  EXPECT_THAT(bash_offers(folder, {"fit", "--bar"}), ElementsAre("--bar-measured-x", "--bar-measured-y"));
  EXPECT_THAT(bash_offers(folder, {"draw", "--bar"}), IsEmpty());
  EXPECT_THAT(bash_offers(folder, {"fit", "--units", ""}), ElementsAre("mm", "in"));
  EXPECT_THAT(bash_offers(folder, {"fit", "--page", "=", "l"}), ElementsAre("letter"));
  EXPECT_THAT(bash_offers(folder, {"fit", "--page", "="}), ElementsAre("a4", "letter"));
  EXPECT_THAT(bash_offers(folder, {"fit", "--date", ""}), IsEmpty());
  EXPECT_THAT(bash_offers(folder, {"fit", "ar"}), ElementsAre("archer.toml", "arrow one.toml"));
  EXPECT_THAT(bash_offers(folder, {"fit", "--units", "in", "archer.toml", "arrow"}), ElementsAre("arrow one.toml"));
  EXPECT_THAT(bash_offers(folder, {"fit", "archer.toml", "-o", "o"}), ElementsAre("out folder"));
  EXPECT_THAT(bash_offers(folder, {"fit", "archer.toml", "--quiet", "arc"}), ElementsAre("archer.toml"));
  EXPECT_THAT(bash_offers(folder, {"compare", "--a", "archer.toml", "arrow"}), ElementsAre("arrow one.toml"));
  EXPECT_THAT(bash_offers(folder, {"sweep", "--vary", "bow.brace"}), ElementsAre("bow.brace_height="));
  EXPECT_THAT(bash_offers(folder, {"sweep", "--vary", "=", "bow.brace"}), ElementsAre("bow.brace_height="));
  EXPECT_THAT(bash_offers(folder, {"sweep", "--vary", "bow.brace_height", "="}), IsEmpty());
  EXPECT_THAT(bash_offers(folder, {"sweep", "--vary", "bow.brace_height", "=", "6"}), IsEmpty());
  EXPECT_THAT(bash_offers(folder, {"sweep", "--vary", "bow.brace_height", "=", "6", "arc"}),
              ElementsAre("archer.toml"));
  EXPECT_THAT(bash_offers(folder, {"new", "o"}), ElementsAre("out folder"));
}

std::vector<std::string> fish_offers(const fs::path& folder, const std::string& line) {
  const Outcome run = run_script(
      "fish --no-config", "source '" + page("peepwright.fish").string() + "'\ncomplete -C '" + line + "'\n", folder);
  EXPECT_EQ(run.exit_code, 0);
  EXPECT_THAT(run.err, IsEmpty());
  std::vector<std::string> out = lines_of(run.out);
  for (std::string& offer : out) offer.resize(std::min(offer.size(), offer.find('\t')));
  return out;
}

TEST(FishCompletion, Completes) {
  const fs::path folder = folder_to_complete();
  EXPECT_THAT(fish_offers(folder, "peepwright fi"), ElementsAre("fit"));
  EXPECT_THAT(fish_offers(folder, "peepwright fit --bar"), ElementsAre("--bar-measured-x", "--bar-measured-y"));
  EXPECT_THAT(fish_offers(folder, "peepwright fit --units "), ElementsAre("in", "mm"));
  EXPECT_THAT(fish_offers(folder, "peepwright fit archer.toml arr"), ElementsAre("arrow one.toml"));
  EXPECT_THAT(fish_offers(folder, "peepwright sweep --vary bow.brace"), ElementsAre("bow.brace_height="));
}

// zsh completes at a terminal only, so it gets one of its own. There a function of the program's name notes what it was
// called with after each line was typed with a tab.
TEST(ZshCompletion, Completes) {
  const fs::path folder = folder_to_complete();
  EXPECT_EQ(run_script("zsh -f -n", read_file(page("_peepwright")), folder).exit_code, 0);
  const std::string session = R"~(zmodload zsh/zpty || exit 9
zpty shell zsh -f -i
zpty -w shell "fpath=($1 \$fpath); autoload -Uz compinit; compinit -D -u; peepwright() { print -r -- \$* >>.got }"
while read -r line; do zpty -n -w shell "$line"$'\t\n'; done <lines
zpty -w shell "print by''e"
zpty -r shell said '*bye*'
zpty -d shell
)~";
  write_file(folder / "lines",
             "peepwright swe\npeepwright --vers\npeepwright fit --svg\npeepwright fit --page=l\n"
             "peepwright fit --units i\npeepwright fit arch\npeepwright compare --a archer.toml arch\n"
             "peepwright new o\npeepwright sweep --vary bow.brace\n");
  const Outcome run = run_script("zsh -f", "set -- '" + page("").string() + "'\n" + session, folder);
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(
      lines_of(read_file(folder / ".got")),
      ElementsAre("sweep", "--version", "fit --svg-text", "fit --page=letter", "fit --units in", "fit archer.toml",
                  "compare --a archer.toml archer.toml", "new out folder", "sweep --vary bow.brace_height="));
}

}  // namespace
}  // namespace peepwright
