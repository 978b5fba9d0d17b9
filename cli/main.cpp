// SPDX-License-Identifier: GPL-3.0-or-later
#include <cstdio>
#include <exception>
#include <iostream>

#include "cli/command_line.hpp"
#include "cli/unknown_words.hpp"
#include "engine/quantity/error.hpp"

namespace {

using namespace peepwright;

int run(CLI::App& app, const cli::Arguments& arguments) {
  if (app.got_subcommand("fit")) return cli::run_fit(arguments);
  if (app.got_subcommand("model")) return cli::run_model(arguments);
  if (app.got_subcommand("gauge")) return cli::run_gauge(arguments);
  if (app.got_subcommand("view")) return cli::run_view(arguments);
  if (app.got_subcommand("compare")) return cli::run_compare(arguments);
  if (app.got_subcommand("verify")) return cli::run_verify(arguments);
  if (app.got_subcommand("draw")) return cli::run_draw(arguments);
  if (app.got_subcommand("sweep")) return cli::run_sweep_command(arguments);
  if (app.got_subcommand("merge")) return cli::run_merge(arguments);
  if (app.got_subcommand("new")) return cli::run_new(arguments);
  return cli::run_keys();
}

}  // namespace

int main(int argc, char** argv) {
  try {
    CLI::App app;
    cli::Arguments arguments;
    cli::define(app, arguments);
    std::vector<std::string> words(argv + 1, argv + std::max(argc, 1));
    cli::help_as_option(words);
    cli::require_command(app, words);
    try {
      app.parse(
          std::vector<std::string>(words.rbegin(), words.rend()));  // the library wants them from the last to the first
    } catch (const CLI::Success& asked) {                           // --help, --version
      app.exit(asked, std::cout, std::cerr);
      std::cout.flush();
      if (!std::cout) throw Error(ErrorCode::write, "standard output cannot be written");
      return 0;
    } catch (const CLI::ParseError& wrong) {
      cli::require_known_options(app, words);
      std::cerr << "peepwright: " << cli::in_our_words(wrong)
                << "\nSay \"peepwright --help\" or \"peepwright COMMAND --help\".\n";
      return static_cast<int>(ErrorCode::input);
    }
    const int code = run(app, arguments);
    std::cout.flush();
    if (!std::cout) throw Error(ErrorCode::write, "standard output cannot be written");
    return code;
  } catch (const Error& e) {
    std::cerr << "peepwright: " << e.what() << '\n';
    return static_cast<int>(e.code());
  } catch (const std::exception& e) {
    std::cerr << "peepwright: a fault of peepwright itself, please report it with the input files: " << e.what()
              << '\n';
    return static_cast<int>(ErrorCode::internal);
  }
}
