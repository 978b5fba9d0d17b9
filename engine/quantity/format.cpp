// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/format.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numeric>

namespace peepwright {

std::string inches_text(Length length) {
  constexpr long steps = 32;
  const long parts = std::lround(std::abs(length.in()) * steps);
  if (parts == 0) return "0 in";
  std::string out = length.in() < 0 ? "-" : "";
  const long whole = parts / steps;
  const long rest = parts % steps;
  if (whole != 0 || rest == 0) out += fmt::format("{}", whole);
  if (rest != 0) {
    const long divisor = std::gcd(rest, steps);
    out += fmt::format("{}{}/{}", whole != 0 ? " " : "", rest / divisor, steps / divisor);
  }
  return out + " in";
}

std::string number_text(double value, int digits) {
  std::string out = fmt::format("{:.{}f}", value, digits);
  if (out.starts_with('-') && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

std::string mm_text(Length length, int digits) { return number_text(length.mm(), digits) + " mm"; }

std::string both_text(Length length, PaperUnits first) {
  return first == PaperUnits::inches ? inches_text(length) + " (" + mm_text(length) + ")"
                                     : mm_text(length) + " (" + inches_text(length) + ")";
}

std::string both_text(double mm) { return both_text(Length::mm(mm), PaperUnits::millimetres); }

double shown_value(double internal, Dimension dimension) {
  switch (dimension) {
    case Dimension::angle: return internal / unit::degree_rad;
    case Dimension::mass: return internal * 1000;
    default: return internal;
  }
}

std::string_view shown_unit(Dimension dimension) {
  switch (dimension) {
    case Dimension::angle: return "deg";
    case Dimension::mass: return "g";
    default: return internal_unit(dimension);
  }
}

namespace {

std::string with_unit(double value, std::string_view unit, int digits = 6) {
  return fmt::format("{:.{}g}{}{}", value, digits, unit.empty() ? "" : " ", unit);
}

}  // namespace

std::string text_as_written(double internal, Dimension dimension, std::string_view unit) {
  std::string shown = shown_text(internal, dimension);
  const double size = size_of_unit(unit, dimension);
  if (unit.empty() || unit == shown_unit(dimension) || size == 0) return shown;
  return with_unit(internal / size, unit) + " (" + shown + ")";
}

std::string range_as_written(double least, double most, Dimension dimension, std::string_view unit) {
  const std::string_view usual = shown_unit(dimension);
  const double size = size_of_unit(unit, dimension);
  // Ends are round in one unit and long decimals in the other, where four digits tell enough.
  const auto range = [&](std::string_view in, int digits, auto value) {
    return with_unit(value(least), in, digits) + " to " + with_unit(value(most), in, digits);
  };
  std::string shown = range(usual, 6, [&](double v) { return shown_value(v, dimension); });
  if (unit.empty() || unit == usual || size == 0) return shown;
  return range(unit, 4, [&](double v) { return v / size; }) + " (" + shown + ")";
}

std::string shown_text(double internal, Dimension dimension) {
  return with_unit(shown_value(internal, dimension), shown_unit(dimension));
}

double to_billionth(double value) {
  constexpr double digits = 1e9;
  const double rounded = std::round(value * digits) / digits;
  return rounded == 0 ? 0.0 : rounded;
}

std::string exact_text(double internal, Dimension dimension) {
  // fmt writes the shortest decimal that reads back to the same double.
  const std::string_view name = internal_unit(dimension);
  return name.empty() ? fmt::format("{}", internal) : fmt::format("{} {}", internal, name);
}

}  // namespace peepwright
