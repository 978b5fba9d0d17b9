// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/statistics.hpp"

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "engine/face/csv_rows.hpp"
#include "engine/quantity/error.hpp"

namespace peepwright {
namespace face_data {
std::string_view face_landmarks_csv();
std::string_view ansur2_head_stats_csv();
std::string_view niosh2003_stats_csv();
std::string_view usaf1967_aligned_landmarks_csv();
std::string_view usaf1967_regression_csv();
}  // namespace face_data

namespace {

using face_data::number;
using face_data::Row;
using face_data::rows_of;

Landmark landmark_named(std::string_view name) {
  for (std::size_t i = 0; i < landmark_count; ++i)
    if (name_of(static_cast<Landmark>(i)) == name) return static_cast<Landmark>(i);
  throw Error(ErrorCode::internal,
              "the survey data built into the engine name no landmark \"" + std::string(name) + "\"");
}

/// mean and sd of `measure` for `sex` in a table with columns sex, measure, N, mean, sd, …
Spread measure_of(std::string_view csv, std::string_view sex, std::string_view measure) {
  for (const Row& row : rows_of(csv))
    if (row[0] == sex && row[1] == measure) return {number(row[3]), number(row[4])};
  throw Error(ErrorCode::internal, "the survey data built into the engine lack " + std::string(measure));
}

BuildStatistics read_build(std::string_view build, std::string_view sex) {
  BuildStatistics out;
  for (const Row& row : rows_of(face_data::face_landmarks_csv())) {
    if (row[0] != build) continue;
    const auto i = static_cast<std::size_t>(landmark_named(row[1]));
    out.mean[i] = {number(row[2]), number(row[3]), number(row[4])};
    if (!row[5].empty()) out.sd_x_mm[i] = number(row[5]);
    if (!row[6].empty()) out.sd_z_mm[i] = number(row[6]);
  }
  const auto at = [&](Landmark l) { return out.mean[static_cast<std::size_t>(l)]; };
  const auto ansur = [&](std::string_view m) { return measure_of(face_data::ansur2_head_stats_csv(), sex, m); };
  const auto niosh = [&](std::string_view m) { return measure_of(face_data::niosh2003_stats_csv(), sex, m); };
  // Means are those of the landmark table itself, so that a mean face is exactly the table; spreads are the
  // surveys'. (Face length differs by 1.8 mm between the surveys of 1988, in the table, and 2012.)
  const Point3 sellion = at(Landmark::sellion), menton = at(Landmark::menton);
  out.face_length = {std::hypot(sellion.x - menton.x, sellion.z - menton.z), ansur("mentonsellionlength").sd_mm};
  out.head_length = {at(Landmark::glabella).x - at(Landmark::opisthocranion).x, ansur("headlength").sd_mm};
  out.head_breadth = {2 * at(Landmark::eurion).y, ansur("headbreadth").sd_mm};
  out.jaw_breadth = {2 * at(Landmark::gonion).y, niosh("BIGONLBR").sd_mm};
  out.pupil_distance = {2 * at(Landmark::pupil).y, ansur("interpupillarybreadth").sd_mm};
  out.mouth_width = {2 * at(Landmark::cheilion).y, niosh("LIPLTH").sd_mm};
  return out;
}

Spread pooled(Spread a, Spread b) {
  const double half_gap = (a.mean_mm - b.mean_mm) / 2;
  const double within = (a.sd_mm * a.sd_mm + b.sd_mm * b.sd_mm) / 2;
  return {(a.mean_mm + b.mean_mm) / 2, std::sqrt(within + half_gap * half_gap)};
}

BuildStatistics pool(const BuildStatistics& a, const BuildStatistics& b) {
  BuildStatistics out;
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const Spread x = pooled({a.mean[i].x, a.sd_x_mm[i]}, {b.mean[i].x, b.sd_x_mm[i]});
    const Spread z = pooled({a.mean[i].z, a.sd_z_mm[i]}, {b.mean[i].z, b.sd_z_mm[i]});
    out.mean[i] = {x.mean_mm, (a.mean[i].y + b.mean[i].y) / 2, z.mean_mm};
    if (a.sd_x_mm[i] > 0) out.sd_x_mm[i] = x.sd_mm;
    if (a.sd_z_mm[i] > 0) out.sd_z_mm[i] = z.sd_mm;
  }
  out.face_length = pooled(a.face_length, b.face_length);
  out.head_length = pooled(a.head_length, b.head_length);
  out.head_breadth = pooled(a.head_breadth, b.head_breadth);
  out.jaw_breadth = pooled(a.jaw_breadth, b.jaw_breadth);
  out.pupil_distance = pooled(a.pupil_distance, b.pupil_distance);
  out.mouth_width = pooled(a.mouth_width, b.mouth_width);
  return out;
}

using RegressionTable = std::array<LandmarkRegression, landmark_count>;

RegressionTable read_regressions() {
  std::map<std::string, Regression, std::less<>> by_coordinate;
  for (const Row& aligned : rows_of(face_data::usaf1967_aligned_landmarks_csv()))
    for (const Row& row : rows_of(face_data::usaf1967_regression_csv())) {
      const std::string name(aligned[0]);
      const bool x = row[0] == name + "_x", z = row[0] == name + "_z";
      if (!x && !z) continue;
      const double total_sd = number(aligned[x ? 3 : 6]);
      by_coordinate[std::string(row[0])] = {number(row[2]), number(row[3]), number(row[4]) / total_sd};
    }
  const auto coordinate = [&](const std::string& name) { return by_coordinate.at(name); };
  const auto both = [&](const std::string& name) {
    return LandmarkRegression{coordinate(name + "_x"), coordinate(name + "_z")};
  };
  RegressionTable out{};
  const auto set = [&](Landmark l, const LandmarkRegression& r) { out[static_cast<std::size_t>(l)] = r; };
  set(Landmark::sellion, both("SE"));
  set(Landmark::pronasale, both("PRN"));
  set(Landmark::alare, both("SN"));
  set(Landmark::subnasale, both("SN"));
  // The survey has no row for the lips and the mouth corner: they go with the line between the lips.
  for (const Landmark l :
       {Landmark::labrale_superius, Landmark::stomion, Landmark::cheilion, Landmark::labrale_inferius})
    set(l, both("STO"));
  // The hollow stands 0.42 of the way from the line between the lips down to the under-chin (see the data);
  // forward it goes with the chin.
  const Regression sto = coordinate("STO_z"), me = coordinate("ME_z"), chin = coordinate("CHIN_z");
  constexpr double share = 0.42;
  set(Landmark::sublabiale,
      {coordinate("CHIN_x"),
       {sto.per_face_length + share * (me.per_face_length - sto.per_face_length),
        sto.per_head_length + share * (me.per_head_length - sto.per_head_length), chin.residual_share}});
  set(Landmark::pogonion, both("CHIN"));
  set(Landmark::menton, both("ME"));
  set(Landmark::tragion, both("TR"));
  return out;
}

}  // namespace

const BuildStatistics& male_statistics() {
  static const BuildStatistics statistics = read_build("adult-male", "male");
  return statistics;
}

const BuildStatistics& female_statistics() {
  static const BuildStatistics statistics = read_build("adult-female", "female");
  return statistics;
}

const BuildStatistics& mean_statistics() {
  static const BuildStatistics statistics = pool(male_statistics(), female_statistics());
  return statistics;
}

const LandmarkRegression& regression_of(Landmark landmark) {
  static const RegressionTable table = read_regressions();
  return table[static_cast<std::size_t>(landmark)];
}

}  // namespace peepwright
