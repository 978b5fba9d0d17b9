// SPDX-License-Identifier: GPL-3.0-or-later
// The mannequin that every head is bent from: a smooth head close to the adult male means, as a function of two
// parameters. Plain numbers, no geometry kernel.
#pragma once

#include "engine/face/landmark.hpp"

namespace peepwright::solid {

/// A place on a skin: u runs once round the head, 0 at the front midline, 1/4 on the left side, 1/2 at the back;
/// t runs from the crown (0) to the cut of the neck (1).
struct SkinParameter {
  double u = 0, t = 0;
};

/// Point of the template in the head frame F, mm. `t` in [0, 1]; `u` is periodic with period 1.
/// Symmetric: template_point(-u, t) is the mirror image of template_point(u, t).
Point3 template_point(SkinParameter at);

/// Centre of the template's left eyeball and its radius, mm (an adult eyeball is 24 mm across; from memory).
inline constexpr Point3 template_eye_centre{-9.0, 32.0, 0.0};
inline constexpr double eyeball_radius_mm = 12.0;

/// The almond between the template's lids at `aside_mm` outward of the eyeball's middle: heights of the lids' edges
/// above it, mm, and how wide open it is there, from 1 in the middle to 0 at the corners and beyond (upper = lower).
struct LidOpening {
  double upper_mm, lower_mm, open;
};
LidOpening lid_opening(double aside_mm);

}  // namespace peepwright::solid
