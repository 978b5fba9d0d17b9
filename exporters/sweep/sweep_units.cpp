// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_units.hpp"

#include <fmt/format.h>

#include <cmath>

namespace peepwright {
namespace {

/// Nothing on a bow is as long as what the keys of distances take.
bool is_far(const KeyInfo& row) { return row.dimension == Dimension::length && row.most >= Length::m(100).mm(); }

}  // namespace

ShownQuantity shown_on(const SweepManifest::Axis& axis, double value, PaperUnits units) {
  const KeyInfo* row = find_key(axis.key);
  if (!row || !is_far(*row) || axis.unit != "mm") return shown_in(value, axis.unit, units);
  if (row->key == Key::air_altitude && units == PaperUnits::inches) return {value / unit::foot_mm, "ft"};
  return shown_in(Length::mm(value).m(), "m", units);
}

std::string text_on(const SweepManifest::Axis& axis, double value, PaperUnits units) {
  const ShownQuantity shown = shown_on(axis, value, units);
  constexpr double ruler_steps = 32, rounding = 1e-6;
  if (const double steps = shown.value * ruler_steps;
      shown.unit == "in" && std::abs(steps - std::round(steps)) < rounding)
    return inches_text(Length::mm(value));
  return fmt::format("{:.5g}{}{}", shown.value, shown.unit.empty() ? "" : " ", shown.unit);
}

}  // namespace peepwright
