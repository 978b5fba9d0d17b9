// SPDX-License-Identifier: GPL-3.0-or-later
// What was typed where a command or an option belongs, and what it was likely meant to be.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace peepwright::cli {

/// "help" and "help COMMAND" in the words after the program's name become the option that shows the help.
void help_as_option(std::vector<std::string>& words);

/// Throws Error(input) when `words` name no command, or none that there is.
void require_command(const CLI::App& app, const std::vector<std::string>& words);

/// Throws Error(input) when an option among `words` is none of their command's. Only for words that could not be
/// parsed, as a value may look like an option.
void require_known_options(const CLI::App& app, const std::vector<std::string>& words);

/// What was wrong with the options of a command, as the other messages say it.
std::string in_our_words(const CLI::ParseError& wrong);

}  // namespace peepwright::cli
