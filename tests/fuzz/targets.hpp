// SPDX-License-Identifier: GPL-3.0-or-later
// What hostile bytes are thrown at: each target reads them as one kind of file and throws nothing but Error(input).
#pragma once

#include <string_view>

namespace peepwright::fuzz {

/// The first byte chooses the dimension, the rest is the text of a quantity.
void quantity(std::string_view bytes);

/// TOML files, parted by a line "#----"; what is accepted is solved as far as its numbers go.
void spec(std::string_view bytes);

void mesh_ply(std::string_view bytes);
void mesh_obj(std::string_view bytes);
void mesh_stl(std::string_view bytes);

/// A broken-off sweep's .partial.json, a line "#----", its .partial.csv; also merged and summarised.
void sweep_resume(std::string_view bytes);

/// 16-bit numbers: a catalogue bow and up to 40 readings of draw and force, fitted.
void force_draw(std::string_view bytes);

}  // namespace peepwright::fuzz
