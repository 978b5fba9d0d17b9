// SPDX-License-Identifier: GPL-3.0-or-later
// The landmarks of a face, in the head frame F: origin midway between the pupils, +x straight ahead with the
// Frankfurt plane level, +y to the archer's left, +z up. Millimetres.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

namespace peepwright {

/// A point or a direction in space, millimetres. Which frame is said by whoever hands it out.
struct Point3 {
  double x = 0, y = 0, z = 0;
};

/// Standard anatomical landmarks. Paired ones are stored for the left side (y > 0); `mirrored` gives the right.
// clang-format off
enum class Landmark : unsigned {
  pupil, corneal_apex, glabella, sellion, pronasale, alare, subnasale, labrale_superius, stomion, cheilion,
  labrale_inferius, sublabiale, pogonion, menton, gonion, tragion, orbitale, ectoorbitale, exocanthion,
  endocanthion, zygion, frontotemporale, crinion, vertex, opisthocranion, eurion,
};
// clang-format on
inline constexpr std::size_t landmark_count = 26;

/// "sublabiale"; the same spelling as in the data.
std::string_view name_of(Landmark landmark);

/// In words a shop uses: "hollow between lower lip and chin".
std::string_view plain_name_of(Landmark landmark);

/// Where a landmark's place came from, best first.
enum class LandmarkOrigin { measured, moved_with_measured, percentile, mean };

/// "measured", "moved with measured neighbours", "from the percentile", "adult mean".
std::string_view text_of(LandmarkOrigin origin);

constexpr Point3 mirrored(Point3 p) { return {p.x, -p.y, p.z}; }

/// A whole face. Every landmark is filled. The breadths are full widths, ear to ear and jaw angle to jaw angle.
struct Face {
  std::array<Point3, landmark_count> places{};
  std::array<LandmarkOrigin, landmark_count> origins{};
  double head_length_mm = 0;   ///< glabella to the back of the head
  double head_breadth_mm = 0;  ///< greatest width above the ears (2 · eurion.y)
  double face_length_mm = 0;   ///< sellion to menton
  double jaw_breadth_mm = 0;   ///< between the jaw angles (2 · gonion.y)

  [[nodiscard]] const Point3& at(Landmark landmark) const { return places[static_cast<std::size_t>(landmark)]; }
  [[nodiscard]] Point3& at(Landmark landmark) { return places[static_cast<std::size_t>(landmark)]; }
  [[nodiscard]] LandmarkOrigin origin(Landmark landmark) const { return origins[static_cast<std::size_t>(landmark)]; }
};

}  // namespace peepwright
