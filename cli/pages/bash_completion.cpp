// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "cli/pages/option_tree.hpp"

namespace peepwright::pages {
namespace {

std::string kind_of(const Option& option) {
  switch (option.value) {
    case Value::file: return "file";
    case Value::folder: return "folder";
    case Value::key: return "key";
    case Value::choice: return fmt::format("words:{}", fmt::join(option.choices, " "));
    case Value::none:
    case Value::text: break;
  }
  return "other";
}

/// What stands after each option of `command`; nothing after flags.
std::string values_of(const Command& command) {
  std::string out;
  for (const Option& option : command.options) {
    if (option.positional() || option.value == Value::none) continue;
    std::string patterns;
    for (const std::string& name : option.names)
      patterns += (patterns.empty() ? "" : "|") + quoted(command.name + " " + name);
    out +=
        fmt::format("    {}) takes={} kind={} ;;\n", patterns, option.many ? "many" : "one", quoted(kind_of(option)));
  }
  return out;
}

std::string words_of(const Command& command) {
  std::string words, positional = "other";
  for (const Option& option : command.options) {
    for (const std::string& name : option.names) words += (words.empty() ? "" : " ") + name;
    if (option.positional()) positional = kind_of(option);
  }
  return fmt::format("    {}) words={} positional={} ;;\n", command.name, quoted(words), quoted(positional));
}

// Without the bash-completion package's helpers, so that it works where that is not installed.
constexpr std::string_view head = R"~(# bash completion of peepwright; generated from the program's own options.
_peepwright() {
  local cur=${COMP_WORDS[COMP_CWORD]} command='' option='' values=0 partial='' i
  local takes=none kind='' words='' positional=other
  COMPREPLY=()
  for ((i = 1; i < COMP_CWORD || (i == COMP_CWORD && ${#cur} == 1); ++i)); do
    case ${COMP_WORDS[i]} in
      =) # a word of its own, as readline cuts there: --units=in, --vary key=range
        [[ $i -ne COMP_CWORD ]] || cur=''
        if ((values > 0)); then values=$((values - 1)) partial=yes; fi ;;
      *)
        [[ $i -ne COMP_CWORD ]] || break
        partial=''
        case ${COMP_WORDS[i]} in
          -*) option=${COMP_WORDS[i]} values=0 ;;
          *) if [[ -z $command ]]; then command=${COMP_WORDS[i]} option=''; else values=$((values + 1)); fi ;;
        esac ;;
    esac
  done
)~";

constexpr std::string_view tail =
    R"~(  if [[ $takes == many || ($takes == one && $values -eq 0) ]] && [[ $cur != -* ]]; then
    [[ -z $partial ]] || kind=other
  elif [[ $cur == -* ]]; then
    kind="words:$words"
  else
    kind=$positional
  fi
  case $kind in
    words:*) mapfile -t COMPREPLY < <(compgen -W "${kind#words:}" -- "$cur") ;;
    file)
      mapfile -t COMPREPLY < <(compgen -f -- "$cur")
      compopt -o filenames 2>/dev/null ;;
    folder)
      mapfile -t COMPREPLY < <(compgen -d -- "$cur")
      compopt -o filenames 2>/dev/null ;;
    key)
      mapfile -t COMPREPLY < <(compgen -S = -W "$keys" -- "$cur")
      compopt -o nospace 2>/dev/null ;;
  esac
  return 0
}
complete -F _peepwright peepwright
)~";

}  // namespace

std::string bash_completion(const Program& program) {
  std::string out(head), commands, tables;
  for (const Command& command : program.commands) {
    commands += (commands.empty() ? "" : " ") + command.name;
    tables += words_of(command);
  }
  std::string own;
  for (const Option& option : program.self.options)
    for (const std::string& name : option.names) own += " " + name;
  out += fmt::format("  local keys={}\n", quoted(fmt::format("{}", fmt::join(key_paths(), " "))));
  out += fmt::format("  case $command in\n    '') words={} positional={} ;;\n{}  esac\n", quoted(commands + own),
                     quoted("words:" + commands), tables);
  out += "  case \"$command $option\" in\n";
  for (const Command& command : program.commands) out += values_of(command);
  out += "  esac\n";
  return out.append(tail);
}

}  // namespace peepwright::pages
