// SPDX-License-Identifier: GPL-3.0-or-later
// One person's head as a smooth function of two parameters: the template bent so that it passes through the
// person's landmarks. Plain numbers, no geometry kernel.
#pragma once

#include <array>
#include <vector>

#include "engine/face/landmark.hpp"
#include "engine/solid/skin.hpp"

namespace peepwright::solid {

/// Throws Error(input), naming two landmarks and both places, when `face` cannot be a face: not finite, out of
/// order down the profile, an eye outside its socket, or a distance no adult or youth has.
void check_face(const Face& face);

/// A ball in the head frame.
struct Ball {
  Point3 centre;
  double radius_mm = 0;
};

/// Properties: (1) it passes within 1e-6 mm of every skin landmark at landmark_parameter(); (2) it is symmetric in y;
/// (3) the same face gives the same function.
class HeadShape {
 public:
  /// Bends the template. Throws Error(input) as check_face does.
  explicit HeadShape(const Face& face);

  /// Points of the skin in frame F, mm, over a grid: `across` equal steps of u by `down` equal steps of t from 0 to 1;
  /// row j starts at j·across.
  [[nodiscard]] std::vector<Point3> grid(std::size_t across, std::size_t down) const;

  [[nodiscard]] const Face& face() const { return face_; }
  [[nodiscard]] Ball left_eye() const { return eye_; }

 private:
  struct Bend {
    Point3 centre;                 ///< on the template
    std::array<double, 3> weight;  ///< mm per unit of the kernel
  };

  Face face_;
  Ball eye_;
  std::vector<Bend> bends_;
  std::array<std::array<double, 3>, 4> affine_{};  ///< rows: constant, x, y, z
};

/// The skin of a head, as the surface that its solid is made of. Within 0.1 mm of the shape's landmarks (tested).
Skin skin_of(const HeadShape& shape);

/// Landmarks that lie on the skin (all but the pupil and the corneal apex), left side.
const std::vector<Landmark>& skin_landmarks();

/// Where a skin landmark lies on every head. Landmarks of the left side have u in (0, 1/2).
SkinParameter landmark_parameter(Landmark landmark);

}  // namespace peepwright::solid
