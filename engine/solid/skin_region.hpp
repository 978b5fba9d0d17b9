// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace peepwright::solid {

/// A patch of skin: u from `u_low` to `u_high` (negative u is the right side), t likewise.
struct SkinRegion {
  double u_low = -0.5, u_high = 0.5, t_low = 0, t_high = 1;
};

}  // namespace peepwright::solid
