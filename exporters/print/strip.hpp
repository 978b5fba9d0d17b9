// SPDX-License-Identifier: GPL-3.0-or-later
// The paper strip: laid on the string at rest it shows, at true size, where the peep's centre belongs.
// What it looks like is data: templates/strip.toml.
#pragma once

#include <string>
#include <vector>

#include "engine/quantity/format.hpp"
#include "exporters/drawing/canvas.hpp"
#include "exporters/drawing/warning.hpp"

namespace peepwright {

enum class Paper { a4, letter };

/// Beside a wider body the strip has no room for its scales.
inline constexpr double widest_peep_body_mm = 18;

/// What the strip shows. Lengths in mm along the string at rest, from the top of the nock, up positive.
struct StripData {
  std::string archer, bow;                      ///< labels, UTF-8; each shortened where it does not fit; may be empty
  std::string hand;                             ///< "right-handed" or "left-handed"
  double mark_mm = 0;                           ///< top of nock to peep centre, 40 … 1000
  double expanded_uncertainty_mm = 0;           ///< half width of the k = 2 band, 0 … 50
  double nock_height_mm = 0;                    ///< 2 … 25
  double string_diameter_mm = 0;                ///< 0.5 … 6
  double peep_body_length_along_string_mm = 0;  ///< 2 … 40
  double peep_body_width_mm = 0;                ///< square to the string, 2 … widest_peep_body_mm
  double bore_mm = 0;                           ///< 0.4 … the body's smaller side
  double tie_span_mm = 0;                       ///< tie-in serving above the peep body, and again below, 0 … 40
  std::string how_found;                        ///< one line: "string angle: measured at full draw"
  std::vector<std::string> cautions;            ///< full sentences; every sheet carries all of them
  std::vector<Warning> warnings;                ///< what is forbidden: it heads every sheet
  std::string hold;                             ///< said before the step that draws the bow; ends with a space
  std::string version;                          ///< "peepwright 0.1.0"
  std::string date;                             ///< as the user gave it; may be empty
  PaperUnits units = PaperUnits::millimetres;   ///< which unit is written first
};

/// What a ruler said of the printed 100 mm bars, across (x) and up (y) the page; 90 … 110.
/// The next print is drawn larger or smaller by the inverse.
struct PrinterCorrection {
  double bar_measured_x_mm = 100, bar_measured_y_mm = 100;
};

/// The sheets as one PDF. All three functions throw Error(input) for values outside the ranges above, and for
/// texts that leave no room on the sheet; Error(input) when the font is missing.
std::string strip_pdf(const StripData& data, Paper paper, const PrinterCorrection& correction = {});

/// The same sheets, one SVG each, in order.
std::vector<std::string> strip_svg(const StripData& data, Paper paper, const PrinterCorrection& correction = {},
                                   SvgLetters letters = SvgLetters::outlines);

/// The strip alone, in one piece, for a cutter or a plotter: millimetres, datum at the origin, y up the string.
std::string strip_dxf(const StripData& data);

}  // namespace peepwright
