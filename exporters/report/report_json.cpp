// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/clearance/on_solids.hpp"
#include "exporters/report/arrow_notes.hpp"
#include "exporters/report/json_numbers.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {
namespace {

using Json = nlohmann::ordered_json;

Json point(const Spec& spec, Point3 in_bow) {
  const Point3 p = as_archer_stands(spec, in_bow);
  return Json::array({json_num(p.x), json_num(p.y), json_num(p.z)});
}

std::string_view text_of(Status status) {
  switch (status) {
    case Status::given: return "given";
    case Status::assumed: return "assumed";
    case Status::chosen: return "chosen";
    case Status::absent: return "absent";
  }
  return "";
}

Json lengths(const std::vector<Length>& values) {
  Json out = Json::array();
  for (const Length value : values) out.push_back(json_num(value.mm()));
  return out;
}

Json range(const GapRange& gap) { return Json::array({json_num(gap.least.mm()), json_num(gap.most.mm())}); }

Json inputs_of(const Spec& spec) {
  Json out;
  out["archer.label"] = spec.archer_label;
  out["archer.hand"] = peepwright::text_of(spec.hand);
  out["archer.face.build"] = peepwright::text_of(spec.build);
  if (spec.scan) out["archer.face.scan"] = spec.scan->name;
  out["bow.label"] = spec.bow_label;
  out["bow.draw_length_to"] = spec.draw_length_includes_offset ? "pivot+1.75in" : "pivot";
  if (!spec.force_draw.empty()) {
    Json& table = out["bow.force_draw"] = Json::array();
    for (const ForceReading& r : spec.force_draw) table.push_back({json_num(r.draw.mm()), json_num(r.force.n())});
    if (spec.force_draw_uncertainty) out["uncertainty.bow.force_draw"] = json_num(spec.force_draw_uncertainty->n());
  }
  out["arrow.label"] = spec.arrow_label;
  out["peep.bores"] = lengths(spec.peep_bores);
  out["wanted.string_nose"] = range(spec.wanted_string_nose);
  out["wanted.string_mouth"] = range(spec.wanted_string_mouth);
  for (const KeyInfo& row : all_keys()) {
    const Input& input = spec[row.key];
    if (input.status == Status::absent || row.absence == Absence::hidden) continue;
    out[std::string(row.path)] = {{"value", json_num(shown_value(input.value, row.dimension))},
                                  {"unit", shown_unit(row.dimension)},
                                  {"standard_uncertainty", json_num(shown_value(input.uncertainty, row.dimension))},
                                  {"status", text_of(input.status)}};
  }
  return out;
}

Json landmarks_of(const Face& face) {
  Json out;
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const Point3& p = face.places[i];
    out[std::string(name_of(static_cast<Landmark>(i)))] = {
        {"place_mm", Json::array({json_num(p.x), json_num(p.y), json_num(p.z)})}, {"origin", text_of(face.origins[i])}};
  }
  return out;
}

Json string_of(const Fit& fit) {
  const CoreFit& core = fit.core;
  Json out{{"source", name_of(core.legs.source)},
           {"upper_leg_angle_deg", json_deg(core.legs.upper_rad)},
           {"lower_leg_angle_deg", json_deg(core.legs.lower_rad)},
           {"included_angle_deg", json_deg(core.legs.upper_rad + core.legs.lower_rad)}};
  Json rests_on = Json::array();
  for (const Key key : core.legs.assumptions) rests_on.push_back(info_of(key).path);
  out["rests_on"] = rests_on;
  // Where the solids have the axles: on the legs in use. What is assumed of them stands under `inputs` all the same.
  out["axle_to_axle_mm"] = out["axle_closing_mm"] = nullptr;
  if (core.legs.has_axles) {
    const solid::AssemblyInput solids = assembly_of(fit);
    const double apart = solids.upper.axle_aside_mm + solids.lower.axle_aside_mm;
    out["axle_to_axle_mm"] = json_num(apart);
    if (const auto at_rest = fit.spec.maybe(Key::bow_axle_to_axle)) out["axle_closing_mm"] = json_num(*at_rest - apart);
  }
  return out;
}

Json peep_of(const Fit& fit) {
  return {{"along_string_mm", json_num(fit.core.posture.along_string_mm)},
          {"mark_from_nock_top_mm", json_num(fit.core.mark_mm)},
          {"height_full_draw_mm", json_num(fit.core.peep_height_mm)},
          {"eye_to_peep_mm", json_num(fit.core.eye_to_peep_mm)},
          {"framing_bore_mm", json_num(fit.framing_bore_mm)},
          {"nearest_bore_mm", json_num(fit.nearest_bore.mm())},
          {"bore_seen_mm", json_num(fit.bore.open_height_mm)},
          {"bore_seen_width_mm", json_num(fit.bore.open_width_mm)},
          {"bore_tilt_deg", json_deg(fit.bore.tilt_rad)},
          {"aim_error_per_mm_at_far_mm", json_num(fit.aim_error_mm)}};
}

Json posture_of(const Fit& fit, const std::optional<HeadShift>& shift) {
  const Posture& p = fit.core.posture;
  Json residuals = Json::array();
  for (std::size_t i = 0; i < residual_count; ++i) {
    const auto residual = static_cast<Residual>(i);
    if (residual == Residual::peep_tied && fit.peep != Peep::tied) continue;
    residuals.push_back({{"name", info_of(residual).name},
                         {"off", json_num(p.off[i])},
                         {"tolerance", json_num(p.tolerance[i])},
                         {"unit", info_of(residual).unit},
                         {"verdict", verdict_of(p, residual)}});
  }
  return {{"pupil_mm", point(fit.spec, p.pupil)},
          {"pupil_sd_mm", Json::array({json_num(p.pupil_sd.x), json_num(p.pupil_sd.y), json_num(p.pupil_sd.z)})},
          {"yaw_deg", json_deg(p.yaw_rad)},
          {"pitch_deg", json_deg(p.pitch_rad)},
          {"roll_deg", json_deg(p.roll_rad)},
          {"nose_to_string_mm", json_num(p.nose_gap_mm)},
          {"mouth_corner_to_string_mm", json_num(p.mouth_gap_mm)},
          {"arrow_below_eye_mm", json_num(p.pupil.z)},
          {"head_shift_mm", shift ? Json::array({json_num(shift->forward_mm), json_num(shift->up_mm)}) : Json()},
          {"residuals", residuals}};
}

Json sight_of(const Fit& fit, const SightUncertainty& uncertainty) {
  Json marks = Json::array();
  for (const MarkRow& row : fit.marks)
    marks.push_back({{"distance_m", json_num(row.mark.distance_m)},
                     {"launch_deg", json_deg(row.mark.launch_rad)},
                     {"pin_height_mm", json_num(row.mark.pin_height_mm)},
                     {"clearance_mm", json_num(row.mark.clearance_mm)},
                     {"eye_height_mm", json_num(row.eye_height_mm)}});
  return {{"marks", marks},
          {"slope_deg", json_deg(fit.spec.value(Key::distances_slope))},
          {"drag_coefficient", json_num(fit.core.drag_coefficient)},
          {"longest_distance_m", json_num(fit.reach.longest_m)},
          {"longest_distance_is_beyond", fit.reach.beyond_limit},
          {"longest_distance_uncertainty_m", uncertainty.longest_m ? json_num(*uncertainty.longest_m) : Json()},
          {"lowest_clearance_uncertainty_mm", json_num(uncertainty.lowest_clearance_mm)},
          {"eye_travel_mm", json_num(fit.eye_travel_mm)}};
}

Json clearances_of(const Fit& fit) {
  Json out = Json::array();
  for (const Clearance& c : fit.clearances) {
    Json points = Json::array();
    for (const Point3& p : c.points) points.push_back(point(fit.spec, p));
    const Json wanted = c.wanted_most_mm ? Json::array({json_num(c.wanted_least_mm), json_num(*c.wanted_most_mm)})
                                         : json_num(c.wanted_least_mm);
    out.push_back({{"name", c.name},
                   {"distance_mm", json_num(c.distance_mm)},
                   {"wanted_mm", wanted},
                   {"verdict", text_of(c.verdict)},
                   {"met", c.met},
                   {"nearest", c.nearest},
                   {"points_mm", points},
                   {"note", c.note}});
    if (c.expanded_mm) out.back()["uncertainty_mm"] = json_num(*c.expanded_mm);
  }
  return out;
}

/// Points of the draw-force curve in fit.json, brace to full draw.
constexpr int curve_points = 41;

Json draw_of(const FitReport& report) {
  const Spec& spec = report.fit.spec;
  const double peak = spec.value(Key::bow_peak_weight), let_off = spec.value(Key::bow_let_off);
  Json out{{"peak_N", json_num(peak)},
           {"holding_N", json_num(peak * (1 - let_off))},
           {"let_off", json_num(let_off)},
           {"stored_J", nullptr},
           {"stored_by_usual_cams_J", nullptr},
           {"curve", Json::array()},
           {"string_at_rest_N", nullptr},
           {"string_at_full_draw_N", nullptr},
           {"assumed", peak_weight_assumed(spec) || let_off_assumed(spec)}};
  if (!report.draw.bow) return out;
  const FullDraw& bow = *report.draw.bow;
  out["peak_N"] = json_num(bow.peak.force_n);
  out["holding_N"] = json_num(bow.holding_n());
  out["let_off"] = json_num(bow.let_off());
  out["stored_J"] = json_num(bow.full_draw.stored_j);
  out["stored_by_usual_cams_J"] = json_num(report.draw.stored->joules);
  for (const ForceDrawPoint& p : bow.curve(curve_points))
    out["curve"].push_back(Json::array({json_num(p.draw_mm), json_num(p.force_n)}));
  out["string_at_rest_N"] = json_num(bow.rest().upper.string_n);
  out["string_at_full_draw_N"] = json_num(bow.full_draw.upper.string_n);
  return out;
}

std::string_view verdict_word(MoveVerdict verdict) {
  switch (verdict) {
    case MoveVerdict::leave: return "leave";
    case MoveVerdict::move: return "move";
    case MoveVerdict::not_sure_enough: break;
  }
  return "not sure enough";
}

}  // namespace

std::string report_json(const FitReport& report) {
  const Fit& fit = report.fit;
  Json out;
  out["schema"] = "peepwright-fit-1";
  out["version"] = version();
  out["inputs"] = inputs_of(fit.spec);
  out["landmarks"] = landmarks_of(fit.core.face);
  out["assumed"] = Json::array();
  for (const Assumption& a : report.assumed)
    out["assumed"].push_back({{"key", a.key},
                              {"value", json_num(a.value)},
                              {"unit", a.unit},
                              {"reason", a.reason},
                              {"moves_mark_mm", json_num(a.moves_mark_mm)}});
  out["string"] = string_of(fit);
  out["peep"] = peep_of(fit);
  out["peep"]["mark_uncertainty_mm"] = json_num(report.budget.expanded_mm());
  out["posture"] = posture_of(fit, report.shift_from_reference);
  out["sight"] = sight_of(fit, report.sight);
  for (std::size_t i = 0; i < report.sight.pins.size(); ++i) {
    out["sight"]["marks"][i]["pin_uncertainty_mm"] = json_num(report.sight.pins[i].pin_mm);
    out["sight"]["marks"][i]["from_first_uncertainty_mm"] = json_num(report.sight.pins[i].from_first_mm);
    out["sight"]["marks"][i]["clearance_uncertainty_mm"] = json_num(report.sight.pins[i].clearance_mm);
  }
  out["clearances"] = clearances_of(fit);
  out["draw"] = draw_of(report);
  out["budget"] = Json::array();
  for (const BudgetLine& line : report.budget.lines)
    out["budget"].push_back({{"input", line.input},
                             {"unit", line.unit},
                             {"sensitivity", json_num(line.sensitivity)},
                             {"standard_uncertainty", json_num(line.standard_uncertainty)},
                             {"contribution_mm", json_num(line.contribution_mm)}});
  out["measure_next"] = Json::array();
  for (const Advice& advice : report.next)
    out["measure_next"].push_back({{"key", advice.key}, {"mark_uncertainty_mm", json_num(advice.expanded_mm)}});
  if (report.tied) {
    const HeadShift shift = head_shift(report.tied->core, fit.core);
    out["tied"] = {{"peep", peep_of(*report.tied)},
                   {"mark_mm", json_num(fit.spec.value(Key::tied_mark))},
                   {"move_mm", json_num(report.tied_move_mm)},
                   {"move_uncertainty_mm", json_num(report.tied_move_uncertainty_mm)},
                   {"verdict", verdict_word(verdict_on_move(report.tied_move_mm, report.tied_move_uncertainty_mm))},
                   {"posture", posture_of(*report.tied, shift)},
                   {"sight", sight_of(*report.tied, report.tied_sight)},
                   {"clearances", clearances_of(*report.tied)}};
  }
  out["notes"] = notes_in(report, PaperUnits::millimetres);
  out["cautions"] = cautions();
  return json_text(out);
}

std::string verification_json(const Verification& v) {
  const Json out{{"schema", "peepwright-verify-1"},
                 {"version", version()},
                 {"verdict", verdict_word(v.verdict)},
                 {"move_mm", json_num(v.move_mm)},
                 {"move_uncertainty_mm", json_num(v.move_uncertainty_mm)},
                 {"tolerance_mm", json_num(v.tolerance_mm)},
                 {"tied_mark_mm", json_num(v.tied_mark_mm)},
                 {"better_mark_mm", json_num(v.better_mark_mm)},
                 {"upper_leg_angle_deg", json_deg(v.leg_angle_rad)},
                 {"upper_leg_angle_sd_deg", json_deg(v.leg_angle_sd_rad)},
                 {"wanted_height_mm", json_num(v.wanted_height_mm)},
                 {"wanted_height_sd_mm", json_num(v.wanted_height_sd_mm)},
                 {"cautions", cautions()}};
  return json_text(out);
}

}  // namespace peepwright
