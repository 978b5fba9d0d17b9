// SPDX-License-Identifier: GPL-3.0-or-later
// The head as solids: one skin-covered body and two eyeballs, in the head frame F.
#pragma once

#include "engine/solid/head_shape.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

/// One closed solid: the skin and two level caps, crown and neck. Carries a structured mesh.
/// Throws Error(internal) when the kernel does not accept it.
Shape head_solid(const Skin& skin);

/// The structured mesh of the head: the skin at `across` × `down` points, closed by fans. Watertight.
TriangleMesh head_mesh(const Skin& skin, std::size_t across = 192, std::size_t down = 180);

/// A whole ball.
Shape ball_solid(const Ball& ball);

}  // namespace peepwright::solid
