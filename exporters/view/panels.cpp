// SPDX-License-Identifier: GPL-3.0-or-later
// The two pictures of the side view: face, string and peep enlarged, and the whole bow.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "exporters/view/picture.hpp"
#include "exporters/view/side_view.hpp"

namespace peepwright {
namespace {

using view::Draft;
using view::Placement;
using view::take;

std::string length_text(double mm, PaperUnits units) {
  return units == PaperUnits::inches ? inches_text(Length::mm(mm)) : number_text(mm, 1);
}

/// Sight lines through eye, peep and pin, each with a dash of its own; drawn on to `reach_mm` beyond the pin.
void draw_rays(Draft& draft, const SideScene& scene, const Placement& at, double beyond_mm) {
  int pen = 0;
  for (const SightRay& ray : scene.rays) {
    const Point along = (1 / std::hypot(ray.pin.x - ray.eye.x, ray.pin.y - ray.eye.y)) * (ray.pin - ray.eye);
    draft.line(at(Path::line(ray.eye, ray.pin + beyond_mm * along)), fmt::format("sight_{}", ++pen));
  }
}

std::string contact_text(const char* words, const Clearance& c) {
  return fmt::format("{}\n{}: {}{}", number_text(c.distance_mm, 1), words, text_of(c.verdict),
                     c.met ? "" : ",\nNOT as wanted");
}

}  // namespace

std::string distance_text(double distance_m, PaperUnits units) {
  const bool yards = units == PaperUnits::inches;
  std::string text = number_text(yards ? distance_m * 1000 / unit::yard_mm : distance_m, 1);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text + (yards ? " yd" : " m");
}

double draw_detail(Canvas& canvas, const Fit& fit, const SideScene& scene, const Box& area, PaperUnits units) {
  const double ahead = scene.right_handed ? 1 : -1;
  const Posture& posture = fit.core.posture;
  // Face and peep, room for dimensions ahead of the peep and for a hand's breadth of neck.
  Box window{scene.head_box.x0, scene.head_box.y0, scene.head_box.x1, std::min(scene.head_box.y1, 150.0)};
  take(window, scene.peep + Point{ahead * 62, -40});
  take(window, {ahead * 110, 70});
  const double room = 5;
  const Placement at(window, {area.x0 + 1, area.y0 + room, area.x1 - 1, area.y1 - 2});
  const double unit_mm = 1 / at.reduction;
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, scene, at, view::fine_lines);
  draw_rays(draft, scene, at, 0);

  const Point nock = at(Point{}), peep = at(scene.peep), pupil = at(scene.pupil);
  // Axis of the arrow, on behind the nock as far as the eye's dimension needs it.
  const Point behind{std::min(ahead * nock.x, ahead * pupil.x - 17) * ahead, nock.y};
  draft.line(Path::line(behind - Point{ahead * 3, 0}, at(scene.arrow_end)), "axis");
  // The head's own upright, through the ear.
  const Point middle = at(Point{(scene.head_box.x0 + scene.head_box.x1) / 2, scene.pupil.y});
  const double top = (scene.pupil.y - scene.head_box.y0) * unit_mm + 6,
               below = (scene.head_box.y1 - scene.pupil.y) * unit_mm;
  const Point upright_top = middle + top * scene.head_up;
  draft.line(Path::line(middle - below * scene.head_up, upright_top), "upright");

  draft.discourage({at(Point{scene.head_box.x0, 0}).x, at(Point{0, scene.head_box.y0}).y,
                    at(Point{scene.head_box.x1, 0}).x, nock.y});
  // The lower leg of the string stands nearly square to the upper one: oblique extension lines keep clear of it.
  constexpr double slant = 0.42;
  draft.dimension(nock, peep, 27 * Point{ahead * std::cos(slant), std::sin(slant)},
                  length_text(posture.along_string_mm, units) + "\nalong the string");
  draft.dimension({peep.x, nock.y}, peep, {ahead * 9, 0},
                  length_text(fit.core.peep_height_mm, units) + "\npeep above arrow");
  const Point to_peep = (1 / std::hypot(peep.x - pupil.x, peep.y - pupil.y)) * (peep - pupil);
  draft.dimension(pupil, peep, 24 * Point{ahead * to_peep.y, -ahead * to_peep.x},
                  length_text(fit.core.eye_to_peep_mm, units) + "\neye to peep");
  draft.dimension({pupil.x, nock.y}, pupil, {-ahead * 15, 0},
                  length_text(posture.pupil.z, units) + "\narrow below eye");

  for (const Clearance& clearance : fit.clearances) {
    if (clearance.name == "string-nose") draft.note(at(scene.nose), contact_text("string to nose", clearance));
    if (clearance.name == "string-mouth-corner")
      draft.note(at(scene.mouth_corner), contact_text("string to mouth corner", clearance));
    if (clearance.name == "arrow-chin") draft.note(at(scene.chin_on_shaft), contact_text("shaft to chin", clearance));
  }
  draft.note(upright_top - 5 * scene.head_up,
             fmt::format("head line: nod {}°, lean {}°", number_text(degrees(posture.pitch_rad), 1),
                         number_text(degrees(posture.roll_rad), 1)),
             "note", 4);
  draft.finish();
  return at.reduction;
}

double draw_whole(Canvas& canvas, const SideScene& scene, const Box& area, PaperUnits units) {
  const double ahead = scene.right_handed ? 1 : -1;
  Box window = scene.bow_box;
  take(window, {scene.head_box.x0, scene.head_box.y0});
  take(window, {scene.head_box.x1, scene.head_box.y1});
  const Placement at(window, {area.x0, area.y0 + 2, area.x1, area.y1 - 2});
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, scene, at, view::small_lines);
  draw_rays(draft, scene, at, 0);
  const double pi = std::numbers::pi;
  const double up = ahead > 0 ? -scene.upper_leg_rad : pi + scene.upper_leg_rad;
  const double down = ahead > 0 ? scene.lower_leg_rad : pi - scene.lower_leg_rad;
  draft.angle(at(Point{}), 330 / at.reduction, up, down,
              fmt::format("{}°\nstring angle", number_text(degrees(scene.upper_leg_rad + scene.lower_leg_rad), 1)));
  for (const SightRay& ray : scene.rays) draft.note(at(ray.pin), distance_text(ray.distance_m, units), "note", 4);
  draft.finish();
  return at.reduction;
}

}  // namespace peepwright
