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
    Unit{"ft", unit::foot_mm},   Unit{"feet", unit::foot_mm},   Unit{"foot", unit::foot_mm},
    Unit{"yd", unit::yard_mm},   Unit{"yard", unit::yard_mm},   Unit{"yards", unit::yard_mm},
    Unit{"metres", 1000},   Unit{"metre", 1000},    Unit{"meters", 1000},   Unit{"meter", 1000}};
// clang-format on
constexpr std::array angle_units{Unit{"deg", unit::degree_rad}, Unit{"°", unit::degree_rad},
                                 Unit{"degrees", unit::degree_rad}, Unit{"rad", 1}};
constexpr std::array mass_units{Unit{"g", 1e-3}, Unit{"gr", unit::grain_kg}, Unit{"grains", unit::grain_kg},
                                Unit{"kg", 1}};
constexpr std::array speed_units{Unit{"m/s", 1}, Unit{"ft/s", unit::foot_mm / 1000}, Unit{"fps", unit::foot_mm / 1000}};
constexpr std::array force_units{Unit{"N", 1}, Unit{"lbf", unit::pound_force_n}, Unit{"lb", unit::pound_force_n},
                                 Unit{"lbs", unit::pound_force_n}};
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

/// "1/4" off the front of `text`; leaves it alone and returns nothing if no fraction stands there.
std::optional<double> take_fraction(std::string_view& text) {
  if (const auto sign = take_vulgar_fraction(text)) return sign;
  std::string_view rest = text;
  const auto numerator = take_whole(rest);
  if (!numerator || rest.empty() || rest[0] != '/') return std::nullopt;
  rest.remove_prefix(1);
  const auto denominator = take_whole(rest);
  if (!denominator || *denominator == 0) return std::nullopt;
  if (!rest.empty() && (rest[0] == '.' || rest[0] == '/')) return std::nullopt;
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
      if (const auto fraction = take_fraction(after)) {
        if (*fraction >= 1) return std::nullopt;  // "33 5/4 in" is a slip of the pen, not a number
        text = after;
        return *whole + *fraction;
      }
    }
  }
  return take_decimal(text);
}

[[noreturn]] void refuse(std::string_view text, std::string_view problem, Dimension dimension) {
  constexpr std::size_t longest_quote = 40;
  std::string quote(text.substr(0, longest_quote));
  if (text.size() > longest_quote) quote += "…";
  const std::string_view accepted = accepted_units(dimension);
  std::string message =
      fmt::format("\"{}\" {}; write {}{}, for example {}", quote, problem,
                  accepted.empty() ? "a number" : "a number and its unit: ", accepted, example_value(dimension));
  // A zero would end the message, an escape could do anything to a terminal.
  std::ranges::replace_if(
      message, [](unsigned char c) { return c < 0x20 || c == 0x7f; }, '?');
  throw Error(ErrorCode::input, message);
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

double parse_quantity(std::string_view text, Dimension dimension) {
  std::string_view rest = trimmed(text);
  if (rest.empty()) refuse(text, "is empty", dimension);
  double sign = 1;
  if (rest[0] == '-' || rest[0] == '+') {
    sign = rest[0] == '-' ? -1 : 1;
    rest = take_spaces(rest.substr(1));
  }
  const auto value = take_number(rest);
  if (!value) refuse(text, "does not start with a number", dimension);
  if (!rest.empty() && rest[0] == ',') refuse(text, "has a comma in the number (use a point)", dimension);
  rest = trimmed(rest);
  for (const Unit& candidate : units_of(dimension)) {
    if (candidate.name != rest) continue;
    const double result = sign * *value * candidate.factor;
    if (!std::isfinite(result)) refuse(text, "is too large", dimension);
    return result;
  }
  if (rest.empty()) refuse(text, "has no unit", dimension);
  refuse(text, fmt::format("has a unit that does not fit here (\"{}\")", rest.substr(0, 20)), dimension);
}

}  // namespace peepwright
