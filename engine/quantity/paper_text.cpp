// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/quantity/paper_text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numeric>

namespace peepwright {
namespace {

std::string with_sign(const std::string& number, bool sign) {
  return sign && !number.starts_with('-') && number.find_first_not_of("0.") != std::string::npos ? "+" + number
                                                                                                 : number;
}

std::string bore_inches(Length bore) {
  constexpr double drill_steps = 64, same_mm = 0.01;
  const long parts = std::lround(bore.in() * drill_steps);
  if (parts <= 0 || parts >= long(drill_steps) ||
      std::abs(Length::in(double(parts) / drill_steps).mm() - bore.mm()) > same_mm)
    return number_text(bore.in(), 3) + " in";
  const long divisor = std::gcd(parts, long(drill_steps));
  return fmt::format("{}/{} in", parts / divisor, long(drill_steps) / divisor);
}

}  // namespace

std::string fine_text(double mm, PaperUnits units, int digits, bool sign) {
  std::string metric = with_sign(number_text(mm, digits), sign) + " mm";
  if (units != PaperUnits::inches) return metric;
  return with_sign(number_text(Length::mm(mm).in(), digits + 1), sign) + " in (" + metric + ")";
}

std::string bore_text(Length bore, PaperUnits first) {
  const std::string metric = mm_text(bore, 2), inches = bore_inches(bore);
  return first == PaperUnits::inches ? inches + " (" + metric + ")" : metric + " (" + inches + ")";
}

std::string distance_text(double distance_m, PaperUnits units) {
  const bool yards = units == PaperUnits::inches;
  std::string text = number_text(yards ? distance_m * 1000 / unit::yard_mm : distance_m, 1);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text + (yards ? " yd" : " m");
}

std::string both_distance_text(double distance_m, PaperUnits units) {
  std::string metric = fmt::format("{:.4g} m", distance_m);
  if (units != PaperUnits::inches) return metric;
  return fmt::format("{:.4g} yd ({})", distance_m * 1000 / unit::yard_mm, metric);
}

ShownQuantity shown_in(double value, std::string_view unit_name, PaperUnits units) {
  if (units == PaperUnits::inches) {
    if (unit_name == "mm") return {Length::mm(value).in(), "in"};
    if (unit_name == "m") return {value * 1000 / unit::yard_mm, "yd"};
    if (unit_name == "g") return {Mass::kg(value / 1000).grain(), "gr"};
    if (unit_name == "m/s") return {Speed::m_s(value).ft_s(), "ft/s"};
    if (unit_name == "J") return {value * 1000 / (unit::pound_force_n * unit::foot_mm), "ft lbf"};
    if (unit_name == "N") return {Force::n(value).lbf(), "lbf"};
  }
  return {value, std::string(unit_name)};
}

}  // namespace peepwright
