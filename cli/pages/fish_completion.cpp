// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "cli/pages/option_tree.hpp"

namespace peepwright::pages {
namespace {

/// fish knows two escapes in single quotes.
std::string fish_quoted(const std::string& text) { return "'" + escaped(text, "\\'") + "'"; }

std::string values_of(const Option& option) {
  switch (option.value) {
    case Value::file: return " -r -F";
    case Value::folder: return " -x -a '(__fish_complete_directories)'";
    case Value::choice: return fmt::format(" -x -a {}", fish_quoted(fmt::format("{}", fmt::join(option.choices, " "))));
    case Value::key: return " -x -a '(__peepwright_keys)'";
    case Value::text: return " -x";
    case Value::none: break;
  }
  return "";
}

std::string line_of(const std::string& condition, const Option& option) {
  std::string out = fmt::format("complete -c peepwright -n {}", fish_quoted(condition));
  if (option.positional()) return out + (option.value == Value::file ? " -F\n" : " -f" + values_of(option) + "\n");
  for (const std::string& name : option.names)
    out += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
  return out + values_of(option) + " -d " + fish_quoted(option.description) + "\n";
}

}  // namespace

std::string fish_completion(const Program& program) {
  std::string out =
      "# fish completion of peepwright; generated from the program's own options.\nfunction __peepwright_keys\n";
  for (const std::string& path : key_paths()) out += fmt::format("  echo {}=\n", path);
  out += "end\n\ncomplete -c peepwright -f\n";
  for (const Option& option : program.self.options) out += line_of("__fish_use_subcommand", option);
  for (const Command& command : program.commands)
    out += fmt::format("complete -c peepwright -n __fish_use_subcommand -a {} -d {}\n", command.name,
                       fish_quoted(command.description));
  for (const Command& command : program.commands)
    for (const Option& option : command.options) out += line_of("__fish_seen_subcommand_from " + command.name, option);
  return out;
}

}  // namespace peepwright::pages
