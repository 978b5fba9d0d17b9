// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/head.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/solid/head_measures.hpp"
#include "engine/solid/vec.hpp"
#include "tests/engine/solid_test_faces.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::solid {
namespace {

using enum Landmark;
using testing::HasSubstr;

/// Means and spreads of the survey, from engine/face/data/ansur2_head_stats.csv (ANSUR II, 2012).
struct Survey {
  const char* build;
  HeadMeasuresOf mean;  ///< of the solid's own measures
  test::HeadMeasures average, spread;
};
const Survey surveys[] = {{"adult-male",
                           {199.5, 154.33, 574.37, 142.62, 119.0, 122.64},
                           {199.5, 154.33, 142.62, 122.64, 64.02, 131.15},
                           {7.02, 5.53, 6.22, 6.67, 3.42, 6.16}},
                          {"adult-female",
                           {189.82, 147.77, 561.12, 133.77, 108.2, 113.09},
                           {189.82, 147.77, 133.77, 113.09, 61.71, 126.48},
                           {7.45, 5.19, 5.56, 6.09, 3.62, 6.55}}};

constexpr Landmark tight[] = {pronasale, cheilion, sublabiale, pogonion, menton};

void expect_through_landmarks(const Face& face, const Skin& skin) {
  for (const Landmark l : tight) EXPECT_LT(norm(skin.point(landmark_parameter(l)) - face.at(l)), 0.1) << name_of(l);
  for (const Landmark l : skin_landmarks())
    EXPECT_LT(norm(skin.point(landmark_parameter(l)) - face.at(l)), 1.0) << name_of(l);
}

/// A surface that folds over itself turns its normal by more than a right angle between two neighbours.
double sharpest_turn(const TriangleMesh& mesh, std::size_t across, std::size_t down) {
  double least = 1;
  for (std::size_t j = 1; j + 1 < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      const Point3& n = mesh.normals[j * across + i];
      least = std::min(
          {least, dot(n, mesh.normals[j * across + (i + 1) % across]), dot(n, mesh.normals[(j - 1) * across + i])});
    }
  return least;
}

void expect_sound(const Face& face, const std::string& what) {
  SCOPED_TRACE(what);
  const Skin skin = skin_of(HeadShape(face));
  expect_through_landmarks(face, skin);
  const Shape head = head_solid(skin);
  EXPECT_TRUE(head.sound());
  const TriangleMesh mesh = head_mesh(skin, 256, 240);
  EXPECT_GT(sharpest_turn(mesh, 256, 240), 0.2);
  EXPECT_NEAR(head.volume_mm3() / mesh.volume_mm3(), 1, 1e-3);
  EXPECT_GT(head.volume_mm3(), 2.5e6);
  EXPECT_LT(head.volume_mm3(), 8e6);
}

TEST(Head, IsSoundForBothMeans) {
  for (const Survey& s : surveys) expect_sound(test::mean_face(s.build), s.build);
}

// Percentiles 1 to 99 of a normal spread: −2.33 to +2.33 standard deviations, all measures together and each alone.
TEST(Head, IsSoundFromTheFirstToTheNinetyNinthPercentile) {
  for (const Survey& s : surveys) {
    const Face mean = test::mean_face(s.build);
    for (const double k : {-2.326, -1.0, 1.0, 2.326}) {
      const auto at = [&](double a, double b) { return a + k * b; };
      expect_sound(
          test::stretched(
              mean, {at(s.average.length, s.spread.length), at(s.average.breadth, s.spread.breadth),
                     at(s.average.bizygomatic, s.spread.bizygomatic), at(s.average.face_length, s.spread.face_length),
                     at(s.average.pupil_distance, s.spread.pupil_distance),
                     at(s.average.tragion_to_top, s.spread.tragion_to_top)}),
          std::string(s.build) + " all at " + std::to_string(k) + " sd");
      test::HeadMeasures one = s.average;
      one.length += k * s.spread.length;
      expect_sound(test::stretched(mean, one), "length alone");
      one = s.average;
      one.face_length += k * s.spread.face_length;
      expect_sound(test::stretched(mean, one), "face length alone");
      one = s.average;
      one.breadth += k * s.spread.breadth;
      one.bizygomatic -= k * s.spread.bizygomatic;
      expect_sound(test::stretched(mean, one), "wide skull on a narrow face, and the other way round");
    }
  }
}

// Every 101st row of the 2012 survey: 61 people, the same each time. The whole set is the test of the nightly run.
TEST(Head, IsSoundForASampleOfTheSurvey) {
  const auto rows = test::survey_rows();
  ASSERT_EQ(rows.size(), 6068u);
  const Face man = test::mean_face("adult-male"), woman = test::mean_face("adult-female");
  for (std::size_t i = 0; i < rows.size(); i += 101)
    expect_sound(test::stretched(rows[i].build == "adult-male" ? man : woman, rows[i].measures),
                 "row " + std::to_string(i));
}

// The sample, and everybody whose cheeks are as wide as the skull: those ask the bend for two things at once.
TEST(Head, IsAsLongAndAsWideAsThePersonWas) {
  const auto rows = test::survey_rows();
  const Face man = test::mean_face("adult-male"), woman = test::mean_face("adult-female");
  std::size_t wide_cheeks = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const test::HeadMeasures& m = rows[i].measures;
    const bool wide = m.bizygomatic >= m.breadth;
    if (!wide && i % 101 != 0) continue;
    wide_cheeks += wide;
    const HeadMeasuresOf got =
        measures_of(skin_of(HeadShape(test::stretched(rows[i].build == "adult-male" ? man : woman, m))));
    EXPECT_NEAR(got.length_mm / m.length, 1, 0.01) << "row " << i;
    EXPECT_NEAR(got.breadth_mm / m.breadth, 1, 0.01) << "row " << i;
  }
  EXPECT_GT(wide_cheeks, 20u);
}

TEST(Head, MeasuresAgreeWithTheSurveyForTheMeanPerson) {
  for (const Survey& s : surveys) {
    SCOPED_TRACE(s.build);
    const Face face = test::mean_face(s.build);
    const HeadMeasuresOf got = measures_of(skin_of(HeadShape(face)));
    EXPECT_NEAR(got.length_mm / s.mean.length_mm, 1, 0.01);
    EXPECT_NEAR(got.breadth_mm / s.mean.breadth_mm, 1, 0.01);
    EXPECT_NEAR(got.bizygomatic_mm / s.mean.bizygomatic_mm, 1, 0.01);
    EXPECT_NEAR(got.bigonial_mm / (2 * face.at(gonion).y), 1, 0.01);
    EXPECT_NEAR(got.circumference_mm / s.mean.circumference_mm, 1, 0.02);
    // The landmarks, from the 1988 survey, put the men's face length at 120.0; the 2012 survey says 122.64.
    EXPECT_NEAR(got.menton_sellion_mm / norm(face.at(sellion) - face.at(menton)), 1, 0.01);
  }
}

// How full the lower face is, by tape from ear to ear. Chin arc: 2012 U.S. Army survey (Gordon et al. 2014); arc under
// the nose: 2003 respirator users' survey (Zhuang & Bradtmiller 2005). Mean and standard deviation. Ours come out short
// (by 22 to 24 mm, and 15 to 17 mm), as does the arc over the brow, whose landmarks are the surveys' own: a tape does
// not run in a plane.
TEST(Head, TapesOverTheFaceReadWithinTwoDeviationsOfTheSurveys) {
  const struct {
    const char* build;
    double chin, chin_sd, subnasale, subnasale_sd;
  } rows[] = {{"adult-male", 331.65, 14.04, 296.29, 13.46}, {"adult-female", 311.01, 14.16, 282.50, 14.28}};
  for (const auto& row : rows) {
    const HeadMeasuresOf got = measures_of(skin_of(HeadShape(test::mean_face(row.build))));
    EXPECT_NEAR(got.bitragion_chin_arc_mm, row.chin, 2 * row.chin_sd) << row.build;
    EXPECT_NEAR(got.bitragion_subnasale_arc_mm, row.subnasale, 2 * row.subnasale_sd) << row.build;
    RecordProperty(std::string(row.build) + "_chin_arc_um", int(1000 * got.bitragion_chin_arc_mm));
  }
}

// Pins how control points are handed to the kernel: a shift by one would show as a millimetre or two.
TEST(Head, SolidLiesWhereTheSkinSaysItLies) {
  const Skin skin = skin_of(HeadShape(test::mean_face("adult-male")));
  const Shape head = head_solid(skin);
  for (const Landmark l : {pronasale, cheilion, pogonion, zygion, opisthocranion, frontotemporale}) {
    const SkinPoint p = skin.at(landmark_parameter(l));
    const Shape ball = ball_solid({p.place + 3.0 * Skin::normal(p), 1.0});
    EXPECT_NEAR(head.exact_distance_mm(ball), 2.0, 2e-3) << name_of(l);
  }
}

TEST(Head, IsTheMirrorImageOfItself) {
  const Skin skin = skin_of(HeadShape(test::mean_face("adult-female")));
  for (const double u : {0.03, 0.11, 0.27, 0.42})
    for (const double t : {0.1, 0.4, 0.66, 0.9}) {
      const Point3 left = skin.point({u, t}), right = skin.point({1 - u, t});
      EXPECT_NEAR(left.x, right.x, 1e-10);
      EXPECT_NEAR(left.y, -right.y, 1e-10);
      EXPECT_NEAR(left.z, right.z, 1e-10);
    }
}

TEST(Head, SkinDerivativesAreThoseOfItsPoints) {
  const Skin skin = skin_of(HeadShape(test::mean_face("adult-male")));
  const double h = 1e-6;
  for (const SkinParameter at : {SkinParameter{0.1003, 0.6207}, {0.0, 0.004}, {0.731, 0.9971}, {0.9999, 0.35}}) {
    const SkinPoint p = skin.at(at);
    const auto du = (0.5 / h) * (skin.point({at.u + h, at.t}) - skin.point({at.u - h, at.t}));
    const auto dt = (0.5 / h) * (skin.point({at.u, at.t + h}) - skin.point({at.u, at.t - h}));
    EXPECT_LT(norm(du - p.du), 1e-4);
    EXPECT_LT(norm(dt - p.dt), 1e-4);
    const auto duu = (0.5 / h) * (skin.at({at.u + h, at.t}).du - skin.at({at.u - h, at.t}).du);
    const auto dut = (0.5 / h) * (skin.at({at.u, at.t + h}).du - skin.at({at.u, at.t - h}).du);
    const auto dtt = (0.5 / h) * (skin.at({at.u, at.t + h}).dt - skin.at({at.u, at.t - h}).dt);
    EXPECT_LT(norm(duu - p.duu), 2e-5 * norm(p.duu) + 1e-2);
    EXPECT_LT(norm(dut - p.dut), 2e-5 * norm(p.dut) + 1e-2);
    EXPECT_LT(norm(dtt - p.dtt), 2e-5 * norm(p.dtt) + 1e-2);
  }
}

TEST(Head, EyeballsStandInTheirSockets) {
  for (const Survey& s : surveys) {
    const Face face = test::mean_face(s.build);
    const HeadShape shape(face);
    const Skin skin = skin_of(shape);
    const Ball eye = shape.left_eye();
    EXPECT_NEAR(eye.centre.x + eye.radius_mm, face.at(corneal_apex).x, 1e-12);
    EXPECT_NEAR(ball_solid(eye).volume_mm3(), 4.0 / 3 * M_PI * 12 * 12 * 12, 1e-3);
    // The skin before the pupil lies behind the cornea, the lids above and below lie before the ball.
    double opening = -1e9, brow_lid = 1e9, cheek_lid = 1e9;
    for (double u = 0.06; u < 0.24; u += 0.0005)
      for (double t = 0.25; t < 0.45; t += 0.0005) {
        const Point3 p = skin.point({u, t});
        const double dy = p.y - eye.centre.y, dz = p.z - eye.centre.z, off = norm(p - eye.centre) - eye.radius_mm;
        if (std::abs(dy) > 2) continue;
        if (std::abs(dz) < 1) opening = std::max(opening, off);
        if (std::abs(dz - 8) < 0.5) brow_lid = std::min(brow_lid, off);
        if (std::abs(dz + 8) < 0.5) cheek_lid = std::min(cheek_lid, off);
      }
    EXPECT_LT(opening, -0.5);
    EXPECT_GT(brow_lid, 0);
    EXPECT_GT(cheek_lid, 0);
  }
}

TEST(Head, SameFaceGivesTheSameSkin) {
  const Face face = test::mean_face("adult-male");
  const Skin a = skin_of(HeadShape(face)), b = skin_of(HeadShape(face));
  for (std::size_t j = 0; j < a.down(); ++j)
    for (std::size_t i = 0; i < a.across(); ++i) {
      ASSERT_EQ(a.pole(i, j).x, b.pole(i, j).x);
      ASSERT_EQ(a.pole(i, j).y, b.pole(i, j).y);
      ASSERT_EQ(a.pole(i, j).z, b.pole(i, j).z);
    }
}

std::string refusal(const Face& face) {
  return test::refusal([&] { HeadShape shape(face); });
}

TEST(HeadRefuses, LandmarksThatCannotBeAFaceNamingBoth) {
  const Face good = test::mean_face("adult-male");
  EXPECT_EQ(refusal(good), "accepted");

  Face face = good;
  face.at(pogonion).z = -60;
  EXPECT_THAT(refusal(face), AllOf(HasSubstr("sublabiale"), HasSubstr("pogonion"), HasSubstr("-60.0")));
  face = good;
  face.at(pronasale).x = 10;
  EXPECT_THAT(refusal(face), AllOf(HasSubstr("pronasale"), HasSubstr("subnasale")));
  face = good;
  face.at(cheilion).y = -25;
  EXPECT_THAT(refusal(face), AllOf(HasSubstr("stomion"), HasSubstr("cheilion")));
  face = good;
  face.at(opisthocranion).x = 20;
  EXPECT_THAT(refusal(face), AllOf(HasSubstr("glabella"), HasSubstr("opisthocranion")));
  face = good;
  face.at(menton).x = std::nan("");
  EXPECT_THAT(refusal(face), HasSubstr("menton"));
  face = good;
  face.at(sublabiale).y = 4;
  EXPECT_THAT(refusal(face), AllOf(HasSubstr("sublabiale"), HasSubstr("midline")));
  face = good;
  for (Point3& p : face.places) p = {25.4 * p.x, 25.4 * p.y, 25.4 * p.z};  // inches taken for millimetres, backwards
  EXPECT_THAT(refusal(face), HasSubstr("cannot be a face"));
  EXPECT_THAT(refusal(Face{}), HasSubstr("cannot be a face"));
}

}  // namespace
}  // namespace peepwright::solid
