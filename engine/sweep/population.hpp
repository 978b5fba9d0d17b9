// SPDX-License-Identifier: GPL-3.0-or-later
// Faces of a population: drawn from the survey's statistics, or the survey's own rows.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "engine/spec/spec.hpp"

namespace peepwright {

/// Measures that a population's faces differ in, first those of the survey of 2012 (head length, head breadth, face
/// length, pupil distance), then those whose places in a face of that size the other surveys scatter; last how far
/// mouth and chin stand ahead of theirs, which no key for callipers holds.
inline constexpr std::array face_measures{Key::face_head_length,
                                          Key::face_head_breadth,
                                          Key::face_face_length,
                                          Key::face_pupil_distance,
                                          Key::face_nose_tip_below_eye,
                                          Key::face_nose_tip_ahead_of_eye,
                                          Key::face_mouth_corner_below_eye,
                                          Key::face_mouth_width,
                                          Key::face_hollow_below_eye,
                                          Key::spread_mouth_ahead,
                                          Key::spread_hollow_ahead};
inline constexpr std::size_t surveyed_measures = 4;

/// N faces. "adult-male" and "adult-female" are drawn: head length, head breadth, face length and pupil distance
/// together, by means, standard deviations and correlations of ANSUR II (Gordon et al. 2014), none outside the range
/// that was observed; nose tip, mouth corner, hollow and the chin's depth then about their places in such a face by
/// what the surveys' regressions leave (independently: no correlations between them are published). "survey-male" and
/// "survey-female"
/// take the four measures of the survey's first N persons and leave the rest to the regressions.
class Population {
 public:
  /// Reads "NAME:N" or "NAME:N:seed" (seed 1 without one). Throws Error(input): unknown name, N of 0, more rows than
  /// the survey has, more than `most_faces`.
  explicit Population(std::string_view text);

  static constexpr std::uint64_t most_faces = 100'000'000;

  [[nodiscard]] std::uint64_t size() const { return size_; }
  [[nodiscard]] std::string text() const;  ///< NAME:N:seed

  /// In words, what its persons do not differ in though people do; empty where all is drawn.
  [[nodiscard]] std::string missing() const;

  /// The measures that `give_face` sets, in the order of columns.
  [[nodiscard]] std::span<const Key> measures() const;

  /// Gives `spec` the face of person `i` < size(): build and measures, as if callipers had read them.
  void give_face(std::uint64_t i, Spec& spec) const;

 private:
  std::string name_;
  Build build_ = Build::adult_male;
  bool rows_ = false;
  std::uint64_t size_ = 0, seed_ = 1;
};

}  // namespace peepwright
