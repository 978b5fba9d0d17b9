// SPDX-License-Identifier: GPL-3.0-or-later
// Drawings look as they did when somebody last looked at them. tests/references holds what was accepted;
// tests/accept-references.sh accepts anew.
#include <gmock/gmock.h>

#include <algorithm>
#include <filesystem>

#include "exporters/report/report.hpp"
#include "tests/exporters/drawing_samples.hpp"
#include "tests/exporters/picture.hpp"

namespace peepwright::test {
namespace {

namespace fs = std::filesystem;

/// A pixel is a quarter of a millimetre: a line may stand 0.1 mm elsewhere, a label 0.5 mm elsewhere is seen.
constexpr double dots_per_inch = 100;
constexpr Tolerance tolerance{1, 40};
constexpr int most_pixels = 12;

Picture picture_of(const Canvas& canvas) {
  Picture out = read_png(canvas.png(0, dots_per_inch));
  // References outlive versions.
  for (const TextBox& text : canvas.texts(0))
    if (text.text.find(version()) != std::string::npos) out.blank(text.box, dots_per_inch);
  return out;
}

class Reference : public testing::TestWithParam<DrawingSample> {};

TEST_P(Reference, LooksAsAccepted) {
  const fs::path accepted = fs::path(PEEPWRIGHT_SOURCE_DIR) / "tests/references" / (GetParam().name + ".png");
  const fs::path actual = fs::path(REFERENCE_OUTPUT) / (GetParam().name + ".actual.png"),
                 other = fs::path(REFERENCE_OUTPUT) / (GetParam().name + ".difference.png");
  fs::remove(actual);
  fs::remove(other);
  const Picture drawn = picture_of(GetParam().draw());
  if (!fs::exists(accepted)) {
    write_bytes(actual, write_png(drawn));
    FAIL() << "there is no reference " << accepted << ". Look at " << actual
           << "; if it is right: sh tests/accept-references.sh --looked";
  }
  const Difference found = difference(drawn, read_png(bytes_of(accepted)), tolerance);
  if (found.pixels <= most_pixels) return;
  write_bytes(actual, write_png(drawn));
  write_bytes(other, write_png(found.picture));
  FAIL() << found.pixels << " pixels differ from " << accepted << ".\nDrawn now: " << actual
         << "\nDifference: " << other
         << "\nLook at both; if the new one is right: sh tests/accept-references.sh --looked";
}

INSTANTIATE_TEST_SUITE_P(Drawings, Reference, testing::ValuesIn(drawing_samples()), test_name);

/// A page with lines, and one label at `x`.
Picture labelled(double x, double line_at = 20) {
  Canvas canvas;
  canvas.new_page({80, 50});
  canvas.line({10, line_at}, {70, line_at}, {0.5, {}, {}, LineEnd::butt});
  canvas.stroke(Path::circle({40, 30}, 12), {0.18, {}, {}, LineEnd::butt});
  TextStyle small;
  small.size_mm = 2.4;
  canvas.text("arrow below eye", small, {{x, 8}, Across::left, Down::top, 0});
  return picture_of(canvas);
}

TEST(ReferenceTolerance, ATenthOfAMillimetreDoesNotMatter) {
  for (const double by : {0.0, 0.03, 0.07, 0.1, -0.1}) {
    EXPECT_LE(difference(labelled(20), labelled(20 + by), tolerance).pixels, most_pixels) << by;
    EXPECT_LE(difference(labelled(20), labelled(20, 20 + by), tolerance).pixels, most_pixels) << by;
  }
}

TEST(ReferenceTolerance, AShiftedLabelAndALostLineAreSeen) {
  for (const double by : {0.6, -0.6, 1.0, 5.0})
    EXPECT_GT(difference(labelled(20), labelled(20 + by), tolerance).pixels, 3 * most_pixels) << by;
  for (const double by : {0.8, -0.8})
    EXPECT_GT(difference(labelled(20), labelled(20, 20 + by), tolerance).pixels, 3 * most_pixels) << by;
  Picture less = labelled(20);
  less.blank({30, 19, 45, 21}, dots_per_inch);
  EXPECT_GT(difference(labelled(20), less, tolerance).pixels, 3 * most_pixels);
}

TEST(ReferenceTolerance, AnotherPageSizeIsSeen) {
  Picture shorter = labelled(20);
  --shorter.height;
  shorter.grey.resize(std::size_t(shorter.width) * std::size_t(shorter.height));
  EXPECT_GT(difference(labelled(20), shorter, tolerance).pixels, most_pixels);
}

TEST(ReferenceTolerance, AcceptedPicturesCompareAsDrawn) {
  const Picture drawn = labelled(20);
  EXPECT_EQ(difference(drawn, read_png(write_png(drawn)), tolerance).pixels, 0);
}

}  // namespace
}  // namespace peepwright::test
