// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/compare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/paper_text.hpp"
#include "exporters/view/picture.hpp"
#include "exporters/view/title_block.hpp"

namespace peepwright {
namespace {

using view::Draft;
using view::length_text;
using view::Look;
using view::Placement;

std::string reach_text(const Reach& reach, PaperUnits units) {
  if (reach.longest_m == 0) return "none";
  return (reach.beyond_limit ? "over " : "") + number_text(shown_in(reach.longest_m, "m", units).value, 1);
}

double clearance_mm(const Fit& fit, std::string_view name) {
  for (const Clearance& c : fit.clearances)
    if (c.name == name) return c.distance_mm;
  return 0;
}

/// "+1.2"; nothing before what is written as zero.
std::string signed_text(double value, int digits) {
  const std::string number = number_text(value, digits);
  return (number.find_first_of("123456789") == std::string::npos || number.starts_with('-') ? "" : "+") + number;
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
  const int digits = row.unit == "in" ? 2 : 1;
  return {name, number_text(row.a, digits), number_text(row.b, digits), signed_text(row.b - row.a, digits)};
}

/// The same as text, where inches are fractions, as a ruler and the drawing have them, with millimetres beside them;
/// what is shorter than an inch is finer than fractions.
std::vector<std::string> words_of(const ComparedRow& row) {
  if (row.unit != "in" || !row.words_a.empty()) return cells_of(row);
  const auto in_mm = [](double inches) { return Length::in(inches).mm(); };
  const auto length = [&](double inches) {
    constexpr double least_in = 1;
    return std::abs(inches) < least_in ? fine_text(in_mm(inches), PaperUnits::inches)
                                       : both_text(Length::in(inches), PaperUnits::inches);
  };
  return {row.name, length(row.a), length(row.b), fine_text(in_mm(row.b - row.a), PaperUnits::inches, 1, true)};
}

/// At peep and eye of the picture. Who reads it at the bench ties at the number beside the peep: it is the mark.
std::string peep_words(const char* which, const Fit& fit, PaperUnits units) {
  return fmt::format("{}\nmark {}\nabove nock, at rest", which, length_text(fit.core.mark_mm, units));
}
std::string eye_words(const char* which, const Fit& fit, PaperUnits units) {
  return fmt::format("{}\neye {} above the arrow", which, length_text(fit.core.posture.pupil.z, units));
}

/// Faces and peeps of both, B over A, at the same nocking point.
double draw_faces(Canvas& canvas, const Fit& fit_a, const SideScene& a, const Fit& fit_b, const SideScene& b,
                  const Box& area, PaperUnits units) {
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
  draft.note(at(a.peep), peep_words("A", fit_a, units), "panel", 12);
  draft.note(at(b.peep), peep_words("B", fit_b, units), "panel", 12);
  draft.note(at(a.pupil), eye_words("A", fit_a, units), "panel", 12);
  draft.note(at(b.pupil), eye_words("B", fit_b, units), "panel", 12);
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

std::vector<ComparedRow> compared(const Fit& a, const Fit& b, PaperUnits units) {
  std::vector<ComparedRow> rows;
  const auto put = [&](const char* name, std::string_view unit, double of_a, double of_b) {
    const ShownQuantity shown_a = shown_in(of_a, unit, units), shown_b = shown_in(of_b, unit, units);
    rows.push_back({name, shown_a.unit, shown_a.value, shown_b.value, "", ""});
  };
  const auto add = [&](const char* name, std::string_view unit, auto of) { put(name, unit, of(a), of(b)); };
  add("mark, string at rest", "mm", [](const Fit& f) { return f.core.mark_mm; });
  add("peep along the string", "mm", [](const Fit& f) { return f.core.posture.along_string_mm; });
  add("peep above the arrow", "mm", [](const Fit& f) { return f.core.peep_height_mm; });
  add("eye to peep", "mm", [](const Fit& f) { return f.core.eye_to_peep_mm; });
  add("string angle", "deg", [](const Fit& f) { return degrees(f.core.legs.upper_rad + f.core.legs.lower_rad); });
  const HeadShift shift = head_shift(b.core, a.core);
  put("head forward", "mm", 0, shift.forward_mm);
  put("head up", "mm", 0, shift.up_mm);
  add("arrow below the eye", "mm", [](const Fit& f) { return f.core.posture.pupil.z; });
  add("head turned", "deg", [](const Fit& f) { return degrees(f.core.posture.yaw_rad); });
  add("nod", "deg", [](const Fit& f) { return degrees(f.core.posture.pitch_rad); });
  add("shaft to chin", "mm", [](const Fit& f) { return clearance_mm(f, "arrow-chin"); });
  add("string to nose", "mm", [](const Fit& f) { return clearance_mm(f, "string-nose"); });
  add("string to mouth corner", "mm", [](const Fit& f) { return clearance_mm(f, "string-mouth-corner"); });
  add("eye travel, first to last mark", "mm", [](const Fit& f) { return f.eye_travel_mm; });
  if (a.reach.longest_m > 0 && b.reach.longest_m > 0 && !a.reach.beyond_limit && !b.reach.beyond_limit)
    add("longest distance", "m", [](const Fit& f) { return f.reach.longest_m; });
  else
    rows.push_back({"longest distance", shown_in(0, "m", units).unit, 0, 0, reach_text(a.reach, units),
                    reach_text(b.reach, units)});
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

std::string comparison_text(const Fit& a, const Fit& b, PaperUnits units) {
  require_same_hand(a.spec.hand, b.spec.hand);
  const int wide = units == PaperUnits::inches ? 22 : 10;
  std::string out = fmt::format("A  {}\nB  {}\n\n  {:<30} {:>{w}} {:>{w}} {:>{w}}\n", name_of(a, b), name_of(b, a), "",
                                "A", "B", "B - A", fmt::arg("w", wide));
  for (const ComparedRow& row : compared(a, b, units)) {
    const auto cells = words_of(row);
    out += fmt::format("  {:<30} {:>{w}} {:>{w}} {:>{w}}", cells[0], cells[1], cells[2], cells[3], fmt::arg("w", wide));
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
  Box detail = look.box("compare", "detail", size), whole = look.box("compare", "whole", size);
  const Box block = look.box("compare", "block", size);
  if (!options.warnings.empty()) {
    const Box head_of_page{detail.x0, detail.y0, block.x1, whole.y1};
    detail.y0 = whole.y0 = view::draw_warnings(canvas, options.warnings, head_of_page);
  }
  constexpr double head = 6, foot = 5;
  const double near =
      draw_faces(canvas, fit_a, a, fit_b, b, {detail.x0, detail.y0 + head, detail.x1, detail.y1 - foot}, options.units);
  view::panel_title(canvas, look, detail, "Face, string and peep", near);
  view::draw_scale_bar(canvas, look, {detail.x0, detail.y1 - 2}, 10, near, options.units);
  const double far = draw_bows(canvas, a, b, {whole.x0, whole.y0 + head, whole.x1, whole.y1 - foot});
  view::panel_title(canvas, look, whole, "At full draw", far);
  view::draw_scale_bar(canvas, look, {whole.x0, whole.y1 - 2}, 20, far, options.units);

  view::TitleBlock title(canvas, look, block);
  title.key("outline", "A  " + name_of(fit_a, fit_b));
  title.key("other", "B  " + name_of(fit_b, fit_a));
  title.rule();
  const std::vector<double> starts{0, -0.66, -0.83, -1.0};
  title.line({"", "A", "B", "B − A"}, starts, true);
  title.rule();
  for (const ComparedRow& row : compared(fit_a, fit_b, options.units)) title.line(cells_of(row), starts);
  title.rule();
  title.row({{"date", options.date}, {"made with", options.version}});
  title.close();
  return canvas;
}

}  // namespace peepwright
