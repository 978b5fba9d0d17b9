// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "exporters/print/sheet.hpp"

namespace peepwright::print {

double strip_end(const Layout& layout, const StripData& data) {
  const Names names = names_for(layout, data, nullptr);
  double end = evaluate(layout.start, names);
  for (const Expression& e : layout.end) end = std::max(end, evaluate(e, names));
  return end;
}

std::vector<Tile> plan_tiles(const Layout& layout, const StripData& data, double reach) {
  const Names names = names_for(layout, data, nullptr);
  const double start = evaluate(layout.start, names);
  const double end = strip_end(layout, data);
  const double whole_low = evaluate(layout.keep_whole.first, names);
  const double whole_high = evaluate(layout.keep_whole.second, names);

  std::vector<Tile> tiles;
  Tile tile;
  tile.start = tile.match_low = start;
  while (tile.start + reach < end) {
    double match = std::floor((tile.start + reach - layout.overlap / 2) / layout.match_step) * layout.match_step;
    if (match + layout.overlap / 2 > whole_low && match - layout.overlap / 2 < whole_high)
      match = std::floor((whole_low - layout.overlap / 2) / layout.match_step) * layout.match_step;
    if (match < tile.start + layout.overlap || tiles.size() > 20)
      throw Error(ErrorCode::input, "The peep with its tie-in spans and uncertainty band (" +
                                        mm_text(Length::mm(whole_high - whole_low)) +
                                        ") does not fit on one page; check those lengths.");
    tile.match_high = match;
    tile.end = match + layout.overlap / 2;
    tile.joined_above = true;
    tiles.push_back(tile);
    tile = Tile{};
    tile.match_low = match;
    tile.start = match - layout.overlap / 2;
    tile.joined_below = true;
  }
  // A strip in one piece runs on to the page's end: the longer scale serves when the peep is moved later.
  tile.end = tile.match_high = tiles.empty() ? tile.start + reach : end;
  tiles.push_back(tile);
  for (std::size_t i = 0; i < tiles.size(); ++i) {
    tiles[i].sheet = static_cast<int>(i) + 1;
    tiles[i].sheets = static_cast<int>(tiles.size());
  }
  return tiles;
}

}  // namespace peepwright::print
