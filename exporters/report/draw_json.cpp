// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/draw_report.hpp"
#include "exporters/report/json_numbers.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {
namespace report_data {
std::string_view draw_schema_json();
}  // namespace report_data

namespace {

using Json = nlohmann::ordered_json;

Json press_of(const FacePress& press) {
  return {{"tail_mm", json_num(press.tail_mm)},
          {"peep_mm", json_num(press.peep_mm)},
          {"arrow_on_target_mm", json_num(press.arrow_on_target_mm)},
          {"sight_on_target_mm", json_num(press.sight_on_target_mm)},
          {"shot_off_mm", json_num(press.shot_off_mm())}};
}

Json presses_of(const FacePresses& presses) {
  return {{"at_nocking_point", press_of(presses.at_nock)}, {"at_peep", press_of(presses.at_peep)}};
}

Json optional_of(const std::optional<double>& value, double times = 1) {
  return value ? json_num(*value * times) : Json();
}

Json tensions_of(const ElasticState& s) {
  return {{"string_N", json_num(s.upper.string_n)}, {"cable_N", json_num(s.upper.cable_n)}};
}

Json full_draw_of(const DrawReport& report) {
  const FullDraw& bow = report.bow;
  const HalfState& upper = bow.full_draw.upper;
  return {{"draw_to_pivot_mm", json_num(bow.full_draw.draw_mm)},
          {"upper_leg_angle_deg", json_deg(upper.leg_angle_rad)},
          {"lower_leg_angle_deg", json_deg(bow.full_draw.lower.leg_angle_rad)},
          {"included_angle_deg", json_deg(bow.included_angle_rad())},
          {"leg_angle_standard_uncertainty_deg", json_deg(report.leg_deviation_rad)},
          {"closing_mm", json_num(bow.closing_mm())},
          {"axle_set_back_mm", json_num(upper.axle_behind_pivot_mm)},
          {"take_off_radius_mm", json_num(upper.take_off_radius_mm)},
          {"cam_turn_deg", json_deg(upper.turn_rad)}};
}

}  // namespace

std::string_view draw_schema() { return report_data::draw_schema_json(); }

std::string draw_json(const DrawReport& report) {
  const FullDraw& bow = report.bow;
  const Spec& spec = report.spec;
  Json out;
  out["schema"] = "peepwright-draw-1";
  out["version"] = version();
  out["bow"] = spec.bow_label;
  out["found_by"] = report.table_deviation_n ? "force_draw" : spec.given(Key::cam_string_radius) ? "cams" : "catalogue";
  out["force"] = {{"peak_N", json_num(bow.peak.force_n)},
                  {"peak_draw_to_pivot_mm", json_num(bow.peak.draw_mm)},
                  {"holding_N", json_num(bow.holding_n())},
                  {"let_off", json_num(bow.let_off())},
                  {"stored_J", json_num(bow.full_draw.stored_j)},
                  {"table_deviation_N", optional_of(report.table_deviation_n)},
                  {"peak_read_N", report.read ? json_num(report.read->peak.force.n()) : Json()},
                  {"holding_read_N", optional_of(report.read ? report.read->holding_n : std::nullopt)}};
  out["full_draw"] = full_draw_of(report);
  out["tensions"] = {{"at_rest", tensions_of(bow.rest())}, {"at_full_draw", tensions_of(bow.full_draw)}};
  out["peep"] = {{"along_string_mm", json_num(report.peep_along_mm)},
                 {"nearer_to_nock_mm", json_num(report.peep_nearer_mm)}};
  out["arrow_speed"] = {{"estimate_m_s", json_num(report.speed.m_s)},
                        {"standard_uncertainty_m_s", json_num(report.speed.deviation_m_s)},
                        {"energy_J", json_num(report.speed.energy_j)},
                        {"given_m_s", optional_of(report.speed.given_m_s)},
                        {"virtual_mass_g", optional_of(report.speed.virtual_mass_kg, 1000)}};
  out["sideways_per_newton"] = {{"target_m", json_num(spec.value(Key::distances_far) / 1000)},
                                {"hand_follows", presses_of(report.hand_follows)},
                                {"hand_stays", presses_of(report.hand_stays)}};
  Json columns = Json::array(), rows = Json::array();
  for (const DrawColumn& column : draw_columns()) columns.push_back({{"name", column.name}, {"means", column.means}});
  for (const ElasticState& s : report.table) {
    Json row = Json::array();
    for (const DrawColumn& column : draw_columns()) row.push_back(json_num(column.value(report, s)));
    rows.push_back(row);
  }
  out["columns"] = columns;
  out["curve"] = rows;
  out["notes"] = report.notes;
  out["cautions"] = cautions();
  return json_text(out);
}

}  // namespace peepwright
