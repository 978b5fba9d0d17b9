// SPDX-License-Identifier: GPL-3.0-or-later
// A layout file in memory. What each key means is written in templates/strip.toml.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/quantity/error.hpp"
#include "exporters/drawing/canvas.hpp"

namespace peepwright::print {

using Expression = std::string;
using Place = std::pair<Expression, Expression>;  ///< across, along

/// Ticks of one length at every `every`; longer ticks win where two fall together.
struct Tick {
  double every = 0, length = 0;
};

/// One thing on the strip. Only the fields of its kind are used.
struct Element {
  enum class Kind { line, polyline, box, circle, scale, text };
  Kind kind = Kind::line;
  std::string when, layer;
  std::string pen, fill, hatch, style;  ///< names; empty: none
  std::vector<Place> points;            ///< line, polyline; box: two corners; circle, text: one
  bool closed = false;
  Expression radius = "0";
  // scale
  Expression from, to;
  double unit_mm = 1, direction = 1;
  std::vector<Tick> ticks;
  double number_every = 0, number_offset = 0, number_divisor = 1;
  std::vector<Expression> clear_of;
  double clearance = 0;
  // text
  std::string text;
  Across across = Across::left;
  Down down = Down::top;
  double rotation = 0;
  Expression room;    ///< along the text; empty: as long as it is
  bool drop = false;  ///< leave it out when it does not fit
};

/// One thing in a column of text.
struct Item {
  enum class Kind { text, list, warnings, cautions, rule, bar, spring };
  Kind kind = Kind::text;
  std::string when, style, right_style, pen, text, right;
  std::vector<std::string> items;
  bool numbered = false;
  double gap = 0, indent = 0;
  int max_lines = 0;
  double length_mm = 0, thickness = 0;
};

struct Column {
  Expression left, right, top, bottom;
  double smallest = 1;  ///< texts may shrink to this fraction
  std::vector<Item> items;
};

/// A check bar that stands free, up the page from its lower end.
struct UprightBar {
  Expression x, bottom;
  double length_mm = 0, thickness = 0, gap = 0;
  std::string text, style;
};

struct PaperSheet {
  PageSize size;
  std::string label;
};

struct Layout {
  std::map<std::string, PaperSheet, std::less<>> papers;
  double margin = 0;
  std::map<std::string, Stroke, std::less<>> pens;
  std::map<std::string, TextStyle, std::less<>> styles;
  std::map<std::string, Hatch, std::less<>> hatches;
  std::map<std::string, Colour, std::less<>> fills;
  std::vector<std::pair<std::string, Expression>> names;  ///< in order: later ones may use earlier ones

  Expression left, start;
  std::vector<Expression> end;
  std::pair<Expression, Expression> keep_whole;  ///< no match line between these
  double half_width = 0, overlap = 0, match_step = 1;
  std::vector<Element> elements;
  std::vector<Column> columns;
  std::vector<UprightBar> bars;
};

/// The entry of that name; parse_layout has checked the names, so a missing one is a fault of ours.
template <class Map>
const typename Map::mapped_type& named(const Map& map, const std::string& name) {
  const auto found = map.find(name);
  if (found == map.end())
    throw Error(ErrorCode::internal, "The layout uses \"" + name + "\", which it does not define.");
  return found->second;
}

/// Throws Error(input) with file, line and column for what is missing, of the wrong type or unknown.
Layout parse_layout(std::string_view toml, const std::string& file_name);

/// The one built into the binary.
const Layout& strip_layout();

}  // namespace peepwright::print
