// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/compare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "exporters/view/picture.hpp"
#include "exporters/view/title_block.hpp"

namespace peepwright {
namespace {

using view::Draft;
using view::Look;
using view::Placement;

std::string reach_text(const Reach& reach) {
  return reach.longest_m == 0 ? "none" : (reach.beyond_limit ? "over " : "") + number_text(reach.longest_m, 1);
}

double clearance_mm(const Fit& fit, std::string_view name) {
  for (const Clearance& c : fit.clearances)
    if (c.name == name) return c.distance_mm;
  return 0;
}

std::string signed_text(double value) {
  return (number_text(value, 1).starts_with('-') || number_text(value, 1) == "0.0" ? "" : "+") + number_text(value, 1);
}

/// What tells the two apart stands first: a long name is cut off at its end.
std::string name_of(const Fit& fit, const Fit& other) {
  std::string out;
  if (fit.peep == Peep::tied) out = "peep as tied: ";
  else if (other.peep == Peep::tied) out = "peep as it should be: ";
  if (!fit.spec.archer_label.empty()) out += fit.spec.archer_label + ", ";
  return out + (fit.spec.bow_label.empty() ? std::string("bow") : fit.spec.bow_label);
}

/// Cells of one row: name, A, B, difference.
std::vector<std::string> cells_of(const ComparedRow& row) {
  const std::string name = row.name + (row.unit.empty() ? "" : ", " + row.unit);
  if (!row.words_a.empty()) return {name, row.words_a, row.words_b, ""};
  return {name, number_text(row.a, 1), number_text(row.b, 1), signed_text(row.b - row.a)};
}

/// Faces and peeps of both, B over A, at the same nocking point.
double draw_faces(Canvas& canvas, const Fit& fit_a, const SideScene& a, const Fit& fit_b, const SideScene& b,
                  const Box& area) {
  const double ahead = a.right_handed ? 1 : -1;
  Box window{std::min(a.head_box.x0, b.head_box.x0), std::min(a.head_box.y0, b.head_box.y0),
             std::max(a.head_box.x1, b.head_box.x1), std::min(std::max(a.head_box.y1, b.head_box.y1), 150.0)};
  for (const Point p : {a.peep, b.peep}) view::take(window, p + Point{ahead * 62, -40});
  const Placement at(window, {area.x0 + 1, area.y0 + 2, area.x1 - 1, area.y1 - 2});
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, a, at, view::fine_lines);
  view::draw_person(draft, b, at, view::other_lines);
  draft.discourage(
      {at(Point{a.head_box.x0, 0}).x, at(Point{0, a.head_box.y0}).y, at(Point{a.head_box.x1, 0}).x, at(Point{0, 0}).y});
  draft.note(at(a.peep), "A\npeep " + number_text(fit_a.core.posture.along_string_mm, 1) + " along the string", "panel",
             12);
  draft.note(at(b.peep), "B\npeep " + number_text(fit_b.core.posture.along_string_mm, 1) + " along the string", "panel",
             12);
  draft.note(at(a.pupil), "A\neye " + number_text(fit_a.core.posture.pupil.z, 1) + " above the arrow", "panel", 12);
  draft.note(at(b.pupil), "B\neye " + number_text(fit_b.core.posture.pupil.z, 1) + " above the arrow", "panel", 12);
  draft.finish();
  return at.reduction;
}

double draw_bows(Canvas& canvas, const SideScene& a, const SideScene& b, const Box& area) {
  Box window = a.bow_box;
  for (const Box& box : {b.bow_box, a.head_box, b.head_box}) {
    view::take(window, {box.x0, box.y0});
    view::take(window, {box.x1, box.y1});
  }
  const Placement at(window, area);
  Draft draft(canvas, view::drawing_look(), area);
  view::draw_person(draft, a, at, view::small_lines);
  view::draw_person(draft, b, at, view::other_lines);
  draft.note(at(a.upper_axle), "A", "panel", 8);
  draft.note(at(b.upper_axle), "B", "panel", 8);
  draft.finish();
  return at.reduction;
}

}  // namespace

std::vector<ComparedRow> compared(const Fit& a, const Fit& b) {
  std::vector<ComparedRow> rows;
  const auto add = [&](const char* name, const char* unit, auto of) {
    rows.push_back({name, unit, of(a), of(b), "", ""});
  };
  add("mark, string at rest", "mm", [](const Fit& f) { return f.core.mark_mm; });
  add("peep along the string", "mm", [](const Fit& f) { return f.core.posture.along_string_mm; });
  add("peep above the arrow", "mm", [](const Fit& f) { return f.core.peep_height_mm; });
  add("eye to peep", "mm", [](const Fit& f) { return f.core.eye_to_peep_mm; });
  add("string angle", "deg", [](const Fit& f) { return degrees(f.core.legs.upper_rad + f.core.legs.lower_rad); });
  const HeadShift shift = head_shift(b.core, a.core);
  rows.push_back({"head forward", "mm", 0, shift.forward_mm, "", ""});
  rows.push_back({"head up", "mm", 0, shift.up_mm, "", ""});
  add("arrow below the eye", "mm", [](const Fit& f) { return f.core.posture.pupil.z; });
  add("head turned", "deg", [](const Fit& f) { return degrees(f.core.posture.yaw_rad); });
  add("nod", "deg", [](const Fit& f) { return degrees(f.core.posture.pitch_rad); });
  add("shaft to chin", "mm", [](const Fit& f) { return clearance_mm(f, "arrow-chin"); });
  add("string to nose", "mm", [](const Fit& f) { return clearance_mm(f, "string-nose"); });
  add("string to mouth corner", "mm", [](const Fit& f) { return clearance_mm(f, "string-mouth-corner"); });
  add("eye travel, near to far", "mm", [](const Fit& f) { return f.eye_travel_mm; });
  if (a.reach.longest_m > 0 && b.reach.longest_m > 0 && !a.reach.beyond_limit && !b.reach.beyond_limit)
    add("longest distance", "m", [](const Fit& f) { return f.reach.longest_m; });
  else rows.push_back({"longest distance", "m", 0, 0, reach_text(a.reach), reach_text(b.reach)});
  return rows;
}

namespace {

void require_same_hand(Hand a, Hand b) {
  if (a != b)
    throw Error(ErrorCode::input,
                "A draws with one hand and B with the other; two fits can be laid over one another only for the same "
                "hand. Give both the same archer.hand.");
}

}  // namespace

std::string comparison_text(const Fit& a, const Fit& b) {
  require_same_hand(a.spec.hand, b.spec.hand);
  std::string out = fmt::format("A  {}\nB  {}\n\n  {:<30} {:>10} {:>10} {:>10}\n", name_of(a, b), name_of(b, a), "",
                                "A", "B", "B - A");
  for (const ComparedRow& row : compared(a, b)) {
    const auto cells = cells_of(row);
    out += fmt::format("  {:<30} {:>10} {:>10} {:>10}", cells[0], cells[1], cells[2], cells[3]);
    out.erase(out.find_last_not_of(' ') + 1);
    out += '\n';
  }
  return out;
}

Canvas comparison_sheet(const Fit& fit_a, const SideScene& a, const Fit& fit_b, const SideScene& b,
                        const SideViewOptions& options) {
  require_same_hand(fit_a.spec.hand, fit_b.spec.hand);
  const Look& look = view::drawing_look();
  Canvas canvas;
  const PageSize size = look.size("compare", options.paper);
  canvas.new_page(size);
  const Box detail = look.box("compare", "detail", size), whole = look.box("compare", "whole", size),
            block = look.box("compare", "block", size);
  constexpr double head = 6, foot = 5;
  const double near =
      draw_faces(canvas, fit_a, a, fit_b, b, {detail.x0, detail.y0 + head, detail.x1, detail.y1 - foot});
  view::panel_title(canvas, look, detail, "Face, string and peep", near);
  view::draw_scale_bar(canvas, look, {detail.x0, detail.y1 - 2}, 100, near);
  const double far = draw_bows(canvas, a, b, {whole.x0, whole.y0 + head, whole.x1, whole.y1 - foot});
  view::panel_title(canvas, look, whole, "At full draw", far);
  view::draw_scale_bar(canvas, look, {whole.x0, whole.y1 - 2}, 200, far);

  view::TitleBlock title(canvas, look, block);
  title.key("outline", "A  " + name_of(fit_a, fit_b));
  title.key("other", "B  " + name_of(fit_b, fit_a));
  title.rule();
  const std::vector<double> starts{0, -0.66, -0.83, -1.0};
  title.line({"", "A", "B", "B − A"}, starts, true);
  title.rule();
  for (const ComparedRow& row : compared(fit_a, fit_b)) title.line(cells_of(row), starts);
  title.rule();
  title.row({{"date", options.date}, {"made with", options.version}});
  title.close();
  return canvas;
}

}  // namespace peepwright
