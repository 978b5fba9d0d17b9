// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "cli/pages/option_tree.hpp"

namespace peepwright::pages {
namespace {

std::string action_of(const Option& option) {
  switch (option.value) {
    case Value::file: return "_files";
    case Value::folder: return "_files -/";
    case Value::choice: return fmt::format("({})", fmt::join(option.choices, " "));
    case Value::key: return "_peepwright__key_paths";
    case Value::none:
    case Value::text: break;
  }
  return " ";
}

/// Words of _arguments: every name of an option is one, and excludes the others.
std::string specs_of(const Option& option) {
  const std::string message = escaped(option.placeholder, ":\\");
  if (option.positional())
    return " \\\n    " + quoted(fmt::format("{}:{}:{}", option.many ? "*" : "", message, action_of(option)));
  std::string out;
  for (const std::string& name : option.names) {
    std::string spec = option.repeats ? "*" : fmt::format("({})", fmt::join(option.names, " "));
    spec += name;
    if (option.value != Value::none) spec += option.many ? "" : name.starts_with("--") ? "=" : "+";
    spec += fmt::format("[{}]", escaped(option.description, "[]:\\"));
    if (option.value != Value::none)
      spec += fmt::format(":{}{}:{}", option.many ? "*-*:" : "", message, action_of(option));
    out += " \\\n    " + quoted(spec);
  }
  return out;
}

}  // namespace

std::string zsh_completion(const Program& program) {
  std::string out =
      "#compdef peepwright\n# zsh completion of peepwright; generated from the program's own options.\n\n"
      "_peepwright__key_paths() {\n  local -a keys=(";
  for (const std::string& path : key_paths()) out += "\n    " + path;
  out += "\n  )\n  compadd -S = -a keys\n}\n\n_peepwright__commands() {\n  local -a commands=(";
  for (const Command& command : program.commands)
    out += "\n    " + quoted(fmt::format("{}:{}", command.name, escaped(command.description, ":\\")));
  out += "\n  )\n  _describe command commands\n}\n\n";
  for (const Command& command : program.commands) {
    out += fmt::format("_peepwright_{}() {{\n  _arguments -s -S", command.name);
    for (const Option& option : command.options) out += specs_of(option);
    out += "\n}\n\n";
  }
  out += "_peepwright() {\n  local curcontext=$curcontext state line\n  _arguments -C";
  for (const Option& option : program.self.options) out += specs_of(option);
  out +=
      " \\\n    '1:command:_peepwright__commands' '*::argument:->argument'\n"
      "  if [[ $state == argument ]] && (( $+functions[_peepwright_$words[1]] )); then\n"
      "    curcontext=\"${curcontext%:*:*}:peepwright-$words[1]:\"\n    _peepwright_$words[1]\n  fi\n}\n\n"
      "_peepwright \"$@\"\n";
  return out;
}

}  // namespace peepwright::pages
