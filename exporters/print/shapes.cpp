// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/shapes.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright::print {

std::string name_of(const StripData& data) {
  return data.archer + (data.archer.empty() || data.bow.empty() ? "" : " · ") + data.bow;
}

std::string fill_in(const std::string& text, const Words& words) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t open = std::min(text.find('{', at), text.size());
    out.append(text, at, open - at);
    if (open == text.size()) break;
    const std::size_t close = text.find('}', open);
    const auto word = close == std::string::npos ? words.end() : words.find(text.substr(open + 1, close - open - 1));
    if (word == words.end())
      throw Error(ErrorCode::input, "The layout's text \"" + text + "\" asks for a word that the strip does not have.");
    out += word->second;
    at = close + 1;
  }
  return out;
}

bool holds(const std::string& condition, const Tile& tile, const StripData& data, const PrinterCorrection& correction) {
  if (condition.empty()) return true;
  if (condition == "tiled") return tile.sheets > 1;
  if (condition == "joined_below") return tile.joined_below;
  if (condition == "joined_above") return tile.joined_above;
  // Beyond the peep's body the band's hatching would run through a label.
  if (condition == "band_within_peep") return data.expanded_uncertainty_mm <= data.peep_body_length_along_string_mm / 2;
  if (condition == "dated") return !data.date.empty();
  if (condition == "told_how_found") return !data.how_found.empty();
  if (condition == "corrected") return correction.bar_measured_x_mm != 100 || correction.bar_measured_y_mm != 100;
  throw Error(ErrorCode::input, "The layout's condition \"" + condition + "\" is unknown.");
}

Words words_for(const StripData& data, const Tile& tile, const std::string& paper,
                const PrinterCorrection& correction) {
  const Length mark = Length::mm(data.mark_mm), band = Length::mm(data.expanded_uncertainty_mm);
  const bool inches = data.units == PaperUnits::inches;
  const auto letter = [](int joint) { return std::string(1, static_cast<char>('A' + joint)); };
  const auto whole = [](int v) { return number_text(v, 0); };
  // What a person must not overlook stands first, as the end of a line may be cut.
  const std::string forbidden = data.warnings.empty()            ? ""
                                : forbids_drawing(data.warnings) ? "DO NOT DRAW · "
                                                                 : "DO NOT SHOOT · ";
  const auto one_line = [](std::string label) {
    std::ranges::replace(label, '\n', ' ');
    return label;
  };
  const std::string archer = one_line(data.archer);
  return {{"archer", archer},
          {"bow", one_line(data.bow)},
          {"hand", data.hand},
          {"whose", forbidden + data.hand + (archer.empty() ? "" : " · " + archer)},
          {"hold", data.hold},
          {"mark", both_text(mark, data.units)},
          {"mark_first", inches ? inches_text(mark) : mm_text(mark)},
          {"mark_second", inches ? mm_text(mark) : inches_text(mark)},
          {"band", both_text(band, data.units)},
          {"band_first", inches ? inches_text(band) : mm_text(band)},
          {"how_found", data.how_found},
          {"version", data.version},
          {"date", data.date},
          {"paper", paper},
          {"sheet", whole(tile.sheet)},
          {"sheets", whole(tile.sheets)},
          {"sheet_below", whole(tile.sheet - 1)},
          {"sheet_above", whole(tile.sheet + 1)},
          {"joint_below", letter(tile.sheet - 2)},
          {"joint_above", letter(tile.sheet - 1)},
          {"joint_below_at", mm_text(Length::mm(tile.match_low), 0)},
          {"joint_above_at", mm_text(Length::mm(tile.match_high), 0)},
          {"measured_x", mm_text(Length::mm(correction.bar_measured_x_mm), 2)},
          {"measured_y", mm_text(Length::mm(correction.bar_measured_y_mm), 2)}};
}

Names names_for(const Layout& layout, const StripData& data, const Tile* tile) {
  const double body = data.peep_body_length_along_string_mm / 2, u = data.expanded_uncertainty_mm;
  Names names = {{"mark", data.mark_mm},
                 {"uncertainty", u},
                 {"band_bottom", data.mark_mm - u},
                 {"band_top", data.mark_mm + u},
                 {"peep_bottom", data.mark_mm - body},
                 {"peep_top", data.mark_mm + body},
                 {"tie_span", data.tie_span_mm},
                 {"tie_bottom", data.mark_mm - body - data.tie_span_mm},
                 {"tie_top", data.mark_mm + body + data.tie_span_mm},
                 {"peep_length", 2 * body},
                 {"peep_width", data.peep_body_width_mm},
                 {"bore", data.bore_mm},
                 {"nock_height", data.nock_height_mm},
                 {"string_diameter", data.string_diameter_mm},
                 {"half_width", layout.half_width}};
  if (tile != nullptr) {
    names["tile_start"] = tile->start;
    names["tile_end"] = tile->end;
    names["match_low"] = tile->match_low;
    names["match_high"] = tile->match_high;
  }
  return names;
}

namespace {

/// Whether v is a whole multiple of step, but for rounding.
bool multiple(double v, double step) { return std::abs(v / step - std::round(v / step)) < 1e-6; }

void add_scale(const Element& e, const Names& names, const Tile& tile, std::vector<Shape>& out) {
  const double edge = evaluate(e.points.front().first, names);
  const double from = std::max(evaluate(e.from, names), tile.start), to = std::min(evaluate(e.to, names), tile.end);
  double finest = e.ticks.front().every;
  for (const Tick& tick : e.ticks) finest = std::min(finest, tick.every);
  const double step = finest * e.unit_mm;
  std::vector<double> clear;
  for (const Expression& c : e.clear_of) clear.push_back(evaluate(c, names));

  for (double i = std::ceil(from / step - 1e-9); i <= std::floor(to / step + 1e-9); i += 1) {
    const double value = i * finest, s = i * step;
    double length = 0;
    for (const Tick& tick : e.ticks)
      if (multiple(value, tick.every)) length = std::max(length, tick.length);
    out.push_back({Element::Kind::line, &e, {{edge, s}, {edge + e.direction * length, s}}, 0, "", 0});
    const bool crowded =
        std::any_of(clear.begin(), clear.end(), [&](double c) { return std::abs(s - c) < e.clearance; });
    if (multiple(value, e.number_every) && !crowded)
      out.push_back(
          {Element::Kind::text, &e, {{edge + e.direction * e.number_offset, s}}, 0, number_text(value, 0), 0});
  }
}

/// Cuts a line off at the tile's ends, so that nothing is drawn beyond the strip.
void trim(Point& a, Point& b, const Tile& tile) {
  const auto to = [&](Point p, Point other) {
    const double along = std::clamp(p.y, tile.start, tile.end);
    return along == p.y || other.y == p.y ? p : p + ((along - p.y) / (other.y - p.y)) * (other - p);
  };
  const Point first = to(a, b);
  b = to(b, a);
  a = first;
}

}  // namespace

std::vector<Shape> shapes_for(const Layout& layout, const Names& base_names, const Tile& tile, const Words& words,
                              const std::function<bool(const std::string&)>& shown) {
  Names names = base_names;
  for (const auto& [name, value] : layout.names) names[name] = evaluate(value, names);
  std::vector<Shape> out;
  for (const Element& e : layout.elements) {
    if (!shown(e.when)) continue;
    if (e.kind == Element::Kind::scale) {
      add_scale(e, names, tile, out);
      continue;
    }
    Shape shape{e.kind, &e, {}, evaluate(e.radius, names), fill_in(e.text, words), 0};
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (const auto& [across, along] : e.points) {
      shape.points.push_back({evaluate(across, names), evaluate(along, names)});
      low = std::min(low, shape.points.back().y - shape.radius);
      high = std::max(high, shape.points.back().y + shape.radius);
    }
    if (high < tile.start - 1e-9 || low > tile.end + 1e-9) continue;
    if (e.kind == Element::Kind::line) trim(shape.points[0], shape.points[1], tile);
    if (!e.room.empty()) {
      shape.room = evaluate(e.room, names);
      if (!(shape.room > 0)) continue;
    }
    if (e.kind == Element::Kind::text && shape.text.empty()) continue;
    out.push_back(std::move(shape));
  }
  return out;
}

}  // namespace peepwright::print
