// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/parse.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

struct Unit {
  std::string_view name;
  double factor;
};

// clang-format off
constexpr std::array length_units{
    Unit{"mm", 1},          Unit{"cm", 10},         Unit{"m", 1000},        Unit{"in", unit::inch_mm},
    Unit{"inch", unit::inch_mm}, Unit{"inches", unit::inch_mm}, Unit{"\"", unit::inch_mm}, Unit{"in.", unit::inch_mm},
    Unit{"''", unit::inch_mm},   Unit{"ft", unit::foot_mm},     Unit{"feet", unit::foot_mm}, Unit{"foot", unit::foot_mm},
    Unit{"'", unit::foot_mm},    Unit{"yd", unit::yard_mm},     Unit{"yds", unit::yard_mm},  Unit{"yard", unit::yard_mm},
    Unit{"yards", unit::yard_mm},
    Unit{"metres", 1000},   Unit{"metre", 1000},    Unit{"meters", 1000},   Unit{"meter", 1000}};
// clang-format on
constexpr std::array angle_units{Unit{"deg", unit::degree_rad}, Unit{"°", unit::degree_rad},
                                 Unit{"degrees", unit::degree_rad}, Unit{"rad", 1}};
constexpr std::array mass_units{Unit{"g", 1e-3}, Unit{"gr", unit::grain_kg}, Unit{"grains", unit::grain_kg},
                                Unit{"kg", 1}};
constexpr std::array speed_units{Unit{"m/s", 1}, Unit{"ft/s", unit::foot_mm / 1000}, Unit{"fps", unit::foot_mm / 1000}};
constexpr std::array force_units{Unit{"N", 1}, Unit{"lbf", unit::pound_force_n}, Unit{"lb", unit::pound_force_n},
                                 Unit{"lbs", unit::pound_force_n}, Unit{"#", unit::pound_force_n}};
constexpr std::array ratio_units{Unit{"", 1}, Unit{"%", 0.01}};
constexpr std::array number_units{Unit{"", 1}};

std::span<const Unit> units_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::length: return length_units;
    case Dimension::angle: return angle_units;
    case Dimension::mass: return mass_units;
    case Dimension::speed: return speed_units;
    case Dimension::force: return force_units;
    case Dimension::ratio: return ratio_units;
    case Dimension::number: return number_units;
  }
  return {};
}

/// What is wrong with a number, found while it is read; the text around it is not known there.
struct Slip {
  std::string problem;
};

/// Signs that telephones, word processors and web pages put in the place of a key's own. Each has one meaning.
constexpr std::pair<std::string_view, std::string_view> typographic[] = {
    {"\u2033", "\""}, {"\u201D", "\""}, {"\u2032", "'"}, {"\u2019", "'"},  // inch, foot
    {"\u2044", "/"},  {"\u2212", "-"},                                     // fraction slash, minus
    {"\u00A0", " "},  {"\u2009", " "},  {"\u202F", " "},                   // spaces
};

std::string in_plain_signs(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const auto sign = std::ranges::find_if(typographic, [&](const auto& s) { return text.starts_with(s.first); });
    const bool known = sign != std::end(typographic);
    out += known ? sign->second : text.substr(0, 1);
    text.remove_prefix(known ? sign->first.size() : 1);
  }
  return out;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::string_view take_spaces(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  return first == std::string_view::npos ? std::string_view{} : text.substr(first);
}

/// Takes an unsigned decimal number off the front of `text`. from_chars knows no locale, so a decimal
/// comma is never read as a point.
std::optional<double> take_decimal(std::string_view& text) {
  if (text.empty() || !(is_digit(text[0]) || text[0] == '.')) return std::nullopt;
  double value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status == std::errc::result_out_of_range) throw Slip{"is too large, or too near zero"};
  if (status != std::errc{}) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

std::optional<double> take_whole(std::string_view& text) {
  std::size_t length = 0;
  while (length < text.size() && is_digit(text[length])) ++length;
  if (length == 0 || length > 9) return std::nullopt;
  unsigned value = 0;
  std::from_chars(text.data(), text.data() + length, value);
  text.remove_prefix(length);
  return value;
}

/// "¼" and its like off the front of `text`, as typed on a telephone.
std::optional<double> take_vulgar_fraction(std::string_view& text) {
  constexpr std::pair<std::string_view, double> signs[] = {{"¼", 0.25},  {"½", 0.5},   {"¾", 0.75}, {"⅛", 0.125},
                                                           {"⅜", 0.375}, {"⅝", 0.625}, {"⅞", 0.875}};
  for (const auto& [sign, value] : signs)
    if (text.starts_with(sign)) {
      text.remove_prefix(sign.size());
      return value;
    }
  return std::nullopt;
}

/// What to say of a fraction of one or more, with the unit after it. "47/8" is mostly "4 7/8" without its space, so the
/// digits are parted where that leaves a fraction below one; else the number is written out.
Slip improper(double whole, double numerator, double denominator, std::string_view unit) {
  double front = 0, tail = 0;
  if (whole == 0)
    for (double part = 10; part <= numerator && std::fmod(numerator, part) < denominator; part *= 10)
      if (const double rest = std::fmod(numerator, part); rest >= part / 10)
        front = std::floor(numerator / part), tail = rest;
  if (front == 0) front = whole + std::floor(numerator / denominator), tail = std::fmod(numerator, denominator);
  return {fmt::format("has a fraction of one or more, {}/{} (perhaps \"{}{} {}\" is meant)", numerator, denominator,
                      front, tail == 0 ? "" : fmt::format(" {}/{}", tail, denominator), quoted_start(unit, 10))};
}

/// "1/4" off the front of `text`; leaves it alone and returns nothing if no fraction stands there.
std::optional<double> take_fraction(std::string_view& text, double whole = 0) {
  if (const auto sign = take_vulgar_fraction(text)) return sign;
  std::string_view rest = text;
  const auto numerator = take_whole(rest);
  if (!numerator || rest.empty() || rest[0] != '/') return std::nullopt;
  rest.remove_prefix(1);
  const auto denominator = take_whole(rest);
  if (!denominator || *denominator == 0) return std::nullopt;
  if (!rest.empty() && (rest[0] == '.' || rest[0] == '/')) return std::nullopt;
  if (*numerator >= *denominator) throw improper(whole, *numerator, *denominator, trimmed(rest));
  text = rest;
  return *numerator / *denominator;
}

/// Number at the front of `text`, as a shop writes it; what follows stays in `text`.
std::optional<double> take_number(std::string_view& text) {
  if (const auto fraction = take_fraction(text)) return fraction;
  std::string_view rest = text;
  if (const auto whole = take_whole(rest)) {
    std::string_view after = rest;
    if (const auto sign = take_vulgar_fraction(after)) {  // "33½" is written without a space
      text = after;
      return *whole + *sign;
    }
    if (!after.empty() && (after[0] == '-' || after[0] == ' ')) {
      after = take_spaces(after.substr(1));
      if (const auto fraction = take_fraction(after, *whole)) {
        text = after;
        return *whole + *fraction;
      }
    }
  }
  return take_decimal(text);
}

[[noreturn]] void refuse(std::string_view text, std::string_view problem, Dimension dimension) {
  const std::string_view accepted = accepted_units(dimension);
  throw Error(ErrorCode::input, fmt::format("\"{}\" {}; write {}{}, for example {}", quoted_start(text, 40), problem,
                                            accepted.empty() ? "a number" : "a number and its unit: ", accepted,
                                            example_value(dimension)));
}

}  // namespace

std::string_view internal_unit(Dimension dimension) {
  switch (dimension) {
    case Dimension::length: return "mm";
    case Dimension::angle: return "rad";
    case Dimension::mass: return "kg";
    case Dimension::speed: return "m/s";
    case Dimension::force: return "N";
    case Dimension::ratio:
    case Dimension::number: return "";
  }
  return "";
}

std::string_view accepted_units(Dimension dimension) {
  switch (dimension) {
    case Dimension::length: return "mm, cm, m, in, ft, yd";
    case Dimension::angle: return "deg, rad";
    case Dimension::mass: return "g, gr (grains), kg";
    case Dimension::speed: return "m/s, ft/s";
    case Dimension::force: return "N, lbf, lb";
    case Dimension::ratio: return "none, or %";
    case Dimension::number: return "";
  }
  return "";
}

std::string_view example_value(Dimension dimension) {
  switch (dimension) {
    case Dimension::length: return "\"33 1/4 in\" or \"95 mm\"";
    case Dimension::angle: return "\"78.5 deg\"";
    case Dimension::mass: return "\"400 gr\"";
    case Dimension::speed: return "\"280 ft/s\"";
    case Dimension::force: return "\"60 lbf\"";
    case Dimension::ratio: return "0.8 or \"80 %\"";
    case Dimension::number: return "3";
  }
  return "";
}

double size_of_unit(std::string_view unit, Dimension dimension) {
  const std::span<const Unit> units = units_of(dimension);
  const auto found = std::ranges::find(units, unit, &Unit::name);
  return found == units.end() ? 0 : found->factor;
}

WrittenQuantity parse_written(std::string_view text, Dimension dimension) {
  const auto unit_named = [&](std::string_view name) -> const Unit* {
    const std::span<const Unit> units = units_of(dimension);
    const auto found = std::ranges::find(units, name, &Unit::name);
    // Units of one size are one unit, and its first name is the one to show.
    return found == units.end() ? nullptr : &*std::ranges::find(units, found->factor, &Unit::factor);
  };
  const std::string plain = in_plain_signs(text);
  std::string_view rest = trimmed(plain);
  if (rest.empty()) refuse(text, "is empty", dimension);
  double sign = 1;
  if (rest[0] == '-' || rest[0] == '+') {
    sign = rest[0] == '-' ? -1 : 1;
    rest = take_spaces(rest.substr(1));
  }
  const auto number = [&] {
    try {
      const auto value = take_number(rest);
      if (!value) refuse(text, "does not start with a number", dimension);
      if (!rest.empty() && rest[0] == ',') refuse(text, "has a comma in the number (use a point)", dimension);
      return *value;
    } catch (const Slip& slip) {
      refuse(text, slip.problem, dimension);
    }
  };
  double value = number();
  rest = trimmed(rest);
  const Unit* unit = unit_named(rest);
  const auto digit = std::ranges::find_if(rest, is_digit);
  if (dimension == Dimension::length && !unit && digit != rest.end()) {
    // "2 ft 9 1/4 in"
    const auto name = static_cast<std::size_t>(digit - rest.begin());
    const Unit* first = unit_named(trimmed(rest.substr(0, name)));
    if (first && first->factor == unit::foot_mm) {
      const double feet = value;
      rest.remove_prefix(name);
      value = number();
      unit = unit_named(trimmed(rest));
      if (!unit || unit->factor != unit::inch_mm) refuse(text, "has feet and then no inches", dimension);
      if (feet != std::floor(feet) || value >= 12) refuse(text, "is not whole feet and less than 12 inches", dimension);
      value += 12 * feet;
    }
  }
  if (unit) {
    const double result = sign * value * unit->factor;
    if (!std::isfinite(result)) refuse(text, "is too large", dimension);
    return {result, unit->name};
  }
  if (rest.empty()) refuse(text, "has no unit", dimension);
  refuse(text, fmt::format("has a unit that does not fit here (\"{}\")", quoted_start(rest, 20)), dimension);
}

double parse_quantity(std::string_view text, Dimension dimension) { return parse_written(text, dimension).value; }

}  // namespace peepwright
