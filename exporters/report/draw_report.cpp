// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/draw_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/bow/arrow_speed.hpp"
#include "engine/bow/string_legs.hpp"
#include "engine/fit/fit.hpp"
#include "exporters/report/arrow_notes.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

/// Brace, round multiples of `step_mm` as `counted_by_mm` more than to the pivot counts them, full draw.
std::vector<double> draws(const FullDraw& bow, double step_mm, double counted_by_mm) {
  const double brace = bow.rest().draw_mm, full = bow.full_draw.draw_mm;
  constexpr double too_near = 0.01;  // of a step: such a row would say the same twice
  std::vector<double> out{brace};
  for (double k = std::ceil((brace + counted_by_mm) / step_mm + too_near);; ++k) {
    const double draw = k * step_mm - counted_by_mm;
    if (!(draw < full - too_near * step_mm)) break;
    out.push_back(draw);
  }
  out.push_back(full);
  return out;
}

double peep_along(const Spec& spec) {
  // A tied peep's place needs no face.
  if (spec.has(Key::tied_mark)) return tied_along_mm(spec);
  return solve_core(spec).posture.along_string_mm;
}

FacePresses presses(const DrawReport& report, ReleaseHand hand) {
  const Spec& spec = report.spec;
  const double bend = bend_off_nock_mm(spec);
  const SidewaysGive give =
      sideways_give(report.bow, report.peep_along_mm - bend, hand, spec.value(Key::string_loop_length));
  // Arrow rest and grip pivot stand at one station; common practice, no source.
  const double rest_mm = spec.pivot_x().mm(), far_mm = spec.value(Key::distances_far);
  const double pin_mm = rest_mm + spec.value(Key::sight_extension);
  const double peep_mm = on_upper_leg(report.peep_along_mm, report.bow.full_draw.upper.leg_angle_rad, bend).x_mm;
  const auto press = [&](double tail, double peep) {
    FacePress out{tail, peep, 0, 0};
    out.arrow_on_target_mm = -tail_shift_on_target_mm(tail, rest_mm, far_mm);
    out.sight_on_target_mm =
        -peep_shift_on_target_mm(peep, pin_mm - peep_mm, far_mm - spec.value(Key::sight_extension));
    return out;
  };
  return {press(give.tail_by_nock_mm_n, give.tail_by_peep_mm_n), press(give.tail_by_peep_mm_n, give.peep_by_peep_mm_n)};
}

SpeedEstimate speed_by(const DrawEstimate& draw, const Spec& spec) {
  SpeedEstimate out{draw.speed->m_s, draw.speed->deviation_m_s, draw.stored->joules, std::nullopt, std::nullopt};
  if (!spec.given(Key::arrow_speed)) return out;
  out.given_m_s = spec.value(Key::arrow_speed);
  try {
    out.virtual_mass_kg = virtual_mass_from_speed_kg(out.energy_j, spec.value(Key::arrow_mass), *out.given_m_s);
  } catch (const Error& e) {
    if (e.code() != ErrorCode::input) throw;  // carries more than that; a note says so
  }
  return out;
}

void note_bow(const DrawReport& report, PaperUnits units, std::vector<std::string>& notes) {
  const Spec& spec = report.spec;
  std::string assumed;
  const auto assume = [&](Key key) { assumed += (assumed.empty() ? "" : ", ") + std::string(info_of(key).path); };
  if (peak_weight_assumed(spec)) assume(Key::bow_peak_weight);
  if (let_off_assumed(spec)) assume(Key::bow_let_off);
  if (!spec.given(Key::arrow_mass)) assume(Key::arrow_mass);
  if (!assumed.empty()) notes.push_back("assumed, not given: " + assumed);
  if (report.bow.nock_path == NockPath::level)
    notes.emplace_back(
        "cams that are free of each other would tip over to one side at this let-off; the nocking point is "
        "held level, as draw stops or cams that drive each other do");
  if (const auto read = spec.maybe(Key::full_draw_string_angle)) {
    const double off = degrees(report.bow.included_angle_rad() - *read);
    notes.push_back(
        fmt::format("the included angle read at full draw is {:.1f} deg, the draw cycle says {:.1f} deg {}; "
                    "a fit takes the reading",
                    degrees(*read), std::abs(off), off >= 0 ? "more" : "less"));
  } else if (spec.has(Key::tied_mark) && spec.has(Key::tied_height_full_draw)) {
    const double by_peep = string_legs(spec).upper_rad,
                 off = degrees(report.bow.full_draw.upper.leg_angle_rad - by_peep);
    notes.push_back(
        fmt::format("the peep that is tied puts the upper leg at {:.1f} deg, the draw cycle says {:.1f} deg "
                    "{}; a fit takes the peep",
                    degrees(by_peep), std::abs(off), off >= 0 ? "more" : "less"));
  }
  for (const Note& note : notes_on_overruled(spec, report.bow)) notes.push_back(note.in(units));
  if (!report.read) return;
  const double peak = report.read->peak.force.n();
  constexpr double worth_saying = 0.03;
  if (*report.table_deviation_n > worth_saying * peak)
    notes.push_back(
        fmt::format("a bow of round cams comes no nearer to the draw-force table than {} (root mean square): what is "
                    "computed from it, the angle's give or take too, allows for that, but read the table again if this "
                    "is not the bow's own shape",
                    force_text(*report.table_deviation_n, units)));
}

double axle_to_axle(const ElasticState& s) { return s.upper.axle_from_centre_mm + s.lower.axle_from_centre_mm; }
using R = DrawReport;
using S = ElasticState;

constexpr std::array columns{
    DrawColumn{"draw_to_pivot_mm", "nocking point to grip pivot", [](const R&, const S& s) { return s.draw_mm; }},
    DrawColumn{"draw_length_mm", "the same as bow.draw_length counts it",
               [](const R& r, const S& s) { return r.spec.from_pivot(Length::mm(s.draw_mm)).mm(); }},
    DrawColumn{"force_N", "draw force", [](const R&, const S& s) { return s.force_n; }},
    DrawColumn{"upper_leg_deg", "upper string leg against the arrow",
               [](const R&, const S& s) { return degrees(s.upper.leg_angle_rad); }},
    DrawColumn{"lower_leg_deg", "lower string leg against the arrow",
               [](const R&, const S& s) { return degrees(s.lower.leg_angle_rad); }},
    DrawColumn{"closing_mm", "how much nearer together the axles are than at rest",
               [](const R& r, const S& s) { return axle_to_axle(r.bow.rest()) - axle_to_axle(s); }},
    DrawColumn{"axle_set_back_mm", "upper axle behind the pivot, toward the archer",
               [](const R&, const S& s) { return s.upper.axle_behind_pivot_mm; }},
    DrawColumn{"take_off_radius_mm", "upper axle to the string, square to it",
               [](const R&, const S& s) { return s.upper.take_off_radius_mm; }},
    DrawColumn{"cam_turn_deg", "upper cam's turn since rest",
               [](const R&, const S& s) { return degrees(s.upper.turn_rad); }},
    DrawColumn{"string_N", "tension of the upper string leg", [](const R&, const S& s) { return s.upper.string_n; }},
    DrawColumn{"cable_N", "tension of the upper cam's cable", [](const R&, const S& s) { return s.upper.cable_n; }},
    DrawColumn{"stored_J", "energy stored since rest", [](const R&, const S& s) { return s.stored_j; }},
};

}  // namespace

std::span<const DrawColumn> draw_columns() { return columns; }

DrawReport make_draw_report(const Spec& given, PaperUnits units) {
  Spec spec = given;
  DrawEstimate estimate = use_draw_cycle(spec);
  if (!estimate.bow) throw Error(ErrorCode::input, "no draw cycle: " + estimate.refusal);
  DrawReport report{
      spec, *estimate.bow, estimate.leg_deviation_rad, estimate.table_deviation_n, {}, 0, 0, {}, {}, {}, {}, {}, {}};
  if (report.table_deviation_n) report.read = forces_read(spec);
  if (const auto light = note_on_light_arrow(spec)) report.notes.push_back(light->in(units));
  report.peep_along_mm = peep_along(spec);
  report.peep_nearer_mm = report.bow.mark_change_mm(report.peep_along_mm);
  report.hand_follows = presses(report, ReleaseHand::follows);
  report.hand_stays = presses(report, ReleaseHand::stays);
  report.speed = speed_by(estimate, spec);
  if (const auto energy = note_on_energy(spec, estimate)) report.notes.push_back(energy->in(units));
  constexpr double fine_mm = 5, round_mm = 25;
  report.table = report.bow.states(draws(report.bow, fine_mm, 0));
  const double counted_by = spec.from_pivot(Length()).mm();
  report.short_table =
      report.bow.states(draws(report.bow, units == PaperUnits::inches ? unit::inch_mm : round_mm, counted_by));
  note_bow(report, units, report.notes);
  return report;
}

std::string draw_csv(const DrawReport& report) {
  std::string out;
  for (const DrawColumn& column : columns)
    out += fmt::format("{}{}", &column == &columns.front() ? "" : ",", column.name);
  out += "\r\n";
  for (const ElasticState& s : report.table) {
    for (const DrawColumn& column : columns)
      out += (&column == &columns.front() ? "" : ",") + number_text(column.value(report, s), 4);
    out += "\r\n";
  }
  return out;
}

}  // namespace peepwright
