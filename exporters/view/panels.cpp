// SPDX-License-Identifier: GPL-3.0-or-later
// The two pictures of the side view: face, string and peep enlarged, and the whole bow.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "exporters/view/picture.hpp"
#include "exporters/view/side_view.hpp"

namespace peepwright {
namespace {

using view::Draft;
using view::length_text;
using view::Placement;
using view::take;

/// Sight lines through eye, peep and pin, each with a dash of its own; drawn on to `reach_mm` beyond the pin.
void draw_rays(Draft& draft, const SideScene& scene, const Placement& at, double beyond_mm) {
  int pen = 0;
  for (const SightRay& ray : scene.rays) {
    const Point along = (1 / std::hypot(ray.pin.x - ray.eye.x, ray.pin.y - ray.eye.y)) * (ray.pin - ray.eye);
    draft.line(at(Path::line(ray.eye, ray.pin + beyond_mm * along)), fmt::format("sight_{}", ++pen));
  }
}

std::string contact_text(const char* words, const Clearance& c, PaperUnits units) {
  const std::string is = units == PaperUnits::inches ? fine_text(c.distance_mm, units) : number_text(c.distance_mm, 1);
  return fmt::format("{}\n{}: {}{}", is, words, text_of(c.verdict), c.met ? "" : ",\nNOT as wanted");
}

/// Who reads the picture at the bench ties at the number that stands by the string: that is the mark. It is less than
/// the distance that is drawn by half the nock.
std::string string_text(const CoreFit& core, PaperUnits units) {
  return fmt::format("mark {}\nabove nock, at rest;\n{} drawn, from\nnocking point", length_text(core.mark_mm, units),
                     length_text(core.posture.along_string_mm, units));
}

/// Where the height of the peep is told, and whether the text of the string's dimension shall find room under the
/// arrow.
struct Arrangement {
  double height_ahead_mm;
  bool under_arrow;
};

/// The eye's height is told so far behind the eye that the cheek before it has room for what touches the face.
constexpr double eye_line_behind_mm = 68;

struct Detail {
  double reduction, cost;
};

Detail detail_drawn(Canvas& canvas, const Fit& fit, const SideScene& scene, const Box& area, PaperUnits units,
                    const Arrangement& arrangement) {
  const double ahead = scene.right_handed ? 1 : -1;
  const Posture& posture = fit.core.posture;
  // Face and peep, room for dimensions ahead of the peep and for a hand's breadth of neck.
  Box window{scene.head_box.x0, scene.head_box.y0, scene.head_box.x1, std::min(scene.head_box.y1, 150.0)};
  take(window, scene.peep + Point{ahead * 62, -40});
  take(window, {ahead * 110, 70});
  const double room = 5;
  Placement at(window, {area.x0 + 1, area.y0 + room, area.x1 - 1, area.y1 - 2});
  // The dimensions stand ahead of the face: what room there is to spare, they get.
  at.origin.x -= ahead * (area.width() - 2 - window.width() / at.reduction) / 2;
  const double unit_mm = 1 / at.reduction;
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, scene, at, view::fine_lines);
  draw_rays(draft, scene, at, 0);

  const Point nock = at(Point{}), peep = at(scene.peep), pupil = at(scene.pupil);
  // Axis of the arrow, on behind the nock as far as the eye's dimension needs it.
  const double eye_line_mm = eye_line_behind_mm * unit_mm;
  const Point behind{std::min(ahead * nock.x, ahead * pupil.x - eye_line_mm - 2) * ahead, nock.y};
  draft.line(Path::line(behind - Point{ahead * 3, 0}, at(scene.arrow_end)), "axis");
  // The head's own upright, down to the eyes only: below, the cheek is needed for what touches the face.
  const Point middle = at(Point{(scene.head_box.x0 + scene.head_box.x1) / 2, scene.pupil.y});
  const double top = (scene.pupil.y - scene.head_box.y0) * unit_mm + 6;
  const Point upright_top = middle + top * scene.head_up;
  draft.line(Path::line(middle, upright_top), "upright");

  // On their own side of the arrow, so that no leader runs through it.
  for (const Clearance& clearance : fit.clearances) {
    if (clearance.name == "string-nose")
      draft.contact(at(scene.nose), contact_text("string to nose", clearance, units), scene.nose.y > 0);
    if (clearance.name == "string-mouth-corner")
      draft.contact(at(scene.mouth_corner), contact_text("string to mouth\ncorner", clearance, units),
                    scene.mouth_corner.y > 0);
    if (clearance.name == "arrow-chin")
      draft.contact(at(scene.chin_on_shaft), contact_text("shaft to chin", clearance, units), true);
  }
  draft.discourage({at(Point{scene.head_box.x0, 0}).x, at(Point{0, scene.head_box.y0}).y,
                    at(Point{scene.head_box.x1, 0}).x, nock.y});
  // The lower leg of the string stands nearly square to the upper one: oblique extension lines keep clear of it.
  constexpr double slant = 0.42;
  const Point aside = 27 * Point{ahead * std::cos(slant), std::sin(slant)};
  // As long as the string is from the nocking point to the peep, along the leg; past the bend the leg alone is that
  // way.
  const Point up_leg = scene.peep - scene.bend;
  const double share = fit.core.posture.along_string_mm / std::hypot(up_leg.x, up_leg.y);
  draft.dimension(at(scene.peep - share * up_leg), peep, aside, string_text(fit.core, units), "panel");
  constexpr double side_mm = 2.5;
  const double room_ahead = (ahead > 0 ? area.x1 - peep.x : peep.x - area.x0) - side_mm;
  draft.dimension({peep.x, nock.y}, peep, {ahead * std::min(arrangement.height_ahead_mm, room_ahead), 0},
                  length_text(fit.core.peep_height_mm, units) + "\npeep above arrow");
  const Point to_peep = (1 / std::hypot(peep.x - pupil.x, peep.y - pupil.y)) * (peep - pupil);
  draft.dimension(pupil, peep, 24 * Point{ahead * to_peep.y, -ahead * to_peep.x},
                  length_text(fit.core.eye_to_peep_mm, units) + "\neye to peep");
  draft.dimension({pupil.x, nock.y}, pupil, {-ahead * eye_line_mm, 0},
                  length_text(posture.pupil.z, units) + "\narrow below eye");

  if (arrangement.under_arrow) {
    constexpr double wide_mm = 34, high_mm = 15, dear_mm = 40;
    const double start = (nock + aside).x, end = start + ahead * wide_mm;
    draft.discourage({std::min(start, end), nock.y, std::max(start, end), nock.y + high_mm}, dear_mm);
  }
  draft.note(upright_top - 5 * scene.head_up,
             fmt::format("head line: nod {}°, lean {}°", number_text(degrees(posture.pitch_rad), 1),
                         number_text(degrees(posture.roll_rad), 1)),
             "note", 4);
  return {at.reduction, draft.finish()};
}

}  // namespace

double draw_detail(Canvas& canvas, const Fit& fit, const SideScene& scene, const Box& area, PaperUnits units) {
  // Beside the peep its height crosses the string's dimension; along a steep string, or a short stretch of it, there is
  // no room for both texts then. What suits is found by trying.
  constexpr std::array arrangements{Arrangement{9, false}, Arrangement{9, true}, Arrangement{26, true},
                                    Arrangement{33, true}};
  const Arrangement* best = &arrangements.front();
  double least = std::numeric_limits<double>::infinity();
  for (const Arrangement& arrangement : arrangements) {
    Canvas trial;
    trial.new_page({area.x1, area.y1});
    const double cost = detail_drawn(trial, fit, scene, area, units, arrangement).cost;
    if (cost < least) best = &arrangement, least = cost;
  }
  return detail_drawn(canvas, fit, scene, area, units, *best).reduction;
}

double draw_whole(Canvas& canvas, const SideScene& scene, const Box& area, PaperUnits units) {
  const double ahead = scene.right_handed ? 1 : -1;
  Box window = scene.bow_box;
  take(window, {scene.head_box.x0, scene.head_box.y0});
  take(window, {scene.head_box.x1, scene.head_box.y1});
  // The distances stand in a column ahead of the sight, where no line of sight crosses their leaders.
  constexpr double nearest_mm = 2.5, beside_mm = 1.4;
  double column_mm = 0;
  for (const SightRay& ray : scene.rays)
    column_mm = std::max(
        column_mm, nearest_mm + beside_mm +
                       canvas.measure(distance_text(ray.distance_m, units), view::drawing_look().style("note")).width);
  const double beyond_pin = ahead > 0 ? window.x1 - scene.pin.x : scene.pin.x - window.x0;
  const Box inner{area.x0, area.y0 + 2, area.x1, area.y1 - 2};
  column_mm = std::max(column_mm - beyond_pin / Placement(window, inner).reduction, 0.0);
  const Placement at(
      window, {inner.x0 + (ahead > 0 ? 0 : column_mm), inner.y0, inner.x1 - (ahead > 0 ? column_mm : 0), inner.y1});
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, scene, at, view::small_lines);
  draw_rays(draft, scene, at, 0);
  const double pi = std::numbers::pi;
  const double up = ahead > 0 ? -scene.upper_leg_rad : pi + scene.upper_leg_rad;
  const double down = ahead > 0 ? scene.lower_leg_rad : pi - scene.lower_leg_rad;
  draft.angle(at(Point{}), 330 / at.reduction, up, down,
              fmt::format("{}°\nstring angle", number_text(degrees(scene.upper_leg_rad + scene.lower_leg_rad), 1)));
  std::vector<std::pair<Point, std::string>> pins;
  for (const SightRay& ray : scene.rays) pins.emplace_back(at(ray.pin), distance_text(ray.distance_m, units));
  draft.column(std::move(pins), "note", nearest_mm);
  draft.finish();
  return at.reduction;
}

}  // namespace peepwright
