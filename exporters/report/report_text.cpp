// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <cmath>

#include "engine/bow/lateral_stiffness.hpp"
#include "engine/quantity/paper_text.hpp"
#include "exporters/report/report.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

/// Two places after the point in inches are a quarter of a millimetre.
void write_clearances_in_inches(Text& text, const Fit& fit) {
  text.line("  {:<19} {:>18}  {}", "", "is", "wanted, in");
  const auto in = [](double mm) { return number_text(Length::mm(mm).in(), 2); };
  for (const Clearance& c : fit.clearances) {
    const std::string wanted =
        c.wanted_most_mm ? in(c.wanted_least_mm) + " to " + in(*c.wanted_most_mm) : "at least " + in(c.wanted_least_mm);
    const std::string lowest = "lowest at " + distance_text(fit.lowest.distance_m, PaperUnits::inches);
    text.line("  {:<19} {:>18}  {:<16} {:<8} {:<9} {}", c.name, fine_text(c.distance_mm, PaperUnits::inches), wanted,
              text_of(c.verdict), c.met ? "as wanted" : "NOT MET",
              c.name == "sight-arrow" ? lowest
              : c.note.empty()        ? c.nearest
                                      : c.note);
  }
}

void write_clearances(Text& text, const Fit& fit, PaperUnits units) {
  if (units == PaperUnits::inches) return write_clearances_in_inches(text, fit);
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
              degrees(row.mark.launch_rad), height(row.mark.pin_height_mm), height(report.sight.pins[i].pin_mm),
              height(report.sight.pins[i].from_first_mm), height(row.mark.clearance_mm), height(row.eye_height_mm));
  }
  text.item(" ", marks_advice(report, units));
  const Reach& reach = fit.reach;
  if (reach.longest_m == 0) text.line("  The sight never clears the passing vanes by what is wanted.");
  else if (reach.beyond_limit)
    text.line("  The sight clears the vanes at every distance up to {:.0f} {}.", distance(reach.longest_m), far_unit);
  else
    text.item(" ", fmt::format("Longest distance before the sight comes within {} of the vanes: {}.",
                               inches ? fine_text(fit.spec.value(Key::wanted_sight_arrow), units)
                                      : fmt::format("{:g} mm", fit.spec.value(Key::wanted_sight_arrow)),
                               reach_text(reach, report.sight, units)));
  if (fit.marks.size() < 2) return;
  text.item(" ", fmt::format("From the first to the last mark the eye, and so the anchor, moves {} {} {} on the face.",
                             height(std::abs(fit.eye_travel_mm)), near_unit,
                             fit.eye_travel_mm >= 0 ? "up from the arrow: the hand goes lower"
                                                    : "toward the arrow: the hand goes higher"));
}

void write_posture(Text& text, const Fit& fit, PaperUnits units) {
  const Posture& p = fit.core.posture;
  text.line("  head turned {:.1f} deg off the target line, chin {} {} deg, leaning {} deg {} the string",
            degrees(p.yaw_rad), p.pitch_rad >= 0 ? "up" : "down", number_text(std::abs(degrees(p.pitch_rad)), 1),
            number_text(std::abs(degrees(p.roll_rad)), 1), p.roll_rad >= 0 ? "toward" : "away from");
  text.line("  eye {} above the arrow", length_text(p.pupil.z, units));
  for (std::size_t i = 0; i < residual_count; ++i) {
    const auto residual = static_cast<Residual>(i);
    if (residual == Residual::peep_tied && fit.peep != Peep::tied) continue;
    const ResidualInfo& info = info_of(residual);
    if (units == PaperUnits::inches && std::string_view(info.unit) == "mm")
      text.line("  {:<34} {:>18}  (may be off by {} in)  {}", info.name, fine_text(p.off[i], units),
                number_text(Length::mm(p.tolerance[i]).in(), 2), verdict_of(p, residual));
    else
      text.line("  {:<34} {:>6} {:<3}  (may be off by {:g})  {}", info.name, number_text(p.off[i], 1), info.unit,
                p.tolerance[i], verdict_of(p, residual));
  }
}

void write_tied(Text& text, const FitReport& report, PaperUnits units) {
  const Fit& tied = *report.tied;
  const HeadShift shift = head_shift(tied.core, report.fit.core);
  text.heading("The peep as it is tied now");
  text.item(" ", tied_advice(report, units));
  text.line("  it makes the head go {} {} and {} {}", fine_text(std::abs(shift.forward_mm), units),
            shift.forward_mm >= 0 ? "forward" : "back", fine_text(std::abs(shift.up_mm), units),
            shift.up_mm >= 0 ? "up" : "down");
  const double arrow_up = report.fit.core.posture.pupil.z - tied.core.posture.pupil.z;
  text.line("  the arrow lies {} {} on the face than fitted: the hand is forced {}",
            fine_text(std::abs(arrow_up), units), arrow_up >= 0 ? "higher" : "lower", arrow_up >= 0 ? "up" : "down");
  text.line("  longest distance as tied: {}; as fitted: {}", reach_text(tied.reach, report.tied_sight, units),
            reach_text(report.fit.reach, report.sight, units));
  write_posture(text, tied, units);
}

void write_bow(Text& text, const FitReport& report, PaperUnits units) {
  const FullDraw& bow = *report.draw.bow;
  text.line("  peak {}, holding {}, stored {}", force_text(bow.peak.force_n, units), force_text(bow.holding_n(), units),
            energy_text(bow.full_draw.stored_j, units));
  if (const double usual_j = report.draw.stored->joules; usual_j > 1.001 * bow.full_draw.stored_j)
    text.line("    of round cams; usual ones store about {}, by which arrow speeds are judged",
              energy_text(usual_j, units));
  text.line("  included string angle by the draw cycle {:.1f} deg, each leg give or take {:.1f} deg (k = 2)",
            degrees(bow.included_angle_rad()), degrees(2 * report.draw.leg_deviation_rad));
  const double loop = report.fit.spec.value(Key::string_loop_length);
  // At the nocking point: where the peep is does not matter there.
  const bool inches = units == PaperUnits::inches;
  const double force_n = inches ? Force::lbf(1).n() : 1;
  text.line("  {} of face pressure moves the arrow's tail {} if the hand stays,\n    {} if it follows",
            inches ? "1 lbf (4.4 N)" : "1 N",
            fine_text(force_n * sideways_give(bow, 0, ReleaseHand::stays, loop).tail_by_nock_mm_n, units, 2),
            fine_text(force_n * sideways_give(bow, 0).tail_by_nock_mm_n, units));
}

/// "bow.assumed.axle_closing 62 mm, …"
std::string with_values(const Spec& spec, const std::vector<Key>& keys, PaperUnits units) {
  std::string out;
  for (const Key key : keys) {
    const KeyInfo& row = info_of(key);
    const ShownQuantity shown = shown_in(shown_value(spec.value(key), row.dimension), shown_unit(row.dimension), units);
    out += fmt::format("{}{} {:.3g} {}", out.empty() ? "" : ", ", row.path, shown.value, shown.unit);
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
  if (!core.legs.assumptions.empty())
    text.item(" ", "resting on: " + with_values(fit.spec, core.legs.assumptions, units));
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

void write_bore(Text& text, const Fit& fit, PaperUnits units) {
  text.line("  bore that just circles the housing {}; nearest on the list {}",
            bore_text(Length::mm(fit.framing_bore_mm), units), bore_text(fit.nearest_bore, units));
  const std::string bore = fmt::format("bore {}, {},", fit.spec.given(Key::peep_bore) ? "given" : "assumed",
                                       bore_text(Length::mm(fit.spec.value(Key::peep_bore)), units));
  const std::string off = number_text(degrees(fit.bore.tilt_rad), 1);
  if (fit.bore.open_height_mm > 0) {
    text.line("  the {} looks {} high and {} wide:", bore, fine_text(fit.bore.open_height_mm, units, 2),
              fine_text(fit.bore.open_width_mm, units, 2));
    text.line("    its axis stands {} deg off the line of sight", off);
  } else {
    text.line("  the {} is SHUT: its axis stands {} deg off the line of sight", bore, off);
  }
  text.line("  {} off centre in the peep is {} on the target at {}",
            units == PaperUnits::inches ? "0.04 in (1 mm)" : "1 mm", fine_text(fit.aim_error_mm, units, 0),
            both_distance_text(fit.spec.value(Key::distances_far) / 1000, units));
}

void write_budget(Text& text, const Budget& budget, PaperUnits units) {
  text.line("  {:<40} {:>8} {:<4} {:>14}", "input, one standard uncertainty (k = 1)", "", "", "moves mark by");
  constexpr double worth_a_line_mm = 0.05;
  std::size_t left_out = 0;
  for (const BudgetLine& line : budget.lines) {
    if (line.contribution_mm < worth_a_line_mm) {
      ++left_out;
      continue;
    }
    const ShownQuantity shown = shown_in(line.standard_uncertainty, line.unit, units);
    text.line("  {:<38} {:>10.3g} {:<4} {:>14}  {}", line.input, shown.value, shown.unit,
              fine_text(line.contribution_mm, units, 2), line.assumed ? "assumed" : "");
  }
  if (left_out > 0) text.line("  and {} more below {} each", left_out, fine_text(worth_a_line_mm, units, 2));
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

std::string reach_text(const Reach& reach, const SightUncertainty& sight, PaperUnits units) {
  if (reach.longest_m == 0) return "none";
  const double unit_m = units == PaperUnits::inches ? unit::yard_mm / 1000 : 1;
  const std::string longest = distance_text(std::floor(reach.longest_m / unit_m) * unit_m, units);
  if (reach.beyond_limit || !sight.longest_m) return "over " + longest;
  return fmt::format("{}, give or take {}", longest,
                     distance_text(std::ceil(*sight.longest_m / unit_m) * unit_m, units));
}

std::string marks_advice(const FitReport& report, PaperUnits units) {
  const Spec& spec = report.fit.spec;
  std::string assumed;
  for (const Key key : {Key::arrow_speed, Key::arrow_mass, Key::sight_extension})
    if (!spec.given(key)) assumed += (assumed.empty() ? "" : ", ") + std::string(info_of(key).help);
  std::string out = fmt::format(
      "{}{}.", report.fit.marks.size() > 1 ? "Shoot the first in, then set the others from it" : "Shoot it in",
      assumed.empty() ? "" : "; nobody measured: " + assumed);
  if (spec.given(Key::arrow_speed)) return out;
  const Input& speed = spec[Key::arrow_speed];
  const ShownQuantity give = shown_in(2 * speed.uncertainty, "m/s", units);
  return out + fmt::format(" The arrow's speed is taken for {}, give or take {:.0f} {} (k = 2): {}.",
                           speed_text(speed.value, units), give.value, give.unit,
                           speed.reason.empty() ? info_of(Key::arrow_speed).reason : speed.reason);
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
    for (const std::string& note : notes_in(report, units)) text.item("!", note + ".");
  }
  text.heading("How it was found");
  write_sources(text, fit, units);
  text.heading("Head and hand");
  write_posture(text, fit, units);
  if (report.shift_from_reference)
    text.line("  against the reference the head stands {} forward and {} up",
              fine_text(report.shift_from_reference->forward_mm, units, 1, true),
              fine_text(report.shift_from_reference->up_mm, units, 1, true));
  text.heading("Clearances");
  write_clearances(text, fit, units);
  for (const Clearance& c : fit.clearances)
    if (c.expanded_mm)
      text.item(" ",
                fmt::format("{}: give or take {} (k = 2), as nobody measured how far mouth and chin stand ahead: that "
                            "is from statistics.",
                            c.name, fine_text(*c.expanded_mm, units)));
  text.item(
      " ",
      "Between solids, skin and all: \"touching\" is 0 or less, and less than 0 is pressed in. Under \"Head and hand\" "
      "string and arrow are against the landmark's point alone, off it and beside it apart, so that the two may differ "
      "by some millimetres; less than 0 off the string is pressed in there too.");
  text.heading("Sight marks");
  write_marks(text, report, units);
  text.heading("Peep and eye");
  write_bore(text, fit, units);
  if (report.draw.bow) {
    text.heading("The bow");
    write_bow(text, report, units);
  }
  if (report.tied) write_tied(text, report, units);
  text.heading("What the uncertainty is made of");
  write_budget(text, report.budget, units);
  if (!report.next.empty()) {
    text.heading("Measure next");
    write_advice(text, report, units);
  }
  write_cautions(text);
  return text.take();
}

}  // namespace peepwright
