// SPDX-License-Identifier: GPL-3.0-or-later
// The survey statistics the engine carries, read once from the data built into it.
// Sources (United States government surveys, public domain): ANSUR II (Gordon et al. 2014), the 1988 survey's
// headboard tables (Gordon et al. 1989), the NIOSH survey of 2003 (Zhuang & Bradtmiller 2005), the 1967 USAF
// survey. Adults only: nothing here describes children.
#pragma once

#include <array>

#include "engine/face/landmark.hpp"

namespace peepwright {

/// Mean and standard deviation of a measure over the population, millimetres.
struct Spread {
  double mean_mm = 0, sd_mm = 0;
};

/// Landmark means of one build, with the spreads of those where a survey gives them (0 elsewhere).
struct BuildStatistics {
  std::array<Point3, landmark_count> mean{};
  std::array<double, landmark_count> sd_x_mm{}, sd_z_mm{};
  Spread face_length, head_length, head_breadth, jaw_breadth, pupil_distance, mouth_width;
};

/// How a midline coordinate follows face length and head length, mm per mm (1967 USAF survey, 2420 men).
struct Regression {
  double per_face_length = 0, per_head_length = 0;
  double residual_share = 1;  ///< residual standard deviation over the total one
};

const BuildStatistics& male_statistics();
const BuildStatistics& female_statistics();
/// Mean of both builds; the spreads carry half the difference between them.
const BuildStatistics& mean_statistics();

/// Regressions of the landmark's x and z; zero slopes where the survey has none.
struct LandmarkRegression {
  Regression x, z;
};
const LandmarkRegression& regression_of(Landmark landmark);

}  // namespace peepwright
