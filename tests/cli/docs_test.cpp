// SPDX-License-Identifier: GPL-3.0-or-later
// What the documents say is what the program does: their examples run, their messages and keys are the code's.
#include <sys/wait.h>

#include <cstdlib>
#include <fstream>
#include <set>

#include "tests/cli/program_words.hpp"

namespace peepwright {
namespace {

using namespace peepwright::testing::program;

const char* const documents[] = {"README.md", "examples/bench-guide.md", "examples/designers-guide.md"};
const char* const all_documents[] = {
    "README.md",       "DEVELOPERS.md", "examples/README.md", "examples/bench-guide.md", "examples/designers-guide.md",
    "engine/model.md", "cli/errors.md", "cli/reference.md"};

/// The commands of a document's sh blocks that call the program; a comment after them is the shell's.
std::vector<std::string> commands_of(const std::string& document) {
  std::vector<std::string> out;
  bool in_block = false;
  for (const std::string& line : lines_of(read_file(in_project(document)))) {
    if (line.starts_with("```")) in_block = line == "```sh";
    else if (in_block && line.starts_with("peepwright ")) out.push_back(line);
  }
  return out;
}

class Documents : public ::testing::TestWithParam<const char*> {};

// In a copy of the project's examples, by a shell, as a reader would.
TEST_P(Documents, ExamplesRun) {
  const std::vector<std::string> commands = commands_of(GetParam());
  ASSERT_GE(commands.size(), 3U);
  const fs::path folder = fresh_folder();
  fs::copy(in_project("examples"), folder / "examples", fs::copy_options::recursive);
  for (const std::string& command : commands) {
    write_file(folder / "run.sh", "set -eu\ncd '" + folder.string() +
                                      "'\npeepwright() { '" PEEPWRIGHT_PROGRAM "' \"$@\"; }\n" + command +
                                      " >out.txt 2>err.txt </dev/null\n");
    const int status = std::system(("sh '" + (folder / "run.sh").string() + "'").c_str());
    EXPECT_EQ(WEXITSTATUS(status), 0) << GetParam() << ": " << command << '\n' << read_file(folder / "err.txt");
  }
}

// Links to files of the project: they are there.
TEST(DocumentLinks, Lead) {
  int links = 0;
  for (const char* document : all_documents) {
    const std::string text = read_file(in_project(document));
    for (std::size_t at = text.find("]("); at != std::string::npos; at = text.find("](", at + 2)) {
      const std::string target = text.substr(at + 2, text.find(')', at) - at - 2);
      if (target.starts_with("http") || target.starts_with("#")) continue;
      EXPECT_TRUE(fs::exists(in_project(document).parent_path() / target.substr(0, target.find('#'))))
          << document << ": " << target;
      ++links;
    }
  }
  EXPECT_GE(links, 12);
}

INSTANTIATE_TEST_SUITE_P(Each, Documents, ::testing::ValuesIn(documents), [](const auto& document) {
  std::string name = document.param;
  std::ranges::replace_if(
      name, [](char c) { return !std::isalnum(static_cast<unsigned char>(c)); }, '_');
  return name;
});

// cli/reference.md is what the program itself says of every command and every key.
TEST(Reference, IsWhatTheProgramSays) {
  const std::string help = run_program({"--help"}).out;
  std::string now =
      "# Reference\n\nWhat `peepwright COMMAND --help` and `peepwright keys` say, in one place.\n\n## Commands\n";
  int commands = 0;
  bool listing = false;
  for (const std::string& line : lines_of(help)) {
    if (line.starts_with("Subcommands:")) listing = true;
    else if (listing && line.empty()) listing = false;
    else if (listing && line.size() > 3 && line[2] != ' ') {
      const std::string name = line.substr(2, line.find(' ', 2) - 2);
      std::string said = run_program({name, "--help"}).out;
      said = said.substr(0, said.find("\nStart with:"));
      now += "\n### " + name + "\n\n```text\n" + said + (said.ends_with('\n') ? "" : "\n") + "```\n";
      ++commands;
    }
  }
  EXPECT_GE(commands, 11);
  now += "\n## Keys of the input files\n\n```text\n" + run_program({"keys"}).out + "```\n";
  if (now != read_file(in_project("cli/reference.md"))) {
    const fs::path actual = fs::path(PEEPWRIGHT_BUILD_DIR) / "reference.md";
    write_file(actual, now);
    ADD_FAILURE() << "cli/reference.md is not what the program says; what it says now is " << actual
                  << ": read it, and copy it there";
  }
}

/// Text between backticks in the first column of a table's rows.
std::vector<std::string> listed_messages() {
  std::vector<std::string> out;
  for (const std::string& line : lines_of(read_file(in_project("cli/errors.md")))) {
    if (!line.starts_with("| `")) continue;
    const std::string cell = line.substr(2, line.find(" |", 2) - 2);
    for (std::size_t at = cell.find('`'); at != std::string::npos;) {
      const std::size_t end = cell.find('`', at + 1);
      out.push_back(cell.substr(at + 1, end - at - 1));
      at = cell.find('`', end + 1);
    }
  }
  return out;
}

std::vector<std::string> pieces_of(const std::string& message) {
  std::vector<std::string> out;
  for (std::size_t at = 0; at <= message.size();) {
    const std::size_t end = std::min(message.find("…", at), message.size());
    std::string piece = message.substr(at, end - at);
    while (piece.starts_with(' ')) piece.erase(0, 1);
    while (piece.ends_with(' ')) piece.pop_back();
    if (piece.size() > 2) out.push_back(piece);
    at = end + std::string("…").size();
  }
  return out;
}

/// All the code's texts, those that run over several lines joined, placeholders and escapes taken out.
std::string all_code() {
  std::string out;
  std::set<fs::path> files;
  for (const char* folder : {"engine", "exporters", "cli"})
    for (const auto& entry : fs::recursive_directory_iterator(in_project(folder)))
      if (entry.path().extension() == ".cpp") files.insert(entry.path());
  for (const fs::path& file : files) {
    std::string text = read_file(file);
    for (std::size_t at = 0; (at = text.find('"', at)) != std::string::npos; ++at) {
      const std::size_t next = text.find_first_not_of(" \n", at + 1);
      if (next != std::string::npos && next > at + 1 && text[next] == '"' && text.find('\n', at) < next)
        text.erase(at, next + 1 - at), --at;
    }
    for (std::size_t at = 0; (at = text.find("\\\"", at)) != std::string::npos; ++at) text.erase(at, 1);
    out += text + '\n';
  }
  return out;
}

TEST(ErrorList, HoldsMessagesThatTheCodeHas) {
  const std::string code = all_code();
  const std::vector<std::string> messages = listed_messages();
  EXPECT_GE(messages.size(), 90U);
  for (const std::string& message : messages)
    for (const std::string& piece : pieces_of(message))
      EXPECT_NE(code.find(piece), std::string::npos) << message << ": no \"" << piece << '"';
}

// Each message for wrong input that begins a throw in the rooms a user meets is on the list, by some piece of its text.
TEST(ErrorList, LeavesNoMessageOut) {
  std::vector<std::vector<std::string>> listed;
  for (const std::string& message : listed_messages()) listed.push_back(pieces_of(message));
  const std::string code = all_code();
  int found = 0;
  for (std::size_t at = code.find("Error(ErrorCode::input"); at != std::string::npos;
       at = code.find("Error(ErrorCode::input", at + 1)) {
    const std::string thrown = code.substr(at, code.find(";\n", at) - at);
    const std::size_t first = thrown.find('"'), end = thrown.find('"', first + 1);
    if (first == std::string::npos || end - first < 24) continue;  // names a file and passes on another message
    const std::string text = thrown.substr(first + 1);
    const bool known = std::ranges::any_of(listed, [&](const auto& pieces) {
      return !pieces.empty() && std::ranges::all_of(pieces, [&](const std::string& piece) {
        return text.find(piece) != std::string::npos;
      });
    });
    EXPECT_TRUE(known) << text.substr(0, 160);
    ++found;
  }
  EXPECT_GE(found, 50);
}

}  // namespace
}  // namespace peepwright
