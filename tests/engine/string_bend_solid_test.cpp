// SPDX-License-Identifier: GPL-3.0-or-later
// The string's bend at the loop's knots, in the solids.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "engine/solid/vec.hpp"
#include "tests/engine/solid_test_assembly.hpp"

namespace peepwright::solid {
namespace {

const Part& named(const std::vector<Part>& parts, const std::string& name) {
  return *std::ranges::find(parts, name, &Part::name);
}

/// The sample's bow with its string bent this far above and below the nock, tangent to the same cams.
AssemblyInput bent(double bend_mm) {
  AssemblyInput in = test::sample_assembly();
  for (LimbEnd* end : {&in.upper, &in.lower}) {
    const double radius = take_off_radius_mm(*end), aside = end->axle_aside_mm - bend_mm;
    end->bend_mm = bend_mm;
    end->leg_angle_rad =
        std::atan2(aside, end->axle_ahead_mm) + std::asin(radius / std::hypot(aside, end->axle_ahead_mm));
  }
  return in;
}

TEST(BentString, IsSoundAndMeetsItsPiecesAndTheLoop) {
  for (const double bend : {0.0, 0.5, 1.0, 2.0, 3.5, 5.5, 12.0}) {
    const AssemblyInput in = bent(bend);
    EXPECT_NO_THROW(check_assembly(in)) << bend;
    const auto parts = assembly_parts(HeadModel(in.face), in);
    for (const Part& part : parts) EXPECT_TRUE(part.shape.sound()) << part.name << ' ' << bend;
    const auto apart = [&](const char* a, const char* b) {
      return named(parts, a).shape.exact_distance_mm(named(parts, b).shape);
    };
    EXPECT_LT(apart("serving", "string below peep"), 1e-6) << bend;
    EXPECT_LT(apart("serving", "string lower leg"), 1e-6) << bend;
    EXPECT_LT(apart("serving", "release loop"), 0.3) << bend;  // drawn bends are round
    EXPECT_GT(apart("release loop", "nock"), 0.1) << bend;
    // The string runs to the archer's side no farther than its own thickness behind the nocking point.
    EXPECT_NEAR(named(parts, "serving").shape.bounds().low.x, -in.serving_diameter_mm / 2, bend > 1.75 ? 0.05 : 2)
        << bend;
  }
}

TEST(BentString, CarriesThePeepAtItsLengthUpTheString) {
  const AssemblyInput in = bent(5.5);
  const auto parts = assembly_parts(HeadModel(in.face), in);
  const Box peep = named(parts, "peep").shape.bounds();
  const Point3 centre = 0.5 * (peep.low + peep.high);
  EXPECT_NEAR(5.5 + std::hypot(centre.x, centre.z - 5.5), in.peep_along_string_mm, 1e-3);
  EXPECT_NEAR(std::atan2(centre.z - 5.5, centre.x), in.upper.leg_angle_rad, 1e-5);
}

}  // namespace
}  // namespace peepwright::solid
