// SPDX-License-Identifier: GPL-3.0-or-later
// Faces for the tests of solids, made from the data files alone.
#pragma once

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "engine/face/landmark.hpp"

namespace peepwright::test {

inline std::vector<std::string> fields(const std::string& line) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    else if (c == ',' && !quoted) out.emplace_back();
    else out.back() += c;
  }
  return out;
}

/// "adult-male" or "adult-female": the mean landmarks of the data file.
inline Face mean_face(const std::string& build) {
  std::ifstream in(std::string(PEEPWRIGHT_SOURCE_DIR) + "/engine/face/data/face-landmarks.csv");
  Face face;
  std::size_t found = 0;
  for (std::string line; std::getline(in, line);) {
    const auto f = fields(line);
    if (f.size() < 5 || f[0] != build) continue;
    for (std::size_t i = 0; i < landmark_count; ++i)
      if (name_of(static_cast<Landmark>(i)) == f[1]) {
        face.places[i] = {std::stod(f[2]), std::stod(f[3]), std::stod(f[4])};
        ++found;
      }
  }
  if (found != landmark_count) throw std::runtime_error("the landmarks of " + build + " were not read");
  return face;
}

/// What a head row of the survey gives, mm.
struct HeadMeasures {
  double length, breadth, bizygomatic, face_length, pupil_distance, tragion_to_top;
};

/// The mean face stretched to other measures. Lengths ahead of the eyes and behind them scale alike; heights scale by
/// the face below the nose root and by the skull above it; widths by the part of the head that they belong to.
inline Face stretched(const Face& mean, const HeadMeasures& to) {
  using enum Landmark;
  Face f = mean;
  const double by_length = to.length / (mean.at(glabella).x - mean.at(opisthocranion).x);
  const double by_face = to.face_length / (mean.at(sellion).z - mean.at(menton).z);
  const double top = mean.at(vertex).z - mean.at(tragion).z;
  const double by_skull = (to.tragion_to_top + mean.at(tragion).z * by_face) / (top + mean.at(tragion).z);
  const double by_cheek = to.bizygomatic / (2 * mean.at(zygion).y),
               by_skull_width = to.breadth / (2 * mean.at(eurion).y);
  const double by_eyes = to.pupil_distance / (2 * mean.at(pupil).y);
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const auto l = static_cast<Landmark>(i);
    Point3& p = f.places[i];
    const bool eye = l == pupil || l == corneal_apex;
    if (!eye) p.x *= by_length;
    p.z *= p.z > mean.at(sellion).z ? by_skull : by_face;
    p.y *= eye || l == endocanthion || l == exocanthion ? by_eyes : l == eurion ? by_skull_width : by_cheek;
  }
  f.head_length_mm = to.length;
  f.head_breadth_mm = to.breadth;
  f.face_length_mm = to.face_length;
  f.jaw_breadth_mm = 2 * f.at(gonion).y;
  return f;
}

struct SurveyRow {
  std::string build;
  HeadMeasures measures;
};

/// All people of the survey's head table (tests/data/ansur2_head_rows.csv; ANSUR II, public release).
inline std::vector<SurveyRow> survey_rows() {
  std::ifstream in(std::string(PEEPWRIGHT_SOURCE_DIR) + "/tests/data/ansur2_head_rows.csv");
  std::vector<SurveyRow> rows;
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    const auto f = fields(line);
    rows.push_back({f.at(0),
                    {std::stod(f.at(1)), std::stod(f.at(2)), std::stod(f.at(3)), std::stod(f.at(4)), std::stod(f.at(5)),
                     std::stod(f.at(6))}});
  }
  return rows;
}

}  // namespace peepwright::test
