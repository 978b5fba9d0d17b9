// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/fit_strip.hpp"

#include <fmt/format.h>

#include <cmath>

#include "engine/quantity/format.hpp"
#include "exporters/sheet/warnings.hpp"

namespace peepwright {

namespace {

/// By the keys a person wrote; the strip itself only knows what they come to.
void require_room_for_peep(const Spec& spec, double width_mm) {
  if (width_mm <= widest_peep_body_mm) return;
  const auto shown = [&](Key key) {
    const KeyInfo& row = info_of(key);
    return fmt::format("{} = {}", row.path, text_as_written(spec.value(key), row.dimension, spec[key].unit));
  };
  throw Error(
      ErrorCode::input,
      fmt::format("{} and {} at {} make a peep {:.1f} mm wide across the string; the strip has room for {:g} mm "
                  "between its scales. Check the three; \"fit\" without -o gives the mark of this peep all the same",
                  shown(Key::peep_body_length), shown(Key::peep_body_diameter), shown(Key::peep_bore_angle), width_mm,
                  widest_peep_body_mm));
}

}  // namespace

StripData strip_of(const FitReport& report, PaperUnits units, const std::string& date) {
  const Spec& spec = report.fit.spec;
  StripData strip;
  strip.archer = spec.archer_label;
  strip.bow = spec.bow_label;
  strip.hand = std::string(text_of(spec.hand)) + "-handed";
  strip.mark_mm = report.fit.core.mark_mm;
  strip.expanded_uncertainty_mm = report.budget.expanded_mm();
  strip.nock_height_mm = spec.value(Key::string_nock_height);
  strip.string_diameter_mm = spec.value(Key::string_diameter);
  // The body stands at its bore angle to the string: what it covers along and across is that of a tilted cylinder.
  const double along = spec.value(Key::peep_body_length), across = spec.value(Key::peep_body_diameter);
  const double tilt = spec.value(Key::peep_bore_angle);
  strip.peep_body_length_along_string_mm = along * std::cos(tilt) + across * std::sin(tilt);
  strip.peep_body_width_mm = along * std::sin(tilt) + across * std::cos(tilt);
  require_room_for_peep(spec, strip.peep_body_width_mm);
  strip.bore_mm = spec.value(Key::peep_bore);
  strip.tie_span_mm = spec.value(Key::peep_tie_in);
  strip.how_found = "String angle: " + std::string(text_of(report.fit.core.legs.source));
  // What a person should mind about this very fit goes before the cautions that always hold: it must reach the bow.
  for (const std::string& note : plain_notes(report, units)) strip.cautions.push_back("Mind: " + note);
  for (const std::string& caution : cautions()) strip.cautions.push_back(caution);
  strip.warnings = warnings_of(report, units);
  strip.hold = hold_before_drawing(strip.warnings);
  strip.version = "peepwright " + std::string(version());
  strip.date = date;
  strip.units = units;
  return strip;
}

}  // namespace peepwright
