// SPDX-License-Identifier: GPL-3.0-or-later
// Sizes of heads in ANSUR II (Gordon et al. 2014; public domain), as statistics and person by person.
#pragma once

#include <array>
#include <vector>

#include "engine/spec/spec.hpp"

namespace peepwright {

/// Head length, head breadth, face length (sellion to menton), pupil distance; mm.
inline constexpr std::size_t surveyed_sizes = 4;
using Sizes = std::array<double, surveyed_sizes>;

struct Survey {
  Sizes mean_mm{}, sd_mm{}, least_mm{}, most_mm{};
  std::array<Sizes, surveyed_sizes> correlation{};
  std::vector<Sizes> persons;  ///< 4082 men or 1986 women, in the survey's order
};

/// `build` is adult_male or adult_female.
const Survey& survey_of(Build build);

}  // namespace peepwright
