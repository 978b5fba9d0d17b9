// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/face.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/face/statistics.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright {
namespace {

using enum Landmark;

Spec of(Build build) {
  Spec spec;
  spec.build = build;
  return spec;
}

double face_length(const Face& face) {
  return std::hypot(face.at(sellion).x - face.at(menton).x, face.at(sellion).z - face.at(menton).z);
}

TEST(Face, AMeanFaceIsTheTable) {
  const Face man = make_face(of(Build::adult_male));
  EXPECT_DOUBLE_EQ(man.at(pronasale).x, 37.4);
  EXPECT_DOUBLE_EQ(man.at(sublabiale).z, -88.6);
  EXPECT_DOUBLE_EQ(man.at(cheilion).y, 25.8);
  const Face woman = make_face(of(Build::adult_female));
  EXPECT_DOUBLE_EQ(woman.at(pronasale).z, -33.1);
  const Face mean = make_face(of(Build::adult_mean));
  EXPECT_DOUBLE_EQ(mean.at(pupil).y, (32.0 + 30.9) / 2);
  for (std::size_t i = 0; i < landmark_count; ++i) EXPECT_EQ(man.origins[i], LandmarkOrigin::mean);
}

TEST(Face, AGivenFaceLengthIsKeptExactly) {
  for (const Build build : {Build::adult_male, Build::adult_female, Build::adult_mean})
    for (const double length : {100.0, 115.0, 130.0, 145.0})
      for (const double head : {180.0, 200.0, 215.0}) {
        Spec spec = of(build);
        spec.give(Key::face_face_length, length);
        spec.give(Key::face_head_length, head);
        const Face face = make_face(spec);
        EXPECT_NEAR(face_length(face), length, 1e-9);
        EXPECT_NEAR(face.at(glabella).x - face.at(opisthocranion).x, head, 1e-9);
        EXPECT_EQ(face.origin(menton), LandmarkOrigin::moved_with_measured);
      }
}

TEST(Face, FiftiethPercentileIsTheMeanAndLargerMeansLonger) {
  Spec spec = of(Build::adult_male);
  double previous = 0;
  for (const double percentile : {1.0, 10.0, 50.0, 90.0, 99.0}) {
    spec.give(Key::face_percentile, percentile);
    const Face face = make_face(spec);
    EXPECT_GT(-face.at(menton).z, previous);
    previous = -face.at(menton).z;
    EXPECT_EQ(face.origin(menton), LandmarkOrigin::percentile);
    if (percentile == 50.0) {
      EXPECT_NEAR(face.at(menton).z, -115.1, 1e-9);
    }
  }
  // ANSUR II, 2012 [P]: standard deviation 6.67 mm of menton-sellion in men; 84.134 % is one above the mean.
  spec.give(Key::face_percentile, 84.134474606854);
  EXPECT_NEAR(make_face(spec).face_length_mm - make_face(of(Build::adult_male)).face_length_mm, 6.67, 1e-6);
}

TEST(Face, MeasuredLandmarksAreExactAndTheirNeighboursMoveAlong) {
  Spec spec = of(Build::adult_male);
  spec.give(Key::face_mouth_corner_below_eye, 78);
  spec.give(Key::face_chin_below_eye, 106);
  spec.give(Key::face_nose_tip_ahead_of_eye, 42);
  spec.give(Key::face_mouth_width, 56);
  spec.give(Key::face_pupil_distance, 66);
  const Face mean = make_face(of(Build::adult_male)), face = make_face(spec);
  EXPECT_DOUBLE_EQ(face.at(cheilion).z, -78);
  EXPECT_DOUBLE_EQ(face.at(pogonion).z, -106);
  EXPECT_DOUBLE_EQ(face.at(pronasale).x, 42);
  EXPECT_DOUBLE_EQ(face.at(cheilion).y, 28);
  EXPECT_DOUBLE_EQ(face.at(pupil).y, 33);
  EXPECT_EQ(face.origin(cheilion), LandmarkOrigin::measured);
  EXPECT_EQ(face.origin(sublabiale), LandmarkOrigin::moved_with_measured);
  // The hollow lies between corner (moved 7 mm) and chin (9 mm) and moves by something between.
  const double moved = mean.at(sublabiale).z - face.at(sublabiale).z;
  EXPECT_GT(moved, 7);
  EXPECT_LT(moved, 9);
}

TEST(Face, NoFaceIsRefusedWithTwoLandmarksNamed) {
  const auto refusal = [](std::initializer_list<std::pair<Key, double>> measures) -> std::string {
    Spec spec = of(Build::adult_male);
    for (const auto& [key, value] : measures) spec.give(key, value);
    return test::refusal([&] { make_face(spec); });
  };
  EXPECT_THAT(refusal({{Key::face_mouth_corner_below_eye, 88}, {Key::face_hollow_below_eye, 90}}),
              testing::AllOf(testing::HasSubstr("cheilion"), testing::HasSubstr("sublabiale")));
  EXPECT_THAT(refusal({{Key::face_hollow_below_eye, 95}, {Key::face_chin_below_eye, 95.5}}),
              testing::HasSubstr("pogonion"));
  EXPECT_THAT(refusal({{Key::face_nose_tip_ahead_of_eye, 11}}), testing::HasSubstr("pronasale"));
  EXPECT_THAT(refusal({{Key::face_jaw_breadth, 165}}), testing::HasSubstr("gonion"));
}

TEST(FaceSpreads, ShrinkWithWhatIsMeasured) {
  Spec nothing = of(Build::adult_male);
  set_face_spreads(nothing);
  Spec sized = of(Build::adult_male);
  sized.give(Key::face_face_length, 122);
  set_face_spreads(sized);
  Spec measured = sized;
  measured.give(Key::face_hollow_below_eye, 89);
  set_face_spreads(measured);
  const auto u = [](const Spec& spec) { return spec[Key::spread_hollow_up].uncertainty; };
  // 1967 survey [P]: chin height spreads 5.06 mm, 3.22 once face and head length are known; judgement on top.
  EXPECT_NEAR(u(nothing), std::hypot(5.1, 1.35 / std::sqrt(3.0)), 1e-9);
  EXPECT_NEAR(u(sized), std::hypot(5.1 * 3.22 / 5.06, 1.35 / std::sqrt(3.0)), 1e-9);
  EXPECT_EQ(u(measured), 0);
}

TEST(FaceSpreads, APersonsOwnUncertaintyStays) {
  Spec spec = of(Build::adult_male);
  spec.set_uncertainty(Key::spread_hollow_up, 1.25, true);
  set_face_spreads(spec);
  EXPECT_EQ(spec[Key::spread_hollow_up].uncertainty, 1.25);
}

// What hangs on the lower jaw goes together, so that a drawn chin is a chin; the face keeps its length.
TEST(FaceSpreads, ForwardTheyMoveMouthAndJawAndLeaveTheLength) {
  for (const double by : {-15.0, 15.0}) {
    Spec spec = of(Build::adult_male);
    spec.give(Key::face_face_length, 125);
    const Face before = make_face(spec);
    const auto moved = [&](const Face& face, Landmark l) { return face.at(l).x - before.at(l).x; };
    spec.give(Key::spread_hollow_ahead, by);
    const Face jaw = make_face(spec);
    for (const Landmark l : {labrale_inferius, sublabiale, pogonion, menton})
      EXPECT_NEAR(moved(jaw, l), by, 1e-9) << name_of(l);
    for (const Landmark l : {pronasale, stomion, cheilion, gonion}) EXPECT_EQ(moved(jaw, l), 0) << name_of(l);
    EXPECT_NEAR(face_length(jaw), 125, 1e-9);
    EXPECT_EQ(jaw.at(sublabiale).z, before.at(sublabiale).z);
    spec.give(Key::spread_mouth_ahead, -by / 2);
    const Face mouth = make_face(spec);
    for (const Landmark l : {labrale_superius, stomion, cheilion})
      EXPECT_NEAR(moved(mouth, l), -by / 2, 1e-9) << name_of(l);
    EXPECT_NEAR(moved(mouth, sublabiale), by, 1e-9);
  }
}

TEST(Statistics, MeanOfBothBuildsCarriesTheirDifference) {
  // ANSUR II, 2012 [P]: 122.64 ± 6.67 (men), 113.09 ± 6.09 (women); the landmark table's own means stand in.
  const Spread man = male_statistics().face_length, woman = female_statistics().face_length;
  EXPECT_NEAR(man.mean_mm, 122.64, 2);
  EXPECT_NEAR(woman.mean_mm, 113.09, 2);
  const double half = (man.mean_mm - woman.mean_mm) / 2;
  EXPECT_NEAR(mean_statistics().face_length.sd_mm, std::sqrt((6.67 * 6.67 + 6.09 * 6.09) / 2 + half * half), 1e-9);
}

}  // namespace
}  // namespace peepwright
