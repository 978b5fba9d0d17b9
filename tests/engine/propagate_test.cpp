// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/propagate.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace peepwright {
namespace {

TEST(Propagate, GumExampleH1) {
  // JCGM 100:2008, example H.1 (end gauge): l = l_S + d − l_S (δα·θ + α_S·δθ), nanometres; its inputs as the
  // documentation of the GTC library gives them [P2]. Contributions 25, 9.7, 2.9 and 16.6 nm, none from α_S and θ
  // to first order; combined 32 nm (from memory).
  const double l_s = 50000623, d = 215, alpha = 11.5e-6, theta = -0.1;
  const auto length = [&](double ls, double dd, double da, double th, double as, double dt) {
    return ls + dd - ls * (da * th + as * dt);
  };
  const double parts[] = {contribution([&](double by) { return length(l_s + by, d, 0, theta, alpha, 0); }, 25),
                          contribution([&](double by) { return length(l_s, d + by, 0, theta, alpha, 0); }, 9.7),
                          contribution([&](double by) { return length(l_s, d, by, theta, alpha, 0); }, 0.58e-6),
                          contribution([&](double by) { return length(l_s, d, 0, theta + by, alpha, 0); }, 0.41),
                          contribution([&](double by) { return length(l_s, d, 0, theta, alpha + by, 0); }, 1.2e-6),
                          contribution([&](double by) { return length(l_s, d, 0, theta, alpha, by); }, 0.029)};
  EXPECT_NEAR(parts[0], 25, 0.01);
  EXPECT_NEAR(parts[2], 2.9, 0.05);
  EXPECT_NEAR(parts[3], 0, 1e-9);
  EXPECT_NEAR(parts[4], 0, 1e-9);
  EXPECT_NEAR(std::abs(parts[5]), 16.6, 0.1);
  EXPECT_NEAR(combined(parts), 32, 0.5);
}

TEST(Propagate, ASmallerStepIsTakenWhereAStepCannotBe) {
  std::vector<double> steps;
  const auto edge = [&](double widest, ErrorCode code) {
    steps.clear();
    return contribution(
        [&](double by) {
          steps.push_back(by);
          if (std::abs(by) > widest) throw Error(code, "beyond the edge");
          return 3 * by;
        },
        2);
  };
  EXPECT_NEAR(edge(2, ErrorCode::input), 6, 1e-12);
  EXPECT_NEAR(edge(0.2, ErrorCode::input), 6, 1e-12);
  EXPECT_NEAR(edge(0.02, ErrorCode::input), 6, 1e-12);
  EXPECT_THROW(edge(0.01, ErrorCode::input), Error);
  EXPECT_EQ(steps.size(), 3u);
  // A fault of ours is no edge.
  EXPECT_THROW(edge(0.2, ErrorCode::internal), Error);
  EXPECT_EQ(steps.size(), 1u);
}

}  // namespace
}  // namespace peepwright
