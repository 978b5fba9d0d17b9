// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/unknown_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "engine/quantity/edits.hpp"
#include "engine/quantity/error.hpp"

namespace peepwright::cli {
namespace {

std::vector<std::string> commands_of(const CLI::App& app) {
  std::vector<std::string> out;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
    out.push_back(command->get_name());
  return out;
}

std::vector<std::string> options_of(const CLI::App& command) {
  std::vector<std::string> out;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) out.push_back("--" + name);
    for (const std::string& name : option->get_snames()) out.push_back("-" + name);
  }
  return out;
}

/// "; did you mean X?" for the nearest of `known`, else a full stop. One letter is as near to any other.
std::string guess(const std::string& word, const std::vector<std::string>& known) {
  if (word.size() < 3) return ".";
  const auto nearest = std::ranges::min_element(known, {}, [&](const std::string& k) { return edits(word, k); });
  const std::size_t likely = std::clamp<std::size_t>(word.size() / 3, 1, 3);
  return nearest != known.end() && edits(word, *nearest) <= likely ? fmt::format("; did you mean {}?", *nearest) : ".";
}

/// A word as a message quotes it; its limit also keeps the guessing short.
std::string quoted(const std::string& word) { return quoted_start(word, 60); }

bool is_option(const std::string& word) {
  return word.size() > 1 && word[0] == '-' && word != "--" &&
         (word[1] == '-' || std::isalpha(static_cast<unsigned char>(word[1])));
}

/// The option's name in "--name=value" and "-ovalue".
std::string name_in(const std::string& word) {
  return word.starts_with("--") ? word.substr(0, word.find('=')) : word.substr(0, 2);
}

const CLI::App* command_named(const CLI::App& app, const std::string& name) {
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
    if (command->get_name() == name) return command;
  return nullptr;
}

void require_option(const CLI::App& command, const std::string& whose, const std::string& word) {
  const std::vector<std::string> known = options_of(command);
  const std::string name = quoted(name_in(word));
  if (std::ranges::find(known, name) == known.end())
    throw Error(ErrorCode::input,
                fmt::format("unknown option {}{}{} \"{} --help\" lists all", name, whose.empty() ? "" : " of ",
                            whose + guess(name, known), whose.empty() ? "peepwright" : "peepwright " + whose));
}

}  // namespace

void help_as_option(std::vector<std::string>& words) {
  if (words.empty() || words.front() != "help") return;
  words.erase(words.begin());
  words.resize(std::min<std::size_t>(words.size(), 1));
  words.emplace_back("--help");
}

void require_command(const CLI::App& app, const std::vector<std::string>& words) {
  for (const std::string& word : words) {
    if (is_option(word)) {
      require_option(app, "", word);
      continue;
    }
    if (command_named(app, word)) return;
    const std::vector<std::string> known = commands_of(app);
    throw Error(ErrorCode::input,
                fmt::format("unknown command \"{}\"{} The commands are {}; \"peepwright --help\" says more",
                            quoted(word), guess(quoted(word), known), fmt::join(known, ", ")));
  }
  if (words.empty())
    throw Error(ErrorCode::input,
                fmt::format("no command was given. The commands are {}; \"peepwright --help\" says more",
                            fmt::join(commands_of(app), ", ")));
}

void require_known_options(const CLI::App& app, const std::vector<std::string>& words) {
  const auto command = std::ranges::find_if(words, [](const std::string& word) { return !is_option(word); });
  const CLI::App* named = command == words.end() ? nullptr : command_named(app, *command);
  if (!named) return;
  for (auto word = command + 1; word != words.end() && *word != "--"; ++word)
    if (is_option(*word)) require_option(*named, named->get_name(), *word);
}

std::string in_our_words(const CLI::ParseError& wrong) {
  std::string text = wrong.what();
  const std::string option = text.substr(0, text.find(": "));
  if (wrong.get_name() == "ArgumentMismatch" && text.find("At Most 1") != std::string::npos)
    return option + ": was given more than once; give it once";
  if (wrong.get_name() == "ArgumentMismatch" && text.ends_with(" missing")) return option + ": needs a value behind it";
  if (text == "files is required") return "no input file was given; name the TOML files: archer, bow, arrow";
  if (text == "--output is required") return "--output is needed: the folder that the results go to";
  const auto listed = text.find(" not in {");
  if (listed == std::string::npos || listed < option.size() + 2) return text;
  const std::string value = text.substr(option.size() + 2, listed - option.size() - 2);
  constexpr std::size_t opening = std::string_view(" not in ").size();
  return fmt::format("{}: \"{}\" cannot be; accepted is one of {}", option, quoted(value),
                     text.substr(listed + opening));
}

}  // namespace peepwright::cli
