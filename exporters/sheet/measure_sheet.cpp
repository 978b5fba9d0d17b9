// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/measure_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/face/face.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/head_shape.hpp"
#include "exporters/sheet/flow.hpp"
#include "exporters/view/clip.hpp"
#include "exporters/view/picture.hpp"
#include "exporters/view/title_block.hpp"

namespace peepwright {
namespace {

using view::Draft;
using view::Placement;
using view::take;

std::string number_of(Key key) {
  const auto& all = numbered_measures();
  return fmt::format("{}", std::ranges::find(all, key) - all.begin() + 1);
}

/// A bow that is like many, and an arrow for it.
Spec usual_spec() {
  Spec spec;
  spec.give(Key::bow_axle_to_axle, Length::in(33).mm());
  spec.give(Key::bow_brace_height, Length::in(6.75).mm());
  spec.give(Key::bow_draw_length, Length::in(29).mm());
  spec.suit_assumptions();
  return spec;
}

/// A head as it stands in its own frame: nose ahead, upright.
struct Figure {
  Face face = make_face(usual_spec());
  solid::HeadModel head{face};
  solid::Shape solid = solid::head_solid(solid::skin_of(solid::HeadShape(face)));
};

/// The head seen along `view` at the panel's scale; returns where a place of the head frame lies on the page.
Placement draw_head(Draft& draft, const Figure& figure, const ViewDirection& view, const Box& area,
                    const Box& margins) {
  DrawnLines lines = hidden_lines({{figure.solid}}, view).front();
  Box window = lines.outline.bounds();
  constexpr double neck_mm = 150;  // below the eyes: no more of it than that
  window.y1 = std::min(window.y1, neck_mm);
  const Placement at(window, {area.x0 + margins.x0, area.y0 + margins.y0, area.x1 - margins.x1, area.y1 - margins.y1});
  const FaceLines face = face_lines(figure.head, solid::Pose::from_angles(0, 0, 0, {}), {1, 0, 0}, {}, view);
  draft.line(at(face.light), "face");
  draft.line(at(face.strong), "face_strong");
  draft.line(at(face.hair), "hair");
  draft.fill(at(face.pupils), Colour::grey(0.1));
  draft.line(at(clipped(lines.outline, window)), "outline");
  draft.line(at(clipped(lines.sharp, {window.x0, window.y0 - 1, window.x1, window.y0 + 20})),
             "outline");  // the crown's rim
  return at;
}

/// A measure between two heights, its arrow at `x`, with lines drawn out to it; its number stands on the far side of
/// the arrow.
void height(Draft& draft, Point from, Point to, double x, Key key) {
  for (const Point p : {from, to}) {
    const double way = x > p.x ? 1 : -1;
    draft.line(Path::line(p + Point{way, 0}, {x + 1.6 * way, p.y}), "dimension");
  }
  draft.dimension_beside({x, from.y}, {x, to.y}, {x > from.x ? 1.0 : -1.0, 0}, number_of(key));
}

/// The same between two sides, its arrow at height `y`; its number again on the far side.
void breadth(Draft& draft, Point from, Point to, double y, Key key) {
  for (const Point p : {from, to}) {
    const double way = y > p.y ? 1 : -1;
    draft.line(Path::line(p + Point{0, way}, {p.x, y + 1.6 * way}), "dimension");
  }
  draft.dimension_beside({from.x, y}, {to.x, y}, {0, y > from.y ? 1.0 : -1.0}, number_of(key));
}

void draw_profile(Canvas& canvas, const Figure& figure, const Box& area) {
  const view::Look& look = view::drawing_look();
  Draft draft(canvas, look, area);
  // Straight from the side the outline would run along the skin's own seam, where the kernel finds none.
  constexpr double turn = 0.05;
  const ViewDirection side{{std::sin(turn), -std::cos(turn), 0}, {std::cos(turn), std::sin(turn), 0}};
  const Placement at = draw_head(draft, figure, side, area, {1, 15, 42, 0});
  view::panel_title(canvas, look, area, "Head from the side, Frankfurt plane level", at.reduction);
  const auto place = [&](Landmark l) { return at(side.picture(figure.face.at(l))); };
  const Point pupil = place(Landmark::corneal_apex), nose = place(Landmark::pronasale);
  double x = nose.x + 5;
  const double step = 7.6;
  const struct {
    Landmark landmark;
    Key key;
  } below[] = {{Landmark::pronasale, Key::face_nose_tip_below_eye},
               {Landmark::cheilion, Key::face_mouth_corner_below_eye},
               {Landmark::sublabiale, Key::face_hollow_below_eye},
               {Landmark::pogonion, Key::face_chin_below_eye}};
  for (const auto& [landmark, key] : below) height(draft, pupil, place(landmark), x, key), x += step;
  height(draft, place(Landmark::sellion), place(Landmark::menton), x, Key::face_face_length);
  breadth(draft, place(Landmark::pupil), nose, place(Landmark::sellion).y - 12, Key::face_nose_tip_ahead_of_eye);
  breadth(draft, place(Landmark::opisthocranion), place(Landmark::glabella), area.y0 + 11, Key::face_head_length);
  draft.finish();
}

void draw_front(Canvas& canvas, const Figure& figure, const Box& area) {
  const view::Look& look = view::drawing_look();
  Draft draft(canvas, look, area);
  const ViewDirection front{{1, 0, 0}, {0, 1, 0}};
  const Placement at = draw_head(draft, figure, front, area, {1, 15, 1, 0});
  view::panel_title(canvas, look, area, "From ahead", at.reduction);
  const auto both = [&](Landmark l, double y, Key key) {
    const Point3 left = figure.face.at(l);
    breadth(draft, at(front.picture(mirrored(left))), at(front.picture(left)), y, key);
  };
  const auto height_of = [&](Landmark l) { return at(front.picture(figure.face.at(l))).y; };
  both(Landmark::pupil, height_of(Landmark::pupil) - 13, Key::face_pupil_distance);
  both(Landmark::cheilion, height_of(Landmark::pogonion) + 1.5, Key::face_mouth_width);
  both(Landmark::gonion, height_of(Landmark::menton) + 3.5, Key::face_jaw_breadth);
  both(Landmark::eurion, area.y0 + 11, Key::face_head_breadth);
  draft.finish();
}

/// The bow at rest, as plain as it can be and still be known: axles and string where catalogue numbers put them.
void draw_rest(Canvas& canvas, const Box& area) {
  const view::Look& look = view::drawing_look();
  Draft draft(canvas, look, area);
  const Spec spec = usual_spec();
  const double half = spec.value(Key::bow_axle_to_axle) / 2, brace = spec.value(Key::bow_brace_height), cam = 42;
  const Placement at({-60, -half - cam, brace + 152, half + cam},
                     {area.x0 + 12, area.y0 + 8, area.x1 - 1, area.y1 - 1});
  view::panel_title(canvas, look, area, "Bow undrawn", at.reduction);
  for (const double end : {-1.0, 1.0}) {
    const Point axle{cam, end * half}, pocket{brace + 95, end * 0.62 * half}, root{brace + 40, end * 0.2 * half};
    draft.line(at(Path::circle(axle, cam)), "narrow_outline");
    draft.line(at(Path::circle(axle, 4)), "narrow_edge");
    for (const double side : {-7.0, 7.0})
      draft.line(at(Path::line(axle + Point{8, side}, pocket + Point{0, side})), "narrow_edge");
    draft.line(at(Path()
                      .move_to(pocket + Point{14, end * 16})
                      .curve_to(pocket + Point{20, -end * 60}, root + Point{36, end * 60}, root)),
               "narrow_outline");
    draft.line(at(Path()
                      .move_to(pocket + Point{-8, end * 16})
                      .curve_to(pocket + Point{-8, -end * 60}, root + Point{8, end * 70}, root + Point{-22, 0})),
               "narrow_outline");
  }
  const double grip = 0.2 * half;
  draft.line(at(Path()
                    .move_to({brace + 18, -grip})
                    .curve_to({brace + 6, -30}, {brace - 4, -14}, {brace, 0})
                    .curve_to({brace + 8, 40}, {brace + 14, 60}, {brace + 18, grip})),
             "narrow_outline");
  draft.line(at(Path::line({brace + 40, -grip}, {brace + 40, grip})), "narrow_outline");
  draft.line(at(Path::line({0, -half}, {0, half})), "outline");
  constexpr double above_centre = 40;  // more than most have, to be seen
  const Point nocked{0, -above_centre}, peep = nocked + Point{0, -128};
  draft.line(at(Path::circle(peep, 7)), "outline");
  draft.line(at(Path::line(nocked - Point{9, 0}, nocked + Point{14, 0})), "outline");
  draft.line(at(Path::line({-30, 0}, {30, 0})), "axis");
  const Point nock = at(nocked), high = at({cam, -half}), low = at({cam, half});
  height(draft, high, low, at({brace + 150, 0}).x, Key::bow_axle_to_axle);
  breadth(draft, at(Point{}), at({brace, 0}), at({0, 0.3 * half}).y, Key::bow_brace_height);
  height(draft, nock, at(peep), nock.x - 9, Key::tied_mark);
  height(draft, at(Point{}), nock, nock.x - 9, Key::bow_nock_above_centre);
  draft.note(at({brace, 0}), "grip pivot", "note", 4);
  draft.finish();
}

void draw_drawn(Canvas& canvas, const Box& area) {
  const view::Look& look = view::drawing_look();
  constexpr double title_mm = 5.5;
  Draft draft(canvas, look, {area.x0, area.y0 + title_mm, area.x1, area.y1});
  const Fit fit = solve_fit(usual_spec());
  const SideScene scene = side_scene(fit);
  Box window = scene.bow_box;
  take(window, {scene.head_box.x0, scene.head_box.y0});
  const Placement at(window, {area.x0 + 1, area.y0 + 8, area.x1 - 14, area.y1 - 1});
  view::panel_title(canvas, look, area, "At full draw, an arrow on the string and a safe backstop ahead", at.reduction);
  view::draw_person(draft, scene, at, view::small_lines);
  const Point nock = at(Point{}), pupil = at(scene.pupil), peep = at(scene.peep), pivot = at(scene.pivot);
  const Point upper = at(scene.upper_axle), lower = at(scene.lower_axle);
  height(draft, pupil, {pupil.x, nock.y}, at({scene.head_box.x0, 0}).x - 4, Key::face_eye_to_arrow);
  draft.dimension({peep.x, nock.y}, peep, {9, 0}, number_of(Key::tied_height_full_draw));
  draft.angle(nock, 300 / at.reduction, -scene.upper_leg_rad, scene.lower_leg_rad,
              number_of(Key::full_draw_string_angle));
  height(draft, upper, lower, area.x1 - 9, Key::full_draw_axle_to_axle);
  breadth(draft, upper, pivot, upper.y - 9, Key::full_draw_axle_set_back);
  const double below = nock.y + 24, beyond = unit::inch_mm * 1.75 / at.reduction;
  breadth(draft, nock, pivot + Point{beyond, 0}, below, Key::bow_draw_length);
  breadth(draft, pivot, at(scene.pin), nock.y - 34, Key::sight_extension);
  breadth(draft, nock, at(scene.arrow_end), below + 9, Key::arrow_length);
  draft.finish();
}

/// What a measure is, in the key's own words where these are short enough, without what the picture shows.
std::string words_of(Key key) {
  if (key == Key::bow_draw_length)
    return "nocking point to grip pivot, and 1 3/4 in more; or to the pivot (draw_length_to)";
  if (key == Key::face_eye_to_arrow) return "pupil above the arrow at full draw, settled upright with eyes closed";
  if (key == Key::arrow_length) return std::string(info_of(key).help) + "; before the bow is drawn";
  return std::string(info_of(key).help);
}

}  // namespace

const std::vector<Key>& numbered_measures() {
  using enum Key;
  static const std::vector<Key> all{face_eye_to_arrow,
                                    full_draw_string_angle,
                                    tied_mark,
                                    tied_height_full_draw,
                                    face_pupil_distance,
                                    face_nose_tip_below_eye,
                                    face_nose_tip_ahead_of_eye,
                                    face_mouth_corner_below_eye,
                                    face_mouth_width,
                                    face_hollow_below_eye,
                                    face_chin_below_eye,
                                    face_face_length,
                                    face_head_length,
                                    face_head_breadth,
                                    face_jaw_breadth,
                                    bow_axle_to_axle,
                                    bow_brace_height,
                                    bow_draw_length,
                                    full_draw_axle_to_axle,
                                    full_draw_axle_set_back,
                                    sight_extension,
                                    arrow_length,
                                    bow_nock_above_centre};
  return all;
}

Canvas measure_sheet(const MeasureSheetOptions& options) {
  const view::Look& look = view::drawing_look();
  Canvas canvas;
  const PageSize size = look.size("measure_sheet", options.paper);
  canvas.new_page(size);
  const auto box = [&](std::string_view name) { return look.box("measure_sheet", name, size); };
  canvas.text("Measuring sheet", look.style("title"), {{box("head").x0, box("head").y0}, Across::left, Down::top, 0});
  canvas.text(options.version, look.style("kicker"),
              {{box("head").x1, box("head").y0 + 1}, Across::right, Down::top, 0});

  const Figure figure;
  draw_profile(canvas, figure, box("profile"));
  draw_front(canvas, figure, box("front"));
  draw_rest(canvas, box("rest"));
  draw_drawn(canvas, box("drawn"));

  const auto& all = numbered_measures();
  const std::size_t half = (all.size() + 2) / 2;
  const auto column = [&](std::string_view name, std::size_t first, std::size_t last) {
    sheet::fill(canvas, box(name), "the list of measures", [&](sheet::Flow& flow) {
      for (std::size_t i = first; i < last; ++i)
        flow.blank_row(number_of(all[i]), words_of(all[i]), std::string(info_of(all[i]).path));
      if (last == all.size()) {
        flow.gap(1);
        for (const std::string& text : look.text("measuring")) flow.text(text, "small");
      }
    });
  };
  column("left_column", 0, half);
  column("right_column", half, all.size());
  return canvas;
}

}  // namespace peepwright
