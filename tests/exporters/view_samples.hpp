// SPDX-License-Identifier: GPL-3.0-or-later
// Fits for the tests of drawings: the examples, and faces, bows and hands far apart.
#pragma once

#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "engine/bow/draw_estimate.hpp"
#include "engine/clearance/on_solids.hpp"

namespace peepwright::test {

inline std::string example_text(const std::string& path) {
  std::ifstream file(std::string(PEEPWRIGHT_SOURCE_DIR) + "/examples/" + path);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline Spec first_fit_spec(const std::string& more = "") {
  std::vector<std::pair<std::string, std::string>> texts;
  for (const char* name : {"archer.toml", "bow.toml", "arrow.toml"})
    texts.emplace_back(name, example_text(std::string("first-fit/") + name));
  if (!more.empty()) texts.emplace_back("more.toml", more);
  return parse_spec(texts);
}

/// As a report does it, without the budget.
inline Fit drawn_fit(Spec spec, Peep peep = Peep::to_place) {
  use_draw_cycle(spec);
  Fit fit = solve_fit(spec, peep);
  fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face));
  return fit;
}

/// Both hands, short and long bows, low and high anchors, small and large heads, thick shafts, tied peeps.
inline std::vector<Fit> many_fits() {
  std::vector<Fit> out;
  for (const char* more :
       {"", "[archer]\nhand = \"left\"", "[archer.face]\neye_to_arrow = \"80 mm\"",
        "[archer.face]\neye_to_arrow = \"108 mm\"", "[bow.full_draw]\nstring_angle = \"76 deg\"",
        "[archer]\nhand = \"left\"\n[bow.full_draw]\nstring_angle = \"100 deg\"",
        "[arrow]\nshaft_diameter = \"9.3 mm\"\nvane_height = \"14 mm\"\n[bow.string]\nloop_length = \"25 mm\"",
        "[sight]\nextension = \"3 in\"\nhousing_diameter = \"60 mm\"\n[distances]\nnear = \"3 m\"\nfit = \"40 m\"\nfar "
        "= \"90 m\""})
    out.push_back(drawn_fit(first_fit_spec(more)));
  const Spec tied = parse_spec({{"fit.toml", example_text("tied-too-low/fit.toml")}});
  out.push_back(drawn_fit(tied));
  out.push_back(drawn_fit(tied, Peep::tied));
  out.push_back(drawn_fit(parse_spec({{"fit.toml", example_text("left-handed/fit.toml")}})));
  out.push_back(drawn_fit(parse_spec(
      {{"archer.toml", example_text("survey-face/archer.toml")}, {"bow.toml", example_text("survey-face/bow.toml")}})));
  return out;
}

}  // namespace peepwright::test
