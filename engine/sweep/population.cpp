// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/sweep/population.hpp"

#include <fmt/format.h>

#include <boost/math/distributions/normal.hpp>
#include <charconv>
#include <cmath>
#include <optional>

#include "engine/face/face.hpp"
#include "engine/face/statistics.hpp"
#include "engine/face/survey.hpp"
#include "engine/quantity/attempt.hpp"
#include "engine/solid/head_shape.hpp"
#include "engine/sweep/random.hpp"

namespace peepwright {
namespace {

static_assert(surveyed_measures == surveyed_sizes);

[[noreturn]] void refuse(std::string_view text, const std::string& problem) {
  throw Error(ErrorCode::input, fmt::format("--population \"{}\": {}", quoted_start(text, 80), problem));
}

std::optional<std::uint64_t> whole_number(std::string_view text) {
  std::uint64_t value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// As callipers are read: to a tenth of a millimetre.
double read_off(double mm) { return std::round(mm * 10) / 10; }

/// Lower triangle L with L·Lᵀ = the survey's correlations.
std::array<Sizes, surveyed_sizes> triangle_of(const Survey& survey) {
  std::array<Sizes, surveyed_sizes> l{};
  for (std::size_t i = 0; i < surveyed_sizes; ++i)
    for (std::size_t j = 0; j <= i; ++j) {
      double rest = survey.correlation[i][j];
      for (std::size_t k = 0; k < j; ++k) rest -= l[i][k] * l[j][k];
      l[i][j] = i == j ? std::sqrt(rest) : rest / l[j][j];
    }
  return l;
}

/// Standard normal numbers of one person, one after the other.
class Draws {
 public:
  Draws(std::uint64_t seed, std::uint64_t person) : seed_(seed), person_(person) {}
  double normal() { return boost::math::quantile(boost::math::normal(), uniform(seed_, person_, next_++)); }

 private:
  std::uint64_t seed_, person_, next_ = 0;
};

Sizes drawn_sizes(const Survey& survey, Build build, Draws& draws) {
  static const std::array triangles{triangle_of(survey_of(Build::adult_male)),
                                    triangle_of(survey_of(Build::adult_female))};
  const auto& l = triangles[build == Build::adult_male ? 0 : 1];
  // The observed range ends 3 to 5 standard deviations out: nearly every first draw lies within it.
  while (true) {
    Sizes independent{}, out{};
    for (double& z : independent) z = draws.normal();
    bool inside = true;
    for (std::size_t i = 0; i < surveyed_sizes; ++i) {
      double z = 0;
      for (std::size_t k = 0; k <= i; ++k) z += l[i][k] * independent[k];
      out[i] = read_off(survey.mean_mm[i] + survey.sd_mm[i] * z);
      inside = inside && out[i] >= survey.least_mm[i] && out[i] <= survey.most_mm[i];
    }
    if (inside) return out;
  }
}

/// Nose tip, mouth corner and hollow about their places in a face of these sizes, by the regressions' residuals; how
/// far mouth and chin stand ahead, too, for which there are spreads only. No more than 3 deviations off, and such that
/// a head can have them. False for sizes about which no draw made a head.
bool draw_landmarks(Spec& spec, Draws& draws) {
  using enum Key;
  using enum Landmark;
  const auto face = if_possible([&] { return make_face(spec); });
  if (!face) return false;
  Spec spread = spec;
  set_face_spreads(spread);
  const auto deviation = [&](Key key) { return spread[key].uncertainty; };
  constexpr double farthest = 3;
  const auto draw = [&](double mean, Key sd) {
    double z = draws.normal();
    while (std::abs(z) > farthest) z = draws.normal();
    return read_off(mean + deviation(sd) * z);
  };
  constexpr int tries = 50;
  for (int i = 0; i < tries; ++i) {
    auto person = if_possible([&] {
      Spec drawn = spec;
      drawn.give(face_nose_tip_below_eye, draw(-face->at(pronasale).z, spread_nose_up));
      drawn.give(face_nose_tip_ahead_of_eye, draw(face->at(pronasale).x, spread_nose_ahead));
      drawn.give(face_mouth_corner_below_eye, draw(-face->at(cheilion).z, spread_mouth_up));
      drawn.give(face_mouth_width, read_off(2 * draw(face->at(cheilion).y, spread_mouth_aside)));
      drawn.give(face_hollow_below_eye, draw(-face->at(sublabiale).z, spread_hollow_up));
      for (const Key depth : {spread_mouth_ahead, spread_hollow_ahead}) drawn.give(depth, draw(0, depth));
      solid::check_face(make_face(drawn));
      return drawn;
    });
    if (!person) continue;
    spec = std::move(*person);
    return true;
  }
  return false;
}

}  // namespace

Population::Population(std::string_view text) {
  constexpr std::string_view form = "write NAME:N or NAME:N:seed, for example adult-male:1000:1";
  const auto first = text.find(':');
  if (first == std::string_view::npos) refuse(text, fmt::format("has no number of faces; {}", form));
  name_ = text.substr(0, first);
  const auto second = text.find(':', first + 1);
  const auto count =
      whole_number(text.substr(first + 1, second == std::string_view::npos ? second : second - first - 1));
  if (!count) refuse(text, fmt::format("its number of faces is no whole number; {}", form));
  size_ = *count;
  if (second != std::string_view::npos) {
    const auto seed = whole_number(text.substr(second + 1));
    if (!seed) refuse(text, fmt::format("its seed is no whole number; {}", form));
    seed_ = *seed;
  }
  if (name_ == "adult-male" || name_ == "survey-male") build_ = Build::adult_male;
  else if (name_ == "adult-female" || name_ == "survey-female") build_ = Build::adult_female;
  else
    refuse(text,
           "no such population; there are adult-male and adult-female (drawn from the survey's statistics), "
           "survey-male and survey-female (its persons, row by row). None describes children");
  rows_ = name_.starts_with("survey");
  if (rows_ && second != std::string_view::npos)
    refuse(text, "the survey's own persons take no seed; nothing is drawn");
  const std::uint64_t most = rows_ ? survey_of(build_).persons.size() : most_faces;
  if (size_ < 1 || size_ > most)
    refuse(text, fmt::format("asks for {} faces; accepted are 1 to {}{}", size_, most,
                             rows_ ? ", as many as the survey has" : ""));
}

std::string Population::text() const {
  return rows_ ? fmt::format("{}:{}", name_, size_) : fmt::format("{}:{}:{}", name_, size_, seed_);
}

std::string Population::missing() const {
  if (!rows_) return "";
  return fmt::format(
      "{} has what the survey measured of its persons, head and face sizes and pupil distance: noses, mouths and "
      "chins, "
      "and how far these stand ahead, differ less than among people, and more of them clear; adult-{} draws them",
      name_, build_ == Build::adult_male ? "male" : "female");
}

std::span<const Key> Population::measures() const {
  return std::span(face_measures).first(rows_ ? surveyed_measures : face_measures.size());
}

void Population::give_face(std::uint64_t i, Spec& spec) const {
  const Survey& survey = survey_of(build_);
  spec.build = build_;
  const auto give = [&](const Sizes& sizes) {
    for (std::size_t k = 0; k < surveyed_measures; ++k) spec.give(face_measures[k], sizes[k]);
  };
  if (rows_) return give(survey.persons.at(i));
  Draws draws(seed_, i);
  do give(drawn_sizes(survey, build_, draws));
  while (!draw_landmarks(spec, draws));
}

}  // namespace peepwright
