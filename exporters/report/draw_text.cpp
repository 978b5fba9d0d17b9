// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>

#include "engine/bow/arrow_speed.hpp"
#include "engine/quantity/paper_text.hpp"
#include "exporters/report/draw_report.hpp"
#include "exporters/report/report.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

void write_force(Text& text, const DrawReport& report, PaperUnits units) {
  const FullDraw& bow = report.bow;
  const double peak_at = report.spec.from_pivot(Length::mm(bow.peak.draw_mm)).mm();
  if (report.read)
    text.line("  peak, read      {}, at a draw of {}", force_text(report.read->peak.force.n(), units),
              length_text(report.read->peak.draw.mm(), units));
  if (report.read && report.read->holding_n)
    text.line("  holding, read   {}, let-off {:.1f} %", force_text(*report.read->holding_n, units),
              100 * (1 - *report.read->holding_n / report.read->peak.force.n()));
  const std::string_view by = report.read ? ", fitted" : "        ";
  text.line("  peak{}    {}, at a draw of {}", by, force_text(bow.peak.force_n, units), length_text(peak_at, units));
  text.line("  holding{} {}, let-off {:.1f} %", by, force_text(bow.holding_n(), units), 100 * bow.let_off());
  text.line("  stored energy   {}", energy_text(bow.full_draw.stored_j, units));
  if (report.table_deviation_n)
    text.line("  limbs and cams fitted to bow.force_draw, which they meet within {} (root mean square)",
              force_text(*report.table_deviation_n, units));
  else if (report.spec.given(Key::cam_string_radius))
    text.line("  cams as given under bow.cam, limbs as stiff as the peak weight asks");
  else text.line("  limbs and cams sized to the catalogue's numbers");
}

void write_geometry(Text& text, const DrawReport& report, PaperUnits units) {
  const FullDraw& bow = report.bow;
  const HalfState &rest = bow.rest().upper, &full = bow.full_draw.upper;
  text.line("  string legs     upper {:.1f}, lower {:.1f} deg to the arrow; included {:.1f} deg",
            degrees(full.leg_angle_rad), degrees(bow.full_draw.lower.leg_angle_rad), degrees(bow.included_angle_rad()));
  text.line("                  each give or take {:.1f} deg (k = 2)", degrees(2 * report.leg_deviation_rad));
  text.line("  closing         the axles come {} nearer together", length_text(bow.closing_mm(), units));
  text.line("  axle set-back   {} behind the pivot, {} at rest", length_text(full.axle_behind_pivot_mm, units),
            length_text(rest.axle_behind_pivot_mm, units));
  text.line("  take-off radius {}, {} at rest", length_text(full.take_off_radius_mm, units),
            length_text(rest.take_off_radius_mm, units));
  text.line("  cam turn        {:.0f} deg since rest", degrees(full.turn_rad));
}

void write_tensions(Text& text, const DrawReport& report, PaperUnits units) {
  const HalfState &rest = report.bow.rest().upper, &full = report.bow.full_draw.upper;
  text.line("  string          {} at rest, {} at full draw", force_text(rest.string_n, units),
            force_text(full.string_n, units));
  text.line("  cable           {} at rest, {} at full draw", force_text(rest.cable_n, units),
            force_text(full.cable_n, units));
  text.line("  stretch         the peep comes {} {} the nock by full draw",
            fine_text(std::abs(report.peep_nearer_mm), units, 2),
            report.peep_nearer_mm >= 0 ? "nearer to" : "away from");
  text.line("                  (it is {} up the string)", length_text(report.peep_along_mm, units));
}

void write_speed(Text& text, const DrawReport& report, PaperUnits units) {
  const SpeedEstimate& speed = report.speed;
  const auto shown = [&](double value, std::string_view unit, int digits) {
    const ShownQuantity q = shown_in(value, unit, units);
    return number_text(q.value, q.unit == "gr" || q.unit == "ft/s" ? 0 : digits) + " " + q.unit;
  };
  text.line("  from stored energy, arrow of {}: {}, give or take {} (k = 2)",
            shown(1000 * report.spec.value(Key::arrow_mass), "g", 1), speed_text(speed.m_s, units),
            shown(2 * speed.deviation_m_s, "m/s", 1));
  if (const double more = speed.energy_j / report.bow.full_draw.stored_j; more > 1.001)
    text.line("                  of {}: usual cams store {:g} times as much as round ones",
              energy_text(speed.energy_j, units), std::round(100 * more) / 100);
  if (!speed.given_m_s) return;
  text.line("  given           {}, {:.1f} % {} than that", speed_text(*speed.given_m_s, units),
            100 * std::abs(*speed.given_m_s / speed.m_s - 1), *speed.given_m_s >= speed.m_s ? "faster" : "slower");
  if (speed.virtual_mass_kg)
    text.line("                  it makes the bow's virtual mass {}; {} ± {} is usual",
              shown(1000 * *speed.virtual_mass_kg, "g", 1), shown(1000 * virtual_mass_kg, "g", 1),
              shown(1000 * virtual_mass_uncertainty_kg, "g", 1));
}

void write_sideways(Text& text, const DrawReport& report, PaperUnits units) {
  const bool inches = units == PaperUnits::inches;
  text.line("  {:<62} {:>12} {:>12}",
            fmt::format("{} of the face against the string", inches ? "0.22 lbf (one newton)" : "one newton"),
            "hand follows", "hand stays");
  const auto cell = [&](double mm, int digits) {
    return inches ? number_text(Length::mm(mm).in(), digits + 1) + " in" : number_text(mm, digits) + " mm";
  };
  const auto row = [&](const std::string& words, double follows, double stays, int digits) {
    text.line("  {:<62} {:>12} {:>12}", words, cell(follows, digits), cell(stays, digits));
  };
  const std::string far = "at " + distance_text(report.spec.value(Key::distances_far) / 1000, units) + " ";
  const auto block = [&](std::string_view where, FacePress FacePresses::*press) {
    const FacePress &f = report.hand_follows.*press, &s = report.hand_stays.*press;
    row(fmt::format("at the {}: the arrow's tail moves", where), f.tail_mm, s.tail_mm, 2);
    row("  the peep moves", f.peep_mm, s.peep_mm, 2);
    row("  " + far + "the arrow points off by", f.arrow_on_target_mm, s.arrow_on_target_mm, 0);
    row("  " + far + "the line of sight is off by", f.sight_on_target_mm, s.sight_on_target_mm, 0);
    row("  " + far + "the shot is off the aim by, at most", std::abs(f.shot_off_mm()), std::abs(s.shot_off_mm()), 0);
  };
  block("nocking point", &FacePresses::at_nock);
  block("peep", &FacePresses::at_peep);
  text.item(
      " ",
      "A hand that gives way with the string follows; one that holds its place lets the loop hold the string too. "
      "A real hand is between them. Limbs and cams that twist would add to it.");
}

void write_table(Text& text, const DrawReport& report, PaperUnits units) {
  const bool inches = units == PaperUnits::inches;
  text.line("  {:>8} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8}", "draw", "force", "leg", "closing", "cam turn",
            "string", "cable", "stored");
  const std::string_view length = inches ? "in" : "mm", force = inches ? "lbf" : "N", energy = inches ? "ft lbf" : "J";
  text.line("  {:>8} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8}", length, force, "deg", length, "deg", force, force,
            energy);
  const double rest_apart = report.bow.rest().upper.axle_from_centre_mm + report.bow.rest().lower.axle_from_centre_mm;
  for (const ElasticState& s : report.short_table) {
    const auto in_length = [&](double mm) { return inches ? number_text(Length::mm(mm).in(), 2) : number_text(mm, 1); };
    const auto in_force = [&](double n) { return number_text(inches ? Force::n(n).lbf() : n, 1); };
    const double stored = inches ? s.stored_j * 1000 / (unit::pound_force_n * unit::foot_mm) : s.stored_j;
    text.line("  {:>8} {:>8} {:>8.1f} {:>8} {:>8} {:>8} {:>8} {:>8}",
              in_length(report.spec.from_pivot(Length::mm(s.draw_mm)).mm()), in_force(s.force_n),
              degrees(s.upper.leg_angle_rad),
              in_length(rest_apart - s.upper.axle_from_centre_mm - s.lower.axle_from_centre_mm),
              number_text(degrees(s.upper.turn_rad), 1), in_force(s.upper.string_n), in_force(s.upper.cable_n),
              number_text(stored, 1));
  }
}

}  // namespace

std::string draw_text(const DrawReport& report, PaperUnits units) {
  Text text;
  text.line("peepwright {} - the draw of {}", version(), title_of(report.spec));
  text.heading("Draw force");
  write_force(text, report, units);
  text.heading("At full draw");
  write_geometry(text, report, units);
  text.heading("Tensions");
  write_tensions(text, report, units);
  text.heading("Arrow speed");
  write_speed(text, report, units);
  text.heading("Sideways give at full draw");
  write_sideways(text, report, units);
  text.heading(report.spec.draw_length_includes_offset ? "The curve (draw to the pivot plus 1 3/4 in)"
                                                       : "The curve (draw to the pivot)");
  write_table(text, report, units);
  if (!report.notes.empty()) {
    text.heading("Mind");
    for (const std::string& note : report.notes) text.item("!", note + ".");
  }
  write_cautions(text);
  return text.take();
}

}  // namespace peepwright
