// SPDX-License-Identifier: GPL-3.0-or-later
// The layout's elements with the numbers of one strip put in. Points are (across, along) in true mm:
// across from the centre line to the right, along from the top of the nock up the string.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "exporters/print/expression.hpp"
#include "exporters/print/layout.hpp"
#include "exporters/print/strip.hpp"

namespace peepwright::print {

/// Archer and bow, for lists of files.
std::string name_of(const StripData& data);

/// The piece of the strip that one sheet carries, mm along the string.
struct Tile {
  double start = 0, end = 0;
  double match_low = 0, match_high = 0;  ///< equal to start, end where no piece follows
  bool joined_below = false, joined_above = false;
  int sheet = 1, sheets = 1;
};

using Words = std::map<std::string, std::string, std::less<>>;

/// "{mark_mm}" becomes the word of that name. Throws Error(input) for a name that is not there.
std::string fill_in(const std::string& text, const Words& words);

/// Whether an entry with this condition is shown; throws Error(input) for an unknown condition.
bool holds(const std::string& condition, const Tile& tile, const StripData& data, const PrinterCorrection& correction);

Words words_for(const StripData& data, const Tile& tile, const std::string& paper, const PrinterCorrection& correction);

/// All names that positions on the strip may use.
Names names_for(const Layout& layout, const StripData& data, const Tile* tile);

struct Shape {
  Element::Kind kind = Element::Kind::line;  ///< never scale: those become lines and texts
  const Element* element = nullptr;
  std::vector<Point> points;
  double radius = 0;
  std::string text;
  double room = 0;  ///< 0: as long as it is
};

/// Elements of one tile, in drawing order. What lies wholly beyond the tile is left out.
std::vector<Shape> shapes_for(const Layout& layout, const Names& names, const Tile& tile, const Words& words,
                              const std::function<bool(const std::string& condition)>& shown);

}  // namespace peepwright::print
