// SPDX-License-Identifier: GPL-3.0-or-later
// One closed, outward, sound skin out of what a scanner left.
#pragma once

#include <string>
#include <vector>

#include "engine/solid/shape.hpp"

namespace peepwright::scan {

/// What was done, in numbers.
struct Repairs {
  std::size_t pieces_dropped = 0, triangles_dropped = 0;  ///< separate pieces but the largest
  std::size_t holes_filled = 0;
  double widest_hole_mm = 0;          ///< of those in the face
  std::size_t most_evened = 0;        ///< vertices moved to their neighbours' middle, where folded
  std::size_t crossings_removed = 0;  ///< triangles that ran through each other
  bool turned = false;                ///< some or all faced inward

  /// One sentence; empty when nothing was done.
  [[nodiscard]] std::string in_words() const;
};

struct CleanMesh {
  solid::TriangleMesh mesh;
  Repairs repairs;
};

/// Which openings belong to the face: their middle lies ahead of `behind_x` and above `below_z`, mm. Those must be
/// narrow enough for a smooth patch; neck, crown and back are closed whatever their width.
struct FaceZone {
  double behind_x = -60, below_z = -120;
};
inline constexpr double widest_patch_mm = 45;

/// Joins equal vertices, orients, keeps the largest piece, evens out folds, cuts out what still runs through itself,
/// closes holes. Throws Error(input), beginning with `name`, when the result is not closed and sound, with the numbers.
CleanMesh clean_mesh(const solid::TriangleMesh& raw, const FaceZone& zone, const std::string& name);

}  // namespace peepwright::scan
