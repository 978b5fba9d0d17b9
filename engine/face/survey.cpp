// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/survey.hpp"

#include "engine/face/csv_rows.hpp"
#include "engine/quantity/error.hpp"

namespace peepwright {
namespace face_data {
std::string_view ansur2_head_stats_csv();
std::string_view ansur2_male_head_corr_csv();
std::string_view ansur2_female_head_corr_csv();
std::string_view ansur2_male_rows_csv();
std::string_view ansur2_female_rows_csv();
}  // namespace face_data

namespace {

using face_data::number;
using face_data::Row;
using face_data::rows_of;

constexpr std::array<std::string_view, surveyed_sizes> names{"headlength", "headbreadth", "mentonsellionlength",
                                                             "interpupillarybreadth"};

Survey read_survey(std::string_view sex, std::string_view correlations, std::string_view persons) {
  Survey out;
  for (const Row& row : rows_of(face_data::ansur2_head_stats_csv()))
    for (std::size_t i = 0; i < surveyed_sizes; ++i)
      if (row[0] == sex && row[1] == names[i]) {  // sex, measure, N, mean, sd, seven percentiles, min, max
        out.mean_mm[i] = number(row[3]);
        out.sd_mm[i] = number(row[4]);
        out.least_mm[i] = number(row[12]);
        out.most_mm[i] = number(row[13]);
      }
  const std::vector<Row> table = rows_of(correlations);  // symmetric: a row's place is its column's place
  const auto place = [&](std::string_view name) {
    for (std::size_t i = 0; i < table.size(); ++i)
      if (table[i][0] == name) return i;
    throw Error(ErrorCode::internal, "the survey data built into the engine lack " + std::string(name));
  };
  for (std::size_t i = 0; i < surveyed_sizes; ++i)
    for (std::size_t j = 0; j < surveyed_sizes; ++j)
      out.correlation[i][j] = number(table[place(names[i])][place(names[j]) + 1]);
  for (const Row& row : rows_of(persons))
    out.persons.push_back({number(row[0]), number(row[1]), number(row[2]), number(row[3])});
  return out;
}

}  // namespace

const Survey& survey_of(Build build) {
  static const Survey male =
      read_survey("male", face_data::ansur2_male_head_corr_csv(), face_data::ansur2_male_rows_csv());
  static const Survey female =
      read_survey("female", face_data::ansur2_female_head_corr_csv(), face_data::ansur2_female_rows_csv());
  if (build == Build::adult_mean) throw Error(ErrorCode::internal, "the survey has men and women, not their mean");
  return build == Build::adult_male ? male : female;
}

}  // namespace peepwright
