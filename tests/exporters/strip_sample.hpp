// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "exporters/print/strip.hpp"

namespace peepwright::test {

/// A made-up archer's strip. Sizes of nock, string and peep: common practice, no source.
inline StripData strip_sample(double mark_mm = 133.3) {
  StripData d;
  d.archer = "Sample archer";
  d.bow = "sample bow";
  d.hand = "right-handed";
  d.mark_mm = mark_mm;
  d.expanded_uncertainty_mm = 2.4;
  d.nock_height_mm = 6.8;
  d.string_diameter_mm = 2.4;
  d.peep_body_length_along_string_mm = 10;
  d.peep_body_width_mm = 9;
  d.bore_mm = 4.8;
  d.tie_span_mm = 9;
  d.how_found = "String angle: measured at full draw.";
  d.cautions = {"Never draw or release without an arrow on the string and a safe backstop.",
                "Never dry-fire.",
                "String and cables come off only in a bow press and by someone trained for it.",
                "Inspect string, serving and limbs first.",
                "Keep within the bow maker's limits.",
                "Wear eye protection when a peep is new or re-tied.",
                "Range rules and local law come first.",
                "The numbers are a starting point that a qualified technician confirms at full draw."};
  d.version = "peepwright 0.1.0";
  d.date = "3 May";
  return d;
}

}  // namespace peepwright::test
