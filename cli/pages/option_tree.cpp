// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/pages/option_tree.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "engine/spec/key.hpp"

namespace peepwright::pages {
namespace {

/// The type as the help shows it is "PLACEHOLDER" or "PLACEHOLDER:CHECK"; a placeholder may hold colons itself.
void read_type(const std::string& type, Option& option) {
  if (const auto at = type.find(":{"); at != std::string::npos) {
    std::istringstream list(type.substr(at + 2, type.find('}', at) - at - 2));
    for (std::string choice; std::getline(list, choice, ',');) option.choices.push_back(choice);
    option.placeholder = fmt::format("{}", fmt::join(option.choices, "|"));
    option.value = Value::choice;
    return;
  }
  option.placeholder = type.substr(0, type.find(":INT in ["));
  if (option.placeholder == "FILE") option.value = Value::file;
  else if (option.placeholder == "DIR") option.value = Value::folder;
  else option.value = option.placeholder.starts_with("KEY=") ? Value::key : Value::text;
}

Option read_option(const CLI::Option& from) {
  Option out;
  for (const std::string& name : from.get_snames()) out.names.push_back("-" + name);
  for (const std::string& name : from.get_lnames()) out.names.push_back("--" + name);
  out.description = from.get_description();
  out.required = from.get_required();
  out.fallback = from.get_default_str();
  if (from.get_items_expected_max() == 0) return out;
  read_type(from.get_type_name(), out);
  out.repeats = from.get_multi_option_policy() == CLI::MultiOptionPolicy::TakeAll;
  out.many = from.get_items_expected_max() > 1;
  return out;
}

Command read_command(const CLI::App& app) {
  Command out{app.get_name(), app.get_description(), app.get_footer(), {}};
  for (const CLI::Option* option : app.get_options({})) out.options.push_back(read_option(*option));
  return out;
}

}  // namespace

Program read_options(const CLI::App& app) {
  Program out{read_command(app), {}};
  for (const CLI::App* command : app.get_subcommands({})) {
    out.commands.push_back(read_command(*command));
    if (out.commands.back().footer == out.self.footer)
      out.commands.back().footer.clear();  // handed down by the program
  }
  return out;
}

std::vector<std::string> key_paths() {
  std::vector<std::string> out;
  for (const KeyInfo& key : all_keys())
    if (key.absence != Absence::hidden) out.emplace_back(key.path);
  return out;
}

std::string escaped(const std::string& text, const std::string& special) {
  std::string out;
  for (const char c : text) {
    if (special.find(c) != std::string::npos) out += '\\';
    out += c;
  }
  return out;
}

std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

}  // namespace peepwright::pages
