// SPDX-License-Identifier: GPL-3.0-or-later
// What the removal of hidden lines leaves over where an outline folds back.
#pragma once

#include "exporters/drawing/path.hpp"

namespace peepwright {

/// The outline of a smooth solid turns back on itself only in a cusp, and beyond one it lies behind the surface. The
/// kernel finds a millimetre or so of that visible still, as it lies so close. Takes away such hooks, shorter than
/// `past_cusp_mm`, at the ends of a path's parts, and parts that are mere dots.
Path without_hooks(const Path& outline);

inline constexpr double past_cusp_mm = 4;

}  // namespace peepwright
