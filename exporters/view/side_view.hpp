// SPDX-License-Identifier: GPL-3.0-or-later
// The side view of a fit: the whole bow, and enlarged the face, the string and the peep, with the dimensions a coach
// explains a fit by. What it looks like is data: templates/drawings.toml.
#pragma once

#include <string>
#include <vector>

#include "engine/quantity/paper_text.hpp"
#include "exporters/drawing/canvas.hpp"
#include "exporters/drawing/warning.hpp"
#include "exporters/view/scene.hpp"

namespace peepwright {

/// What stands on the sheet besides the scene.
struct SideViewOptions {
  std::string paper = "a4";  ///< "a4" or "letter", on its side
  PaperUnits units = PaperUnits::millimetres;
  std::string date;                    ///< as the user gave it; may be empty
  std::string version;                 ///< "peepwright 0.1.0"
  std::vector<Warning> warnings = {};  ///< head the page
};

/// One page. Throws Error(input) for an unknown paper.
Canvas side_view(const Fit& fit, const SideScene& scene, const SideViewOptions& options);

/// The enlarged face, string and peep within `area` (page mm). Returns how many picture millimetres are one on the
/// page.
double draw_detail(Canvas& canvas, const Fit& fit, const SideScene& scene, const Box& area, PaperUnits units);

/// The whole bow within `area`; the same.
double draw_whole(Canvas& canvas, const SideScene& scene, const Box& area, PaperUnits units);

}  // namespace peepwright
