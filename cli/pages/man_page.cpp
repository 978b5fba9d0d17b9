// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <sstream>

#include "cli/command_line.hpp"
#include "cli/pages/option_tree.hpp"
#include "engine/quantity/utf8.hpp"

namespace peepwright::pages {
namespace {

/// Letters beyond ASCII by their number, and what the formatter would make typographic or take as its own as it is.
std::string roff(const std::string& text) {
  std::string out;
  for (std::string_view rest = text; !rest.empty();) {
    const utf8::Letter letter = utf8::first_letter(rest);
    const char byte = rest.front();
    if (letter.code >= 0x80) {
      out += fmt::format("\\[u{:04X}]", static_cast<unsigned>(letter.code));
    } else if (byte == '-') {
      out += "\\-";
    } else if (byte == '\\') {
      out += "\\e";
    } else if (byte == '\'') {
      out += "\\(aq";
    } else if (byte == '^') {
      out += "\\(ha";
    } else if (byte == '~') {
      out += "\\(ti";
    } else if (byte == '`') {
      out += "\\(ga";
    } else {
      out += byte;
    }
    rest.remove_prefix(letter.bytes);
  }
  return out;
}

/// Running text in short source lines, none of which begins like a request.
std::string running(const std::string& text) {
  constexpr std::size_t longest = 76;
  std::string out, line;
  const auto flush = [&] {
    if (line.starts_with('.')) out += "\\&";
    out += line + '\n';
    line.clear();
  };
  std::istringstream words(roff(text));
  for (std::string word; words >> word;) {
    if (!line.empty() && line.size() + 1 + word.size() > longest) flush();
    line += (line.empty() ? "" : " ") + word;
  }
  flush();
  return out;
}

/// With a capital, unless it begins with the name of a file, and a full stop.
std::string sentence(std::string text) {
  const auto is_letter = [](unsigned char c) { return std::isalpha(c) != 0; };
  const auto end = std::find_if_not(text.begin(), text.end(), is_letter);
  if (end != text.begin() && (end == text.end() || std::string_view(" ,:;").find(*end) != std::string_view::npos))
    text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  if (!text.ends_with('.')) text += '.';
  return text;
}

std::string bold(const std::string& text) { return "\\fB" + roff(text) + "\\fR"; }
std::string italic(const std::string& text) { return "\\fI" + roff(text) + "\\fR"; }

std::string entry(const Option& option) {
  std::string names;
  for (const std::string& name : option.names) names += (names.empty() ? "" : ", ") + bold(name);
  if (option.value != Value::none) names += (names.empty() ? "" : " ") + italic(option.placeholder);
  if (option.many) names += " ...";
  std::string text = sentence(option.description);
  if (option.required) text += " Must be given.";
  if (!option.fallback.empty()) text += fmt::format(" Without it: {}.", option.fallback);
  return ".TP\n" + names + "\n" + running(text);
}

std::string synopsis(const Command& command) {
  std::string out = bold("peepwright " + command.name);
  for (const Option& option : command.options) {
    if (!option.required) continue;
    out += option.positional() ? "" : " " + bold(option.names.back());
    out += " " + italic(option.placeholder) + (option.many ? " ..." : "");
  }
  return out + " [" + italic("options") + "]\n";
}

/// A footer: lines that begin with two blanks are a table of names and what they mean.
std::string footer(const std::string& text) {
  std::string out;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("  ")) {
      out += ".PP\n" + running(line);
      continue;
    }
    const std::size_t end = line.find(' ', 2);
    out += ".TP\n" + bold(line.substr(2, end - 2)) + "\n" + running(line.substr(std::min(end, line.size())));
  }
  return out;
}

}  // namespace

std::string man_page(const Program& program, const std::string& version, const std::string& date) {
  std::string about = program.self.description;
  if (const std::size_t colon = about.find(": "); colon != std::string::npos) about.erase(0, colon + 2);
  std::string out = ".\\\" Generated from the program's own options.\n" +
                    fmt::format(".TH PEEPWRIGHT 1 \"{}\" \"peepwright {}\" \"User Commands\"\n", date, version) +
                    ".SH NAME\n" + running("peepwright - " + about) + ".SH SYNOPSIS\n" + bold("peepwright") + " " +
                    italic("command") + " [" + italic("options") + "]\n";
  out +=
      ".SH DESCRIPTION\n" +
      running(
          "Takes what was measured on an archer's face and on a compound bow, as TOML files, works out the full-draw "
          "position with the head upright, and hands over the mark on the string at rest, how sure it is, a 1:1 "
          "paper strip to lay on the string, sight marks, clearances, drawings and solids.") +
      footer(program.self.footer.substr(0, program.self.footer.find("Exit codes:")));
  out += ".SH OPTIONS\n";
  for (const Option& option : program.self.options) out += entry(option);
  out += ".SH COMMANDS\n";
  for (const Command& command : program.commands) {
    out += ".SS " + roff(command.name) + "\n" + synopsis(command) + ".PP\n" + running(sentence(command.description));
    for (const Option& option : command.options) out += entry(option);
    out += footer(command.footer);
  }
  out += ".SH EXIT STATUS\n";
  for (const cli::ExitCode& exit : cli::exit_codes())
    out += ".TP\n" + bold(fmt::format("{}", exit.code)) + "\n" + running(sentence(std::string(exit.means)));
  out += ".SH ENVIRONMENT\n.TP\n" + bold("PEEPWRIGHT_FONT_DIR") + "\n" +
         running("Folders, parted by colons, of the fonts for drawings, in the place of those set when it was built.");
  out += ".SH CAUTION\n" +
         running(
             "Never draw or release without an arrow on the string and a safe backstop ahead. The numbers are a "
             "starting point that a qualified technician confirms at full draw.");
  return out;
}

}  // namespace peepwright::pages
