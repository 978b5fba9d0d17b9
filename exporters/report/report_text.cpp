// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <cmath>

#include "engine/bow/lateral_stiffness.hpp"
#include "exporters/report/report.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

void write_clearances(Text& text, const Fit& fit) {
  for (const Clearance& c : fit.clearances) {
    const std::string wanted = c.wanted_most_mm ? fmt::format("{:g} to {:g} mm", c.wanted_least_mm, *c.wanted_most_mm)
                                                : fmt::format("at least {:g} mm", c.wanted_least_mm);
    text.line("  {:<20} {:>8} mm   wanted {:<18} {:<9} {:<9} {}", c.name, number_text(c.distance_mm, 1), wanted,
              text_of(c.verdict), c.met ? "as wanted" : "NOT MET", c.note.empty() ? c.nearest : c.note);
  }
}

/// Distances in metres or yards, heights in mm or decimal inches: a sight's own scale has no fractions.
void write_marks(Text& text, const FitReport& report, PaperUnits units) {
  const Fit& fit = report.fit;
  const bool inches = units == PaperUnits::inches;
  const auto distance = [&](double m) { return inches ? m * 1000 / unit::yard_mm : m; };
  const auto height = [&](double mm) { return inches ? number_text(Length::mm(mm).in(), 2) : number_text(mm, 1); };
  const char *far_unit = inches ? "yd" : "m", *near_unit = inches ? "in" : "mm";
  const std::string above_arrow = fmt::format("arrow, {}", near_unit);
  text.line("  {:>9} {:>9} {:>12} {:>7} {:>11} {:>14} {:>12}", "distance", "launch", "pin above", "give or", "from the",
            "sight clears", "eye above");
  text.line("  {:>9} {:>9} {:>12} {:>7} {:>11} {:>14} {:>12}", far_unit, "deg", above_arrow, "take", "first, ±",
            fmt::format("vanes by, {}", near_unit), above_arrow);
  for (std::size_t i = 0; i < fit.marks.size(); ++i) {
    const MarkRow& row = fit.marks[i];
    text.line("  {:>9.4g} {:>9.3f} {:>12} {:>7} {:>11} {:>14} {:>12}", distance(row.mark.distance_m),
              degrees(row.mark.launch_rad), height(row.mark.pin_height_mm), height(report.pins[i].pin_mm),
              height(report.pins[i].from_first_mm), height(row.mark.clearance_mm), height(row.eye_height_mm));
  }
  text.item(" ", marks_advice(report));
  const Reach& reach = fit.reach;
  if (reach.longest_m == 0) text.line("  The sight never clears the passing vanes by what is wanted.");
  else if (reach.beyond_limit)
    text.line("  The sight clears the vanes at every distance up to {:.0f} {}.", distance(reach.longest_m), far_unit);
  else
    text.line("  Longest distance before the sight comes within {:g} mm of the vanes: {:.1f} {}.",
              fit.spec.value(Key::wanted_sight_arrow), distance(reach.longest_m), far_unit);
  text.line(
      "  From the near to the far mark the eye, and so the anchor, moves {} {} {} on the face.",
      height(std::abs(fit.eye_travel_mm)), near_unit,
      fit.eye_travel_mm >= 0 ? "up from the arrow: the hand goes lower" : "toward the arrow: the hand goes higher");
}

void write_posture(Text& text, const Fit& fit) {
  const Posture& p = fit.core.posture;
  text.line(
      "  head turned {:.1f} deg off the target line, chin {} {} deg, leaning {} deg {} the string; eye {:.1f} mm above "
      "the arrow",
      degrees(p.yaw_rad), p.pitch_rad >= 0 ? "up" : "down", number_text(std::abs(degrees(p.pitch_rad)), 1),
      number_text(std::abs(degrees(p.roll_rad)), 1), p.roll_rad >= 0 ? "toward" : "away from", p.pupil.z);
  for (std::size_t i = 0; i < residual_count; ++i) {
    const auto residual = static_cast<Residual>(i);
    if (residual == Residual::peep_tied && fit.peep != Peep::tied) continue;
    const ResidualInfo& info = info_of(residual);
    text.line("  {:<34} {:>6} {:<3}  (may be off by {:g})  {}", info.name, number_text(p.off[i], 1), info.unit,
              p.tolerance[i], verdict_of(p, residual));
  }
}

void write_tied(Text& text, const FitReport& report, PaperUnits units) {
  const Fit& tied = *report.tied;
  const HeadShift shift = head_shift(tied.core, report.fit.core);
  text.heading("The peep as it is tied now");
  text.item(" ", tied_advice(report, units));
  text.line("  it makes the head go {} mm {} and {} mm {}", number_text(std::abs(shift.forward_mm), 1),
            shift.forward_mm >= 0 ? "forward" : "back", number_text(std::abs(shift.up_mm), 1),
            shift.up_mm >= 0 ? "up" : "down");
  const double arrow_up = report.fit.core.posture.pupil.z - tied.core.posture.pupil.z;
  text.line("  the arrow lies {} mm {} on the face than fitted: the hand is forced {}",
            number_text(std::abs(arrow_up), 1), arrow_up >= 0 ? "higher" : "lower", arrow_up >= 0 ? "up" : "down");
  const auto reach_text = [](const Reach& reach) {
    return reach.longest_m == 0 ? std::string("none")
                                : fmt::format("{}{:.1f} m", reach.beyond_limit ? "over " : "", reach.longest_m);
  };
  text.line("  longest distance {} as tied, {} as fitted", reach_text(tied.reach), reach_text(report.fit.reach));
  write_posture(text, tied);
}

void write_bow(Text& text, const FitReport& report, PaperUnits units) {
  const FullDraw& bow = *report.draw.bow;
  text.line("  peak {}, holding {}, stored {}", force_text(bow.peak.force_n, units), force_text(bow.holding_n(), units),
            energy_text(bow.full_draw.stored_j, units));
  text.line("  included string angle by the draw cycle {:.1f} deg, each leg give or take {:.1f} deg (k = 2)",
            degrees(bow.included_angle_rad()), degrees(2 * report.draw.leg_deviation_rad));
  const double loop = report.fit.spec.value(Key::string_loop_length);
  // At the nocking point: where the peep is does not matter there.
  text.line("  1 N of face pressure moves the arrow's tail {:.2f} mm if the hand stays, {:.1f} mm if it follows",
            sideways_give(bow, 0, ReleaseHand::stays, loop).tail_by_nock_mm_n, sideways_give(bow, 0).tail_by_nock_mm_n);
}

/// "bow.assumed.axle_closing 62 mm, …"
std::string with_values(const Spec& spec, const std::vector<Key>& keys) {
  std::string out;
  for (const Key key : keys) {
    const KeyInfo& row = info_of(key);
    out += fmt::format("{}{} {:.3g} {}", out.empty() ? "" : ", ", row.path, shown_value(spec.value(key), row.dimension),
                       shown_unit(row.dimension));
  }
  return out;
}

std::string measured_on(const Fit& fit) {
  const Face& face = fit.core.face;
  std::string out;
  for (std::size_t i = 0; i < landmark_count; ++i)
    if (face.origins[i] == LandmarkOrigin::measured)
      out += (out.empty() ? "" : ", ") + std::string(plain_name_of(static_cast<Landmark>(i)));
  if (fit.spec.given(Key::face_eye_to_arrow)) out += out.empty() ? "eye to arrow" : ", eye to arrow";
  return out.empty() ? "nothing" : out;
}

void write_sources(Text& text, const Fit& fit, PaperUnits units) {
  const CoreFit& core = fit.core;
  text.line("  string angle: {}", text_of(core.legs.source));
  if (!core.legs.assumptions.empty()) text.item(" ", "resting on: " + with_values(fit.spec, core.legs.assumptions));
  text.line("  upper leg {:.1f} deg to the arrow, included angle {:.1f} deg", degrees(core.legs.upper_rad),
            degrees(core.legs.upper_rad + core.legs.lower_rad));
  text.line("  peep at full draw {} above the arrow, {} from the eye", length_text(core.peep_height_mm, units),
            length_text(core.eye_to_peep_mm, units));
  text.line("  face: {}{}", text_of(fit.spec.build),
            fit.spec.has(Key::face_percentile) ? fmt::format(", percentile {:g}", fit.spec.value(Key::face_percentile))
                                               : std::string());
  text.item(" ", "measured on the archer: " + measured_on(fit));
  text.line("  drag coefficient {:.2f}", core.drag_coefficient);
}

void write_bore(Text& text, const Fit& fit) {
  text.line("  bore that just circles the housing {:.2f} mm ({}); nearest on the list {:.2f} mm ({})",
            fit.framing_bore_mm, inches_text(Length::mm(fit.framing_bore_mm)), fit.nearest_bore.mm(),
            inches_text(fit.nearest_bore));
  const std::string tilt = number_text(degrees(fit.bore.tilt_rad), 1);
  if (fit.bore.open_height_mm > 0)
    text.line("  the bore given looks {:.2f} mm high and {:.2f} mm wide: its axis stands {} deg off the line of sight",
              fit.bore.open_height_mm, fit.bore.open_width_mm, tilt);
  else text.line("  the bore given is SHUT: its axis stands {} deg off the line of sight", tilt);
  text.line("  1 mm off centre in the peep is {:.0f} mm on the target at {:.4g} m", fit.aim_error_mm,
            fit.spec.value(Key::distances_far) / 1000);
}

void write_budget(Text& text, const Budget& budget) {
  text.line("  {:<40} {:>8} {:<4} {:>14}", "input, one standard uncertainty (k = 1)", "", "", "moves mark by");
  constexpr double worth_a_line_mm = 0.05;
  std::size_t left_out = 0;
  for (const BudgetLine& line : budget.lines) {
    if (line.contribution_mm < worth_a_line_mm) {
      ++left_out;
      continue;
    }
    text.line("  {:<38} {:>10.3g} {:<4} {:>11.2f} mm  {}", line.input, line.standard_uncertainty, line.unit,
              line.contribution_mm, line.assumed ? "assumed" : "");
  }
  if (left_out > 0) text.line("  and {} more below {:g} mm each", left_out, worth_a_line_mm);
}

void write_advice(Text& text, const FitReport& report, PaperUnits units) {
  constexpr std::size_t most = 4;
  for (std::size_t i = 0; i < std::min(most, report.next.size()); ++i) {
    const Advice& advice = report.next[i];
    text.item("-",
              fmt::format("{} ({}): {} would come down to {}", advice.key, advice.help,
                          length_text(report.budget.expanded_mm(), units), length_text(advice.expanded_mm, units)));
  }
}

}  // namespace

std::string marks_advice(const FitReport& report) {
  std::string assumed;
  for (const Key key : {Key::arrow_speed, Key::arrow_mass, Key::sight_extension})
    if (!report.fit.spec.given(key)) assumed += (assumed.empty() ? "" : ", ") + std::string(info_of(key).help);
  return fmt::format("Shoot the first in, then set the others from it{}.",
                     assumed.empty() ? "" : "; nobody measured: " + assumed);
}

std::string tied_advice(const FitReport& report, PaperUnits units) {
  const double move = report.tied_move_mm;
  const std::string tied = length_text(report.fit.spec.value(Key::tied_mark), units),
                    by = length_text(std::abs(move), units), give = length_text(report.tied_move_uncertainty_mm, units);
  switch (verdict_on_move(move, report.tied_move_uncertainty_mm)) {
    case MoveVerdict::leave:
      return fmt::format("Tied now at {}, {} {} the mark: leave it.", tied, by, move > 0 ? "below" : "above");
    case MoveVerdict::move:
      return fmt::format("Tied now at {}: move it {} {} the string (give or take {}).", tied, by,
                         move > 0 ? "UP" : "DOWN", give);
    case MoveVerdict::not_sure_enough: break;
  }
  return fmt::format(
      "Tied now at {}, {} {} the mark, which is less than the give or take of {}: measure more before it is moved.",
      tied, by, move > 0 ? "below" : "above", give);
}

std::string report_text(const FitReport& report, PaperUnits units) {
  const Fit& fit = report.fit;
  Text text;
  text.line("peepwright {} - {} ({}-handed)", version(), title_of(fit.spec), text_of(fit.spec.hand));
  text.line("\nMARK  {} above the top of the nock, string at rest", length_text(fit.core.mark_mm, units));
  text.line("      give or take {} (k = 2: about 95 of 100)", length_text(report.budget.expanded_mm(), units));
  if (!report.notes.empty()) {
    text.heading("Mind");
    for (const std::string& note : report.notes) text.item("!", note + ".");
  }
  text.heading("How it was found");
  write_sources(text, fit, units);
  text.heading("Head and hand");
  write_posture(text, fit);
  if (report.shift_from_reference)
    text.line("  against the reference the head stands {:+.1f} mm forward and {:+.1f} mm up",
              report.shift_from_reference->forward_mm, report.shift_from_reference->up_mm);
  text.heading("Clearances");
  write_clearances(text, fit);
  text.heading("Sight marks");
  write_marks(text, report, units);
  text.heading("Peep and eye");
  write_bore(text, fit);
  if (report.draw.bow) {
    text.heading("The bow");
    write_bow(text, report, units);
  }
  if (report.tied) write_tied(text, report, units);
  text.heading("What the uncertainty is made of");
  write_budget(text, report.budget);
  if (!report.next.empty()) {
    text.heading("Measure next");
    write_advice(text, report, units);
  }
  write_cautions(text);
  return text.take();
}

}  // namespace peepwright
