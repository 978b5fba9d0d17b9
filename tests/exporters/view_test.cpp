// SPDX-License-Identifier: GPL-3.0-or-later
// The side view: hidden lines, labels that keep clear of everything, dimensions equal to fit.json, scales measured from
// the drawing's own vectors, same bytes.
#include <gmock/gmock.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <thread>

#include "engine/solid/head.hpp"
#include "engine/solid/parts.hpp"
#include "exporters/report/report.hpp"
#include "exporters/view/compare.hpp"
#include "exporters/view/cusps.hpp"
#include "exporters/view/labels.hpp"
#include "exporters/view/side_view.hpp"
#include "tests/exporters/view_reading.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright {
namespace {

using test::drawn_fit;
using test::first_fit_spec;
using test::labelled;
using test::strokes_of;

double length(const Segment& s) { return std::hypot(s.b.x - s.a.x, s.b.y - s.a.y); }

double length(const Path& path) {
  double sum = 0;
  for (const Segment& s : segments_of(path, 16)) sum += length(s);
  return sum;
}

TEST(HiddenLines, ABallIsACircle) {
  // Turned, so that the kernel's own seam does not lie on the outline.
  const auto turned = solid::Pose::from_angles(0.4, 0.3, 0.2, {5, 0, 7});
  const auto lines = hidden_lines({{solid::ball_solid({{0, 0, 0}, 10}).moved(turned)}}, side_of(true));
  ASSERT_EQ(lines.size(), 1U);
  const auto segments = segments_of(lines[0].outline);
  ASSERT_FALSE(segments.empty());
  for (const Segment& s : segments) EXPECT_NEAR(std::hypot(s.a.x - 5, s.a.y + 7), 10, 2 * line_deviation_mm);
  EXPECT_NEAR(length(lines[0].outline), 2 * M_PI * 10, 0.1);
}

TEST(HiddenLines, APlateHidesWhatIsBehindIt) {
  // A rod of 100 mm along x; a plate of 40 mm stands between it and the viewer, or behind it.
  const solid::Shape rod = solid::rod_solid({{0, 0, 0}, {100, 0, 0}, 2});
  const auto plate = [](double y) {
    return solid::plate_solid({{30, y, -20}, {70, y, -20}, {70, y, 20}, {30, y, 20}}, 2);
  };
  const auto drawn = [&](double y) {
    const auto lines = hidden_lines({{rod}, {plate(y)}}, side_of(true));
    return length(lines[0].outline) + length(lines[0].sharp);
  };
  // Two edges along, two ends.
  EXPECT_NEAR(drawn(20), 208, 8.5);
  EXPECT_NEAR(drawn(20) - drawn(-20), 80, 0.1);
  // Seen by the left-handed archer's coach, from the other side, it is the other way round.
  EXPECT_NEAR(length(hidden_lines({{rod}, {plate(20)}}, side_of(false))[0].sharp) +
                  length(hidden_lines({{rod}, {plate(20)}}, side_of(false))[0].outline),
              drawn(-20), 0.1);
}

// A head is hidden by, and hides, otherwise than plates: by its triangles.
TEST(HiddenLines, AHeadHidesWhatIsBehindIt) {
  const solid::HeadModel model(drawn_fit(first_fit_spec()).core.face);
  const solid::Shape head = solid::head_solid(model.distance().skin());
  const auto drawn = [&](double y) {
    return hidden_lines({{head}, {solid::rod_solid({{-300, y, 0}, {100, y, 0}, 2})}}, side_of(true));
  };
  const auto behind = drawn(200), through = drawn(0), before = drawn(-200);
  const auto rod = [](const std::vector<DrawnLines>& lines) {
    return length(lines[1].outline) + length(lines[1].sharp);
  };
  // At the eyes' height, seen from the side: the head is as long there as from the nose's root to the back.
  double front = -300, back = 100;
  for (const Point3& p : model.distance().skin().sample(288, 240))
    if (std::abs(p.z) < 2) front = std::max(front, p.x), back = std::min(back, p.x);
  EXPECT_NEAR(rod(before), 808, 8.5);
  EXPECT_NEAR(rod(before) - rod(behind), 2 * (front - back), 4);
  // Inside a head is as hidden as behind it, but for a few millimetres at the nose's root, whose flanks are near.
  EXPECT_NEAR(rod(through), rod(behind), 10);
  // The rod before it takes its own width out of the head's outline, and nothing else.
  double crossed = 0;
  for (const Segment& s : segments_of(behind[0].outline, 64))
    if (std::abs(s.a.y + s.b.y) / 2 < 2) crossed += length(s);
  EXPECT_NEAR(length(behind[0].outline) - length(before[0].outline), crossed, 0.5);
  // Nothing of the far cheek, ear or eye shows through: the outline goes round once.
  const auto alone = hidden_lines({{head}}, side_of(true));
  EXPECT_NEAR(length(alone[0].outline), length(behind[0].outline), 0.5);
  for (const Segment& s : segments_of(alone[0].outline)) {
    const Point middle = 0.5 * (s.a + s.b);
    for (const Point3& inner : {Point3{-60, 0, 40}, Point3{-100, 0, 20}, Point3{-20, 0, 40}})
      EXPECT_GT(std::hypot(middle.x - inner.x, middle.y + inner.z), 15);
  }
}

TEST(HiddenLines, SeveralThreadsGetTheSame) {
  const SideScene once = side_scene(drawn_fit(first_fit_spec()));
  std::vector<Box> boxes(3);
  std::vector<std::thread> threads;
  std::vector<std::size_t> pieces(3);
  const Fit fit = drawn_fit(first_fit_spec());
  for (std::size_t i = 0; i < boxes.size(); ++i)
    threads.emplace_back([&, i] { pieces[i] = side_scene(fit).bow.sharp.pieces().size(); });
  for (std::thread& thread : threads) thread.join();
  for (const std::size_t count : pieces) EXPECT_EQ(count, once.bow.sharp.pieces().size());
}

TEST(Labels, TakeTheNearestFreePlace) {
  using view::LabelChoice;
  const std::vector<LabelChoice> choices{{{0, 0, 10, 4}, {}, 0}, {{20, 0, 30, 4}, {}, 1}, {{40, 0, 50, 4}, {}, 2}};
  EXPECT_EQ(view::place_labels({choices}, {}, 0.5), (std::vector<std::size_t>{0}));
  EXPECT_EQ(view::place_labels({choices}, {{{5, -5}, {5, 5}}}, 0.5), (std::vector<std::size_t>{1}));
  // Two cannot share a place; the one that has nowhere else to go keeps it.
  EXPECT_EQ(view::place_labels({choices, {choices[0]}}, {}, 0.5), (std::vector<std::size_t>{1, 0}));
  // Close by is too near.
  EXPECT_EQ(view::place_labels({choices}, {{{10.4, -5}, {10.4, 5}}}, 0.5), (std::vector<std::size_t>{1}));
}

/// A line up, and at its top a hook that folds back, as the kernel leaves beyond a cusp.
Path hooked(double hook_mm) {
  Path path;
  path.move_to({0, 20}).line_to({0, 10}).curve_to({0, 6}, {0.5, 3}, {0.8, 0});
  // The kernel's edges begin anew where one ends.
  return path.move_to({0.8, 0}).line_to({0.8 - 0.3 * hook_mm, 0.95 * hook_mm});
}

TEST(Outline, EndsWhereItFoldsBack) {
  for (const double hook : {0.8, 2.0, 3.5}) {
    const Path kept = without_hooks(hooked(hook));
    EXPECT_NEAR(length(kept), length(hooked(0)), 0.2) << hook;
    EXPECT_LT(kept.bounds().x1, 0.81);
  }
  // So long a piece is no leftover; smooth lines and a dot's neighbours stay as they are.
  EXPECT_NEAR(length(without_hooks(hooked(9))), length(hooked(9)), 1e-6);
  const Path ring = Path().move_to({5, 0}).curve_to({5, 2.8}, {2.8, 5}, {0, 5}).curve_to({-2.8, 5}, {-5, 2.8}, {-5, 0});
  EXPECT_NEAR(length(without_hooks(ring)), length(ring), 1e-6);
  EXPECT_TRUE(without_hooks(Path::line({1, 1}, {1.01, 1})).empty());
}

TEST(Outline, NoHeadHasAHook) {
  for (const Fit& fit : test::many_fits()) {
    const SideScene scene = side_scene(fit);
    const Path& outline = scene.head.outline;
    EXPECT_GT(length(outline), 600) << "where is the head?";
    EXPECT_NEAR(length(without_hooks(outline)), length(outline), 1e-6) << fit.spec.bow_label;
    // Turned back within half a millimetre of an end: what a reader sees as a hook.
    std::vector<std::vector<Point>> parts;
    for (const Segment& s : segments_of(outline)) {
      if (parts.empty() || std::hypot(parts.back().back().x - s.a.x, parts.back().back().y - s.a.y) > 1e-9)
        parts.push_back({s.a});
      if (length(s) > 0.1) parts.back().push_back(s.b);
    }
    for (const auto& part : parts)
      for (std::size_t i = 2; i < part.size(); ++i) {
        const Point in = part[i - 1] - part[i - 2], out = part[i] - part[i - 1];
        EXPECT_GT(in.x * out.x + in.y * out.y, -0.7 * std::hypot(in.x, in.y) * std::hypot(out.x, out.y))
            << "at " << part[i - 1].x << ", " << part[i - 1].y << " of " << fit.spec.bow_label;
      }
  }
}

TEST(SideView, HandsAreMirrorImages) {
  const SideScene right = side_scene(drawn_fit(first_fit_spec())),
                  left = side_scene(drawn_fit(first_fit_spec("[archer]\nhand = \"left\"")));
  // Twice what the outline of a head may be off, see below.
  EXPECT_NEAR(left.head_box.x0, -right.head_box.x1, 0.2);
  EXPECT_NEAR(left.head_box.x1, -right.head_box.x0, 0.2);
  EXPECT_NEAR(left.head_box.y0, right.head_box.y0, 0.2);
  EXPECT_NEAR(left.bow_box.x0, -right.bow_box.x1, 0.5);
  EXPECT_DOUBLE_EQ(left.peep.x, -right.peep.x);
  EXPECT_NEAR(length(left.head.outline), length(right.head.outline), 0.01 * length(right.head.outline));
  // Where a light line goes out of sight is found on a grid, which is not mirrored.
  EXPECT_NEAR(length(left.face.light), length(right.face.light), 0.03 * length(right.face.light));
}

// The kernel approximates where a spline turns away: at most 0.1 mm beside the skin's own extremes, for either hand.
TEST(SideView, TheOutlineIsThatOfTheSkin) {
  for (const char* hand : {"right", "left"}) {
    const Fit fit = drawn_fit(first_fit_spec("[archer]\nhand = \"" + std::string(hand) + "\""));
    const SideScene scene = side_scene(fit);
    const solid::HeadModel model(fit.core.face);
    const solid::AssemblyInput in = assembly_of(fit);
    const ViewDirection view = side_of(in.right_handed);
    const solid::Pose pose = in.right_handed ? in.head : in.head.mirrored();
    double left = 1e9, right = -1e9, top = 1e9;
    for (const Point3& p : model.distance().skin().sample(1200, 1200)) {
      const Point at = view.picture(pose(p));
      left = std::min(left, at.x), right = std::max(right, at.x), top = std::min(top, at.y);
    }
    EXPECT_NEAR(scene.head_box.x0, left, 0.1) << hand;
    EXPECT_NEAR(scene.head_box.x1, right, 0.1) << hand;
    EXPECT_NEAR(scene.head_box.y0, top, 0.1) << hand;
  }
}

TEST(SideView, AFaceShowsAsAPerson) {
  const SideScene scene = side_scene(drawn_fit(first_fit_spec()));
  EXPECT_GT(length(scene.face.light), 500);  // ear, jaw, hairline, nose, lips
  EXPECT_GT(length(scene.face.strong), 60);  // lids, mouth
  EXPECT_GT(length(scene.face.hair), 60);    // brows
  EXPECT_FALSE(scene.face.pupils.empty());
  for (const Path* path : {&scene.face.light, &scene.face.strong, &scene.face.hair})
    for (const Segment& s : segments_of(*path)) {
      EXPECT_TRUE(scene.head_box.contains({s.a.x, s.a.y, s.a.x, s.a.y}, 1.0));
      EXPECT_LT(length(s), 6) << "a line jumps at " << s.a.x << ", " << s.a.y << " to " << s.b.x << ", " << s.b.y;
    }
}

TEST(Clip, OutsideOfAConvexPolygonStays) {
  for (std::vector<Point> square :
       {std::vector<Point>{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{0, 0}, {0, 10}, {10, 10}, {10, 0}}}) {
    EXPECT_NEAR(length(outside(Path::line({-5, 5}, {15, 5}), square)), 10, 1e-9);    // through
    EXPECT_NEAR(length(outside(Path::line({-5, 5}, {4, 5}), square)), 5, 1e-9);      // into
    EXPECT_NEAR(length(outside(Path::line({2, 2}, {8, 8}), square)), 0, 1e-9);       // inside
    EXPECT_NEAR(length(outside(Path::line({-5, 12}, {15, 12}), square)), 20, 1e-9);  // past
    EXPECT_NEAR(length(outside(Path::line({-3, 4}, {4, -3}), square)), std::hypot(7, 7) - std::hypot(1, 1),
                1e-9);  // a corner
  }
}

TEST(SideView, TheStringMeetsThePeepAndIsHiddenByIt) {
  for (const Fit& fit : test::many_fits()) {
    const SideScene scene = side_scene(fit);
    const double radius = fit.spec.value(Key::string_diameter) / 2;
    const Point leg = scene.peep - scene.bend;
    const Point up = (1 / std::hypot(leg.x, leg.y)) * leg, aside = radius * Point{-up.y, up.x};
    Path all = scene.bow.outline;
    all.append(scene.bow.sharp);
    const auto segments = segments_of(all);
    for (const double side : {-1.0, 1.0}) {
      // Along each of the string's two lines: how near to the peep's centre it comes from either way.
      double below = 1e9, above = 1e9;
      for (const Segment& s : segments) {
        const auto along = [&](Point p) { return (p.x - scene.peep.x) * up.x + (p.y - scene.peep.y) * up.y; };
        const auto off = [&](Point p) {
          const Point q = p - scene.peep - side * aside;
          return std::abs(q.x * up.y - q.y * up.x);
        };
        if (off(s.a) > 0.02 || off(s.b) > 0.02 || length(s) < 3) continue;
        for (const double end : {along(s.a), along(s.b)})
          (end < 0 ? below : above) = std::min(end < 0 ? below : above, std::abs(end));
      }
      for (const double end : {below, above}) {
        EXPECT_GT(end, 2) << fit.spec.bow_label;    // not inside the body
        EXPECT_LT(end, 8.5) << fit.spec.bow_label;  // half the body's diagonal and the string's slant: no gap
      }
    }
  }
}

TEST(SideView, ALoopInTheCheekIsDrawnWhole) {
  std::vector<Fit> fits = test::many_fits();
  fits.push_back(
      drawn_fit(first_fit_spec("[archer.face]\npercentile = 98\n[bow.full_draw]\nstring_angle = \"94 deg\"")));
  double deepest = 0;
  for (const Fit& fit : fits) {
    const SideScene scene = side_scene(fit);
    const Box box = scene.bow_box;
    EXPECT_GT(scene.right_handed ? -box.x0 : box.x1, fit.spec.value(Key::string_loop_length) - 1) << fit.spec.bow_label;
    for (const Clearance& c : fit.clearances)
      if (c.name == "nock-face") deepest = std::min(deepest, c.distance_mm);
  }
  EXPECT_LT(deepest, -2) << "no nock lies in the cheek, so that this shows nothing";
}

TEST(SideView, LabelsKeepClearOfEverything) {
  int seen = 0;
  for (const Fit& fit : test::many_fits())
    for (const char* paper : {"a4", "letter"}) {
      const PaperUnits units = ++seen % 4 == 0 ? PaperUnits::inches : PaperUnits::millimetres;
      SCOPED_TRACE(fit.spec.bow_label + ", " + std::string(text_of(fit.spec.hand)) + ", sheet " + std::to_string(seen));
      const Canvas canvas = side_view(fit, side_scene(fit), {paper, units, "a date", "peepwright"});
      const PageSize size = canvas.page_size(0);
      const auto strokes = strokes_of(test::read_pdf(canvas.pdf({})).at(0));
      ASSERT_GT(strokes.size(), 200U);
      const auto& texts = canvas.texts(0);
      ASSERT_GT(texts.size(), 25U);
      for (std::size_t i = 0; i < texts.size(); ++i) {
        EXPECT_TRUE((Box{9, 9, size.width_mm - 9, size.height_mm - 9}.contains(texts[i].box))) << texts[i].text;
        for (std::size_t j = 0; j < i; ++j)
          EXPECT_FALSE(texts[i].box.overlaps(texts[j].box, 0.05)) << texts[i].text << " / " << texts[j].text;
        const Box inner{texts[i].box.x0 + 0.1, texts[i].box.y0 + 0.1, texts[i].box.x1 - 0.1, texts[i].box.y1 - 0.1};
        for (const Segment& s : strokes)
          EXPECT_FALSE(meets(s, inner)) << texts[i].text << " on a line from " << s.a.x << ", " << s.a.y << " to "
                                        << s.b.x << ", " << s.b.y;
      }
    }
  EXPECT_EQ(seen, 24);
}

TEST(SideView, DimensionsAreThoseOfFitJson) {
  for (const char* more : {"", "[archer]\nhand = \"left\"\n[archer.face]\neye_to_arrow = \"97.3 mm\""}) {
    const FitReport report = make_report(first_fit_spec(more), std::nullopt);
    const auto json = nlohmann::json::parse(report_json(report));
    const Canvas canvas = side_view(report.fit, side_scene(report.fit), {"a4", PaperUnits::millimetres, "", ""});
    const auto one = [](const nlohmann::json& value) { return number_text(value.get<double>(), 1); };
    EXPECT_EQ(labelled(canvas, "peep above arrow"), one(json["peep"]["height_full_draw_mm"]));
    EXPECT_EQ(labelled(canvas, "above nock, at rest"), "mark " + one(json["peep"]["mark_from_nock_top_mm"]));
    EXPECT_EQ(labelled(canvas, "nocking point"), one(json["peep"]["along_string_mm"]) + " drawn, from");
    EXPECT_EQ(labelled(canvas, "eye to peep"), one(json["peep"]["eye_to_peep_mm"]));
    EXPECT_EQ(labelled(canvas, "arrow below eye"), one(json["posture"]["arrow_below_eye_mm"]));
    EXPECT_EQ(labelled(canvas, "string angle"), one(json["string"]["included_angle_deg"]) + "°");
    int told = 0;
    for (const auto& clearance : json["clearances"])
      for (const auto& [name, words] : {std::pair{"arrow-chin", "shaft to chin"},
                                        {"string-nose", "string to nose"},
                                        {"string-mouth-corner", "string to mouth"}})
        if (clearance["name"] == name) {
          EXPECT_EQ(labelled(canvas, words), one(clearance["distance_mm"]));
          ++told;
        }
    EXPECT_EQ(told, 3);
  }
}

TEST(Compare, AReachThatIsNoneOrBeyondWhatIsLookedAtIsSaidInWords) {
  Spec never = first_fit_spec(), usual = never, always = never;
  never.give(Key::sight_bar_drop, 90);
  always.give(Key::sight_bar_drop, 10);
  always.give(Key::sight_housing_diameter, 10);
  always.give(Key::sight_extension, 0);
  always.give(Key::arrow_drag_coefficient, 1);
  always.give(Key::arrow_speed, 125);
  always.give(Key::wanted_sight_arrow, 0);
  const Fit none = solve_fit(never), some = solve_fit(usual), over = solve_fit(always);
  ASSERT_EQ(none.reach.longest_m, 0);
  ASSERT_TRUE(over.reach.beyond_limit);
  const auto reach = [](const Fit& a, const Fit& b, PaperUnits units) { return compared(a, b, units).back(); };
  EXPECT_EQ(reach(none, some, PaperUnits::millimetres).words_a, "none");
  EXPECT_EQ(reach(some, over, PaperUnits::millimetres).words_b, "over 250.0");
  EXPECT_EQ(reach(some, over, PaperUnits::inches).words_b, "over 273.4");  // yards
  EXPECT_EQ(reach(some, over, PaperUnits::inches).unit, "yd");
  EXPECT_EQ(reach(some, some, PaperUnits::millimetres).words_a, "");
  EXPECT_DOUBLE_EQ(reach(some, some, PaperUnits::millimetres).a, some.reach.longest_m);
}

TEST(SideView, ScaleMeasuredFromItsVectors) {
  const Fit fit = drawn_fit(first_fit_spec());
  const Canvas canvas = side_view(fit, side_scene(fit), {"a4", PaperUnits::millimetres, "", ""});
  const auto page = test::read_pdf(canvas.pdf({})).at(0);
  // ISO 216, on its side; the file's own unit, 1/72 in, is written to 1e-4 mm or so.
  EXPECT_NEAR(page.width, 297, 0.01);
  EXPECT_NEAR(page.height, 210, 0.01);
  const auto strokes = strokes_of(page);
  const auto drawn = [&](double wanted_mm) {
    return std::ranges::any_of(strokes, [&](const Segment& s) { return std::abs(length(s) - wanted_mm) < 0.01; });
  };
  bool said = false;
  for (const TextBox& text : canvas.texts(0)) said = said || text.text.ends_with("peep  1 : 2");
  ASSERT_TRUE(said);
  EXPECT_TRUE(drawn(fit.core.peep_height_mm / 2));
  EXPECT_TRUE(drawn(fit.core.posture.along_string_mm / 2));
  EXPECT_TRUE(drawn(fit.core.posture.pupil.z / 2));
  EXPECT_TRUE(drawn(50)) << "scale bar of 100 mm";
  EXPECT_TRUE(drawn(200.0 / 15)) << "scale bar of 200 mm at 1 : 15";
}

TEST(SideView, SameBytesAndEmbeddedFonts) {
  const Fit fit = drawn_fit(first_fit_spec());
  const SideScene scene = side_scene(fit), again = side_scene(fit);
  const SideViewOptions options{"letter", PaperUnits::inches, "2026-01-02", "peepwright"};
  const Canvas a = side_view(fit, scene, options), b = side_view(fit, again, options);
  const std::string pdf = a.pdf({"side view", "peepwright"});
  EXPECT_EQ(pdf, b.pdf({"side view", "peepwright"}));
  EXPECT_EQ(a.svg(0), b.svg(0));
  EXPECT_EQ(a.png(0, 60), b.png(0, 60));
  const test::ScratchFile file(pdf, ".pdf");
  const std::string fonts = test::run("pdffonts " + file.path() + " | tail -n +3");
  EXPECT_THAT(fonts, testing::HasSubstr("B612"));
  std::size_t lines = 0, embedded = 0;
  for (std::size_t at = 0; at < fonts.size(); at = fonts.find('\n', at) + 1, ++lines)
    if (fonts.substr(at, fonts.find('\n', at) - at).find(" yes yes ") != std::string::npos) ++embedded;
  EXPECT_EQ(embedded, lines);
  EXPECT_GT(lines, 0U);
}

}  // namespace
}  // namespace peepwright
