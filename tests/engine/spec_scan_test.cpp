// SPDX-License-Identifier: GPL-3.0-or-later
// What a spec says of a scan, and how sure anything in it is.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/spec/spec.hpp"
#include "tests/engine/spec_text.hpp"

namespace peepwright {
namespace {

using test::parse;
using test::refusal_of;
using test::whole_bow;
using testing::HasSubstr;

std::string scan_text(const std::string& unit, const std::string& nose, const std::string& more = "") {
  return std::string(whole_bow) + "[archer.face]\nscan = \"scans/head.ply\"\n" + unit + more +
         "[archer.face.scan_landmarks]\npupil_left = [1, 2, 3.5]\npupil_right = [1, -2, 3.5]\nsublabiale = [0, 0, "
         "-4]\ncheilion_left = [0, 1, -3]\n"
         "cheilion_right = [0, -1, -3]\n" +
         nose;
}

TEST(ReadSpec, AScanComesWithItsUnitAndLandmarks) {
  const std::string nose = "pronasale = [\"2 in\", 0, \"-12 mm\"]\n";
  const Spec spec = parse_spec({{"people/ada.toml", scan_text("scan_unit = \"cm\"\n", nose)}});
  ASSERT_TRUE(spec.scan);
  EXPECT_EQ(spec.scan->file, "people/scans/head.ply");  // beside the file that names it
  EXPECT_EQ(spec.scan->unit_mm, 10);
  ASSERT_EQ(spec.scan->marks.size(), 6u);
  for (const ScanMark& mark : spec.scan->marks) {
    if (mark.name == "pupil_left") {
      EXPECT_EQ(mark.place_mm, (std::array<double, 3>{10, 20, 35}));
    }
    if (mark.name == "pronasale") {
      EXPECT_EQ(mark.place_mm, (std::array<double, 3>{50.8, 0, -12}));
    }
  }
  EXPECT_THAT(refusal_of(scan_text("", nose)), HasSubstr("needs archer.face.scan_unit"));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"ft\"\n", nose)), HasSubstr("\"cm\""));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"cm\"\n", "")), HasSubstr("scan_landmarks.pronasale"));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"cm\"\n", "pronasale = [1, 2]\n")), HasSubstr("a list of 2"));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"cm\"\n", "pronasale = [1, 2, nan]\n")), HasSubstr("cannot be"));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"cm\"\n", "pronasale = [1, 2, true]\n")), HasSubstr("true or false"));
  EXPECT_THAT(refusal_of(scan_text("scan_unit = \"cm\"\n", nose + "pronasal = [1, 2, 3]\n")),
              HasSubstr("did you mean archer.face.scan_landmarks.pronasale"));
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[archer.face]\nscan_unit = \"mm\"\n"),
              HasSubstr("without archer.face.scan"));
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[archer.face.scan_landmarks]\npronasale = [1, 2, 3]\n"),
              HasSubstr("without archer.face.scan"));
}

TEST(Uncertainty, IsReadForAnyInputAndForTheFaceStatistics) {
  const Spec spec =
      parse(std::string(whole_bow) +
            "[uncertainty.bow]\naxle_to_axle = \"1/8 in\"\n[uncertainty.archer.face.spread]\nhollow_up = \"2 mm\"\n");
  EXPECT_DOUBLE_EQ(spec[Key::bow_axle_to_axle].uncertainty, 25.4 / 8);
  EXPECT_DOUBLE_EQ(spec[Key::spread_hollow_up].uncertainty, 2);
  const auto with = [](std::string_view more) { return refusal_of(std::string(whole_bow) + std::string(more)); };
  EXPECT_THAT(with("[uncertainty.bow]\naxle_to_axl = \"1 mm\"\n"), HasSubstr("did you mean"));
  EXPECT_THAT(with("[uncertainty.bow]\naxle_to_axle = \"-1 mm\"\n"), HasSubstr("0 or more"));
  EXPECT_THAT(with("[uncertainty.archer.face]\neye_to_arrow = \"1 mm\"\n"), HasSubstr("not given itself"));
  EXPECT_THAT(with("[uncertainty.distances]\nfar = \"1 m\"\n"), HasSubstr("is a choice"));
}

// What a scan measures has an uncertainty as well as what callipers do, once the landmarks are there that it needs.
TEST(Uncertainty, IsReadForWhatAScanGives) {
  const auto scan = [](const std::string& marks, const std::string& of) {
    return scan_text("scan_unit = \"cm\"\n", "pronasale = [2, 0, -1]\n" + marks) + "[uncertainty.archer.face]\n" + of +
           " = \"2 mm\"\n";
  };
  EXPECT_DOUBLE_EQ(parse(scan("", "mouth_width"))[Key::face_mouth_width].uncertainty, 2);
  EXPECT_EQ(refusal_of(scan("", "head_length")), "accepted");
  EXPECT_THAT(refusal_of(scan("", "chin_below_eye")), HasSubstr("not given itself"));
  EXPECT_EQ(refusal_of(scan("pogonion = [1, 0, -6]\n", "chin_below_eye")), "accepted");
  EXPECT_THAT(refusal_of(scan("sellion = [1, 0, 1]\n", "face_length")), HasSubstr("not given itself"));
  EXPECT_EQ(refusal_of(scan("sellion = [1, 0, 1]\nmenton = [0, 0, -8]\n", "face_length")), "accepted");
  EXPECT_EQ(refusal_of(scan("gonion_left = [-4, 5, -4]\n", "jaw_breadth")), "accepted");
  EXPECT_THAT(refusal_of(scan("", "eye_to_arrow")), HasSubstr("not given itself"));
}

}  // namespace
}  // namespace peepwright
