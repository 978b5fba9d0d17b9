// SPDX-License-Identifier: GPL-3.0-or-later
// What must not be done, in a box at the head of a page: black on white, so that any printer shows it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "exporters/drawing/canvas.hpp"

namespace peepwright {

struct Warning {
  std::string headline;  ///< "DO NOT DRAW with this arrow"
  std::string why;       ///< full sentences; may be empty
};

/// What a note forbids: nothing unless it begins "DO NOT". The headline ends at the first colon that comes soon enough.
std::optional<Warning> warning_of(std::string_view note);

/// Whether even drawing is forbidden, not only shooting.
bool forbids_drawing(const std::vector<Warning>& warnings);

/// `size` is a factor of all measures. Both ems and the frame's width in mm.
struct WarningLook {
  TextStyle headline, why;
  Stroke frame;
  double size = 1;
};

/// A framed box from `left` to `right`, its frame within; draws it where `draw`. Returns its lower edge, `top` for no
/// warnings.
double warning_box(Canvas& canvas, const std::vector<Warning>& warnings, const WarningLook& look, double left,
                   double top, double right, bool draw);

}  // namespace peepwright
