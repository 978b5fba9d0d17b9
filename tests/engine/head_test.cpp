// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include "engine/solid/head.hpp"
#include "tests/engine/solid_test_faces.hpp"

namespace peepwright::solid {
namespace {

TEST(Head, IsOneSoundSolidForBothBuilds) {
  for (const char* build : {"adult-male", "adult-female"}) {
    const Skin skin = skin_of(HeadShape(test::mean_face(build)));
    const Shape head = head_solid(skin);
    EXPECT_TRUE(head.sound());
    EXPECT_NEAR(head.mesh(1).volume_mm3() / head.volume_mm3(), 1, 0.002);
    std::printf("%s %.0f\n", build, head.volume_mm3());
  }
}

}  // namespace
}  // namespace peepwright::solid
