// SPDX-License-Identifier: GPL-3.0-or-later
// Whom a label of the side view belongs to: a dimension's text to its own line, a pin's distance to its own pin, and
// the number at the string is the mark.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cmath>

#include "exporters/view/compare.hpp"
#include "exporters/view/look.hpp"
#include "exporters/view/side_view.hpp"
#include "tests/exporters/view_reading.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright {
namespace {

using ::testing::HasSubstr;

/// A customer's bow known from its catalogue, told in inches and yards.
Fit customer(const std::string& more) {
  return test::drawn_fit(parse_spec({{"customer.toml", R"(
    [archer.face]
    mouth_corner_below_eye = "2 3/4 in"
    hollow_below_eye = "3 1/2 in"
    [bow]
    axle_to_axle = "33 1/4 in"
    brace_height = "6 3/4 in"
    draw_length = "29 in"
    [distances]
    near = "10 yd"
    fit = "20 yd"
    far = "60 yd")"},
                                     {"more.toml", more}}));
}

/// Bows as long and as short as are made, strings as sharp and as blunt, for both hands; and the usual samples.
std::vector<Fit> wide_range() {
  std::vector<Fit> out = test::many_fits();
  for (const std::string hand : {"right", "left"})
    for (const char* more :
         {"",
          "[bow]\naxle_to_axle = \"50 in\"\ndraw_length = \"32 in\"\nbrace_height = \"8 in\"\n"
          "[sight]\nextension = \"500 mm\"\nhousing_diameter = \"80 mm\"",
          "[bow]\naxle_to_axle = \"24 in\"\ndraw_length = \"24 in\"\nbrace_height = \"6 in\"\nlet_off = \"70 %\"",
          "[bow.full_draw]\nstring_angle = \"74 deg\"",
          "[bow]\naxle_to_axle = \"46 in\"\n[bow.full_draw]\nstring_angle = \"118 deg\"",
          "[archer.face]\npercentile = 2\n[bow.full_draw]\nstring_angle = \"72 deg\"",
          "[archer.face]\neye_to_arrow = \"72 mm\"\n[bow.full_draw]\nstring_angle = \"92 deg\"",
          "[archer.face]\npercentile = 98\n[bow.full_draw]\nstring_angle = \"95 deg\""})
      out.push_back(customer("archer.hand = \"" + hand + "\"\n" + more));
  return out;
}

double distance(const Segment& s, const Segment& t) {
  if (cross(s, t)) return 0;
  return std::min(std::min(distance(s, t.a), distance(s, t.b)), std::min(distance(t, s.a), distance(t, s.b)));
}

Box of_all(const std::vector<Box>& boxes) {
  Box all = boxes.at(0);
  for (const Box& box : boxes)
    all = {std::min(all.x0, box.x0), std::min(all.y0, box.y0), std::max(all.x1, box.x1), std::max(all.y1, box.y1)};
  return all;
}

/// The box of the label of which a line begins with `words`; `before` of its lines stand above that one, `after` below.
Box label_box(const Canvas& canvas, const std::string& words, std::size_t before, std::size_t after) {
  const auto& texts = canvas.texts(0);
  for (std::size_t i = before; i + after < texts.size(); ++i) {
    if (!texts[i].text.starts_with(words)) continue;
    std::vector<Box> boxes;
    for (std::size_t k = i - before; k <= i + after; ++k) boxes.push_back(texts[k].box);
    return of_all(boxes);
  }
  throw std::runtime_error("no label " + words);
}

struct Told {
  std::string words;
  Segment line;
  Box box;
};

/// The stroke that measures `mm` at the scale that the panel of the face names.
Segment dimension_line(const Canvas& canvas, const std::vector<Segment>& strokes, double mm) {
  double reduction = 0;
  for (const TextBox& text : canvas.texts(0))
    if (const std::string title = "Face, string and peep  1 : "; text.text.starts_with(title))
      reduction = std::stod(text.text.substr(title.size()));
  for (const Segment& s : strokes)
    if (std::abs(std::hypot(s.b.x - s.a.x, s.b.y - s.a.y) - mm / reduction) < 0.005) return s;
  throw std::runtime_error("no line as long as a dimension");
}

TEST(SideViewLabels, ADimensionsTextStandsAtItsOwnLine) {
  int number = 0, by_leader = 0;
  for (const Fit& fit : wide_range()) {
    const PaperUnits units = ++number % 2 == 0 ? PaperUnits::inches : PaperUnits::millimetres;
    SCOPED_TRACE("drawing " + std::to_string(number));
    const Canvas canvas = side_view(fit, side_scene(fit), {number % 3 == 0 ? "letter" : "a4", units, "", ""});
    const auto strokes = test::strokes_of(test::read_pdf(canvas.pdf({})).at(0));
    const auto drawn = [&](double mm) { return dimension_line(canvas, strokes, mm); };
    const std::vector<Told> all{
        {"mark", drawn(fit.core.posture.along_string_mm), label_box(canvas, "above nock, at rest", 1, 2)},
        {"peep above arrow", drawn(fit.core.peep_height_mm), label_box(canvas, "peep above arrow", 1, 0)},
        {"eye to peep", drawn(fit.core.eye_to_peep_mm), label_box(canvas, "eye to peep", 1, 0)},
        {"arrow below eye", drawn(fit.core.posture.pupil.z), label_box(canvas, "arrow below eye", 1, 0)}};
    for (const Told& told : all) {
      SCOPED_TRACE(told.words);
      const double own = distance(told.line, told.box);
      const Segment* leader = nullptr;
      for (const Segment& s : strokes)
        if (distance(told.line, s.a) < 0.02 && distance(s, told.box) < 1 && own > 2) leader = &s;
      EXPECT_TRUE(own < 2 || leader != nullptr) << "neither near its line nor led to it: " << own << " mm off";
      if (leader != nullptr) ++by_leader;
      for (const Told& other : all)
        if (&other != &told) {
          EXPECT_GT(distance(other.line, told.box), leader == nullptr ? std::max(3.5, 2 * own) : 3.5)
              << "as near to the line of " << other.words;
          if (leader != nullptr) {
            EXPECT_GT(distance(other.line, *leader), 0.1) << "led across the line of " << other.words;
          }
        }
    }
  }
  EXPECT_LT(by_leader, number / 4) << "as a rule a text stands by its line";
}

/// Where two things touch is told by a short slanted leader from a ring: nothing that looks like a dimension.
TEST(SideViewLabels, LeadersOfContactsAreNotTakenForDimensions) {
  int number = 0, notes = 0, straight = 0, long_ones = 0, through_arrow = 0;
  for (const Fit& fit : wide_range()) {
    const PaperUnits units = ++number % 2 == 0 ? PaperUnits::inches : PaperUnits::millimetres;
    SCOPED_TRACE("drawing " + std::to_string(number));
    const Canvas canvas = side_view(fit, side_scene(fit), {number % 3 == 0 ? "letter" : "a4", units, "", ""});
    const auto page = test::read_pdf(canvas.pdf({})).at(0);
    const auto strokes = test::strokes_of(page);
    const auto drawn = [&](double mm) { return dimension_line(canvas, strokes, mm); };
    const std::vector<Segment> dimensions{drawn(fit.core.posture.along_string_mm), drawn(fit.core.peep_height_mm),
                                          drawn(fit.core.eye_to_peep_mm), drawn(fit.core.posture.pupil.z)};
    const double arrow_y = std::max(dimensions[1].a.y, dimensions[1].b.y);
    const auto& texts = canvas.texts(0);
    for (std::size_t i = 1; i + 1 < texts.size(); ++i)
      for (const std::string words : {"string to nose", "string to mouth", "shaft to chin"}) {
        if (!texts[i].text.starts_with(words)) continue;
        SCOPED_TRACE(words);
        ++notes;
        std::size_t last = i;
        if (words == "string to mouth") ++last;
        if (texts[last].text.ends_with(",")) ++last;
        std::vector<Box> boxes;
        for (std::size_t k = i - 1; k <= last; ++k) boxes.push_back(texts[k].box);
        const Box box = of_all(boxes);
        const Segment* leader = nullptr;
        for (const Segment& s : strokes)
          if (std::abs(s.b.y - (box.y0 + box.y1) / 2) < 0.1 &&
              std::abs(std::min(std::abs(s.b.x - box.x0), std::abs(s.b.x - box.x1)) - 0.7) < 0.1)
            leader = &s;
        ASSERT_NE(leader, nullptr);
        const auto ring = std::ranges::find_if(page.paths, [&](const test::Painted& path) {
          const test::Extent e = path.extent();
          return path.stroked && path.curved && std::abs(e.width() - 2) < 0.1 && std::abs(e.height() - 2) < 0.1 &&
                 std::abs(std::hypot(e.centre().x - leader->a.x, page.height - e.centre().y - leader->a.y) - 1) < 0.05;
        });
        EXPECT_NE(ring, page.paths.end()) << "no ring where the leader begins";
        for (const Segment& line : dimensions) EXPECT_FALSE(cross(line, *leader)) << "runs across a dimension";
        const double across = std::abs(leader->b.x - leader->a.x), along = std::abs(leader->b.y - leader->a.y);
        straight += across < 0.3 * along || along < 0.2 * across ? 1 : 0;
        long_ones += std::hypot(across, along) > 25 ? 1 : 0;
        through_arrow += words == "string to mouth" && (leader->a.y < arrow_y) != (leader->b.y < arrow_y) ? 1 : 0;
      }
  }
  ASSERT_GT(notes, 70);
  EXPECT_LT(straight, notes / 20);
  EXPECT_LT(long_ones, notes / 20);
  EXPECT_LT(through_arrow, number / 4);
}

TEST(SideViewLabels, DistancesStandInTheOrderOfTheirPins) {
  int columns = 0;
  for (const Fit& fit : wide_range()) {
    const SideScene scene = side_scene(fit);
    SCOPED_TRACE("drawing " + std::to_string(++columns));
    const Canvas canvas = side_view(fit, scene, {"a4", PaperUnits::inches, "", ""});
    const auto strokes = test::strokes_of(test::read_pdf(canvas.pdf({})).at(0));
    const Box whole = view::drawing_look().box("side_view", "whole", canvas.page_size(0));
    std::vector<SightRay> rays = scene.rays;
    std::ranges::stable_sort(rays, {}, [](const SightRay& ray) { return ray.pin.y; });
    std::vector<TextBox> rows;
    for (const TextBox& text : canvas.texts(0))
      if (text.text.ends_with(" yd") && whole.contains(text.box)) rows.push_back(text);
    std::ranges::sort(rows, {}, [](const TextBox& row) { return row.box.y0; });
    ASSERT_EQ(rows.size(), rays.size());
    std::vector<Segment> leaders;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      EXPECT_EQ(rows[i].text, distance_text(rays[i].distance_m, PaperUnits::inches));
      const double middle = (rows[i].box.y0 + rows[i].box.y1) / 2;
      for (const Segment& s : strokes)
        if (std::abs(s.b.y - middle) < 0.02 &&
            std::abs(std::min(std::abs(s.b.x - rows[i].box.x0), std::abs(s.b.x - rows[i].box.x1)) - 0.7) < 0.05)
          leaders.push_back(s);
      ASSERT_EQ(leaders.size(), i + 1) << "leaders to " << rows[i].text;
    }
    for (std::size_t i = 1; i < leaders.size(); ++i) {
      EXPECT_GE(leaders[i].a.y, leaders[i - 1].a.y - 1e-3);  // at the pins
      for (std::size_t j = 0; j < i; ++j) EXPECT_FALSE(cross(leaders[i], leaders[j]));
    }
  }
}

TEST(SideViewLabels, TheNumberAtTheStringIsTheMark) {
  const Fit fit = customer("");
  const SideScene scene = side_scene(fit);
  for (const PaperUnits units : {PaperUnits::millimetres, PaperUnits::inches}) {
    const Canvas canvas = side_view(fit, scene, {"a4", units, "", ""});
    const auto figure = [&](double mm) {
      return units == PaperUnits::inches ? inches_text(Length::mm(mm)) : number_text(mm, 1);
    };
    EXPECT_EQ(test::labelled(canvas, "above nock, at rest"), "mark " + figure(fit.core.mark_mm));
    EXPECT_EQ(test::labelled(canvas, "nocking point"), figure(fit.core.posture.along_string_mm) + " drawn, from");
    // The mark's letters are the larger ones.
    const Box mark = label_box(canvas, "mark " + figure(fit.core.mark_mm), 0, 0),
              drawn = label_box(canvas, figure(fit.core.posture.along_string_mm) + " drawn", 0, 0);
    EXPECT_GT(mark.height(), 1.2 * drawn.height());
  }
  const Canvas compared = comparison_sheet(fit, scene, fit, scene, {"a4", PaperUnits::inches, "", ""});
  EXPECT_EQ(test::labelled(compared, "above nock, at rest"), "mark " + inches_text(Length::mm(fit.core.mark_mm)));
}

std::string all_text(const Canvas& canvas) {
  std::string out;
  for (const TextBox& text : canvas.texts(0)) out += text.text + "\n";
  return out;
}

TEST(SideViewLabels, InchesAndYardsComeFirstWhereTheyAreWanted) {
  const Fit a = customer(""), b = customer("bow.full_draw.string_angle = \"80 deg\"");
  const SideScene scene_a = side_scene(a), scene_b = side_scene(b);
  const SideViewOptions options{"letter", PaperUnits::inches, "", ""};
  const std::string view = all_text(side_view(a, scene_a, options)),
                    sheet = all_text(comparison_sheet(a, scene_a, b, scene_b, options)),
                    text = comparison_text(a, b, PaperUnits::inches);
  for (const Clearance& c : a.clearances)
    if (c.name == "string-nose" || c.name == "arrow-chin") {
      EXPECT_THAT(view, HasSubstr(fine_text(c.distance_mm, PaperUnits::inches) + "\n"));
    }
  EXPECT_THAT(view, HasSubstr("4 in (101.6 mm)"));
  EXPECT_THAT(sheet, HasSubstr("8 in (203.2 mm)"));
  EXPECT_THAT(sheet, HasSubstr("mark, string at rest, in"));
  EXPECT_THAT(sheet, HasSubstr(number_text(Length::mm(a.core.mark_mm).in(), 2)));
  // Text is read at the bench: fractions, as the picture has them; what a ruler is too coarse for in decimals.
  EXPECT_THAT(text, HasSubstr(both_text(Length::mm(a.core.mark_mm), PaperUnits::inches)));
  EXPECT_THAT(text, HasSubstr(fine_text(b.core.mark_mm - a.core.mark_mm, PaperUnits::inches, 1, true)));
  for (const std::string& said : {sheet, text}) {
    EXPECT_THAT(said, HasSubstr("longest distance, yd"));
    EXPECT_EQ(said.find(", mm"), std::string::npos);
    EXPECT_EQ(said.find(", m\n"), std::string::npos);
  }
  EXPECT_THAT(comparison_text(a, b, PaperUnits::millimetres), HasSubstr("mark, string at rest, mm"));
}

}  // namespace
}  // namespace peepwright
