// SPDX-License-Identifier: GPL-3.0-or-later
// "peepwright keys": the key table in words.
#include <fmt/format.h>

#include <iostream>

#include "cli/command_line.hpp"
#include "engine/quantity/format.hpp"
#include "engine/spec/key.hpp"

namespace peepwright::cli {

int run_keys() {
  // Distances in metres, weights in pounds as well: what a person would type.
  const auto unit_of = [](const KeyInfo& row) {
    return row.dimension == Dimension::length && row.most > 2000 ? std::string_view("m") : shown_unit(row.dimension);
  };
  const auto shown = [&](double value, const KeyInfo& row) {
    const double v = shown_value(value, row.dimension) / (unit_of(row) == "m" ? 1000 : 1);
    return row.dimension == Dimension::force ? fmt::format("{:.4g} ({:.3g} lbf)", v, Force::n(v).lbf())
                                             : fmt::format("{:.6g}", v);
  };
  for (const TextKeyInfo& row : text_keys())
    std::cout << fmt::format("{}\n    {}\n    accepted: {}\n", row.path, row.help, row.accepted);
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    std::cout << fmt::format("{}\n    {}\n    accepted: {} to {} {}", row.path, row.help, shown(row.least, row),
                             shown(row.most, row), unit_of(row));
    if (row.absence == Absence::assumed)
      std::cout << fmt::format("; assumed {} ± {} ({})", shown(row.fallback, row), shown(row.assumed_uncertainty, row),
                               row.reason);
    else if (row.absence == Absence::chosen)
      std::cout << fmt::format("; {} unless you choose", shown(row.fallback, row));
    else if (row.absence == Absence::required) std::cout << "; needed";
    if (row.measured_uncertainty > 0)
      std::cout << fmt::format("; measured to ± {} (one standard uncertainty)", shown(row.measured_uncertainty, row));
    std::cout << '\n';
  }
  std::cout << "uncertainty.KEY\n    replaces the standard uncertainty of any measured or assumed key, in the key's "
               "unit;\n    that of bow.force_draw is each reading's, 2 N without it\n";
  std::cout << "    also of the face statistics:";
  for (const KeyInfo& row : all_keys())
    if (row.absence == Absence::hidden) std::cout << "\n      uncertainty." << row.path;
  std::cout << '\n';
  return 0;
}

}  // namespace peepwright::cli
