// SPDX-License-Identifier: GPL-3.0-or-later
// Commands and options as plain data, read off the command line's own definition.
#pragma once

#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace peepwright::pages {

enum class Value { none, text, choice, file, folder, key };  ///< what stands after an option; `none`: it is a flag

struct Option {
  std::vector<std::string> names;    ///< "-o", "--output"; of a positional: none
  std::string placeholder;           ///< "DIR", "mm|in"
  std::vector<std::string> choices;  ///< of Value::choice
  std::string fallback;              ///< taken when it is not given; may be empty
  std::string description;
  Value value = Value::none;
  bool required = false;
  bool repeats = false;  ///< may be given again
  bool many = false;     ///< one mention may be followed by any number of values

  [[nodiscard]] bool positional() const { return names.empty(); }
};

struct Command {
  std::string name, description, footer;
  std::vector<Option> options;  ///< in order of definition, positionals among them
};

struct Program {
  Command self;  ///< the program without a command
  std::vector<Command> commands;
};

Program read_options(const CLI::App& app);

/// Paths that --vary and the like take, from the one table of keys.
std::vector<std::string> key_paths();

/// `text` with a backslash before each of `special`.
std::string escaped(const std::string& text, const std::string& special);

/// In single quotes, as bash and zsh read it.
std::string quoted(const std::string& text);

// The pages, ready to be written.
std::string man_page(const Program& program, const std::string& version, const std::string& date);
std::string bash_completion(const Program& program);
std::string zsh_completion(const Program& program);
std::string fish_completion(const Program& program);

}  // namespace peepwright::pages
