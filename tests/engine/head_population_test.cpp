// SPDX-License-Identifier: GPL-3.0-or-later
// Every person of the survey: a minute or two, so it runs by night: ctest -C nightly -L nightly.
#include <gtest/gtest.h>

#include "engine/solid/head.hpp"
#include "engine/solid/head_measures.hpp"
#include "engine/solid/vec.hpp"
#include "tests/engine/solid_test_faces.hpp"

namespace peepwright::solid {
namespace {

TEST(HeadPopulation, IsSoundForEveryRowOfTheSurvey) {
  const auto rows = test::survey_rows();
  ASSERT_EQ(rows.size(), 6068u);
  const Face man = test::mean_face("adult-male"), woman = test::mean_face("adult-female");
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Face face = test::stretched(rows[i].build == "adult-male" ? man : woman, rows[i].measures);
    const Skin skin = skin_of(HeadShape(face));
    for (const Landmark l : skin_landmarks())
      ASSERT_LT(norm(skin.point(landmark_parameter(l)) - face.at(l)), 0.1) << "row " << i << ", " << name_of(l);
    const Shape head = head_solid(skin);
    ASSERT_TRUE(head.sound()) << "row " << i;
    ASSERT_NEAR(head.volume_mm3() / head_mesh(skin).volume_mm3(), 1, 2e-3) << "row " << i;
    const HeadMeasuresOf m = measures_of(skin);
    ASSERT_NEAR(m.length_mm / rows[i].measures.length, 1, 0.01) << "row " << i;
    ASSERT_NEAR(m.breadth_mm / rows[i].measures.breadth, 1, 0.01) << "row " << i;
  }
}

}  // namespace
}  // namespace peepwright::solid
