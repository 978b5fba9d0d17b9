// SPDX-License-Identifier: GPL-3.0-or-later
// Paths moved and cut, so that a drawing holds no lines that it does not show.
#pragma once

#include <vector>

#include "exporters/drawing/path.hpp"

namespace peepwright {

/// The path enlarged by `scale` and then moved.
Path placed(const Path& path, double scale, Point origin);

/// What of the path lies inside the box, cut at its sides; curves to within 0.01 mm of them. Arcs are kept whole.
Path clipped(const Path& path, const Box& box);

/// The path without its straight pieces' stretches inside a convex polygon; curves are left as they are.
Path outside(const Path& path, const std::vector<Point>& convex);

}  // namespace peepwright
