// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/spec/spec.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/format.hpp"

namespace peepwright {

std::string_view text_of(Build build) {
  switch (build) {
    case Build::adult_mean: return "adult mean of both builds";
    case Build::adult_male: return "adult-male";
    case Build::adult_female: return "adult-female";
  }
  return "";
}

std::string_view text_of(Hand hand) { return hand == Hand::right ? "right" : "left"; }

std::string joined_labels(std::initializer_list<std::string_view> labels, std::string_view between) {
  std::string out;
  for (const std::string_view label : labels) {
    if (label.empty()) continue;
    if (!out.empty()) out += between;
    out += label;
  }
  return out;
}

bool ScanSource::gives(Key key) const {
  // Marks of either side count: "gonion_left" for "gonion".
  const auto picked = [&](std::string_view landmark) {
    return std::ranges::any_of(marks, [&](const ScanMark& mark) { return mark.name.starts_with(landmark); });
  };
  using enum Key;
  switch (key) {
    case face_pupil_distance: return picked("pupil");
    case face_nose_tip_below_eye:
    case face_nose_tip_ahead_of_eye: return picked("pronasale");
    case face_mouth_corner_below_eye:
    case face_mouth_width: return picked("cheilion");
    case face_hollow_below_eye: return picked("sublabiale");
    case face_chin_below_eye: return picked("pogonion");
    case face_face_length: return picked("sellion") && picked("menton");
    case face_jaw_breadth: return picked("gonion");
    case face_head_length:
    case face_head_breadth: return true;  // of the skin alone
    default: return false;
  }
}

Spec::Spec() {
  for (const KeyInfo& row : all_keys()) forget(row.key);
  // Bores that peeps are commonly drilled to; common practice, no source.
  for (const int thirty_seconds : {1, 2, 3, 4, 5, 6, 8}) peep_bores.push_back(Length::in(thirty_seconds / 32.0));
  // Skin gives: where the tip of a nose just touches a string, its flank is pressed by a millimetre or two.
  wanted_string_nose = {Length::mm(-2), Length::mm(3)};
  wanted_string_mouth = {Length::mm(-3), Length::mm(4)};
}

std::optional<double> Spec::maybe(Key key) const {
  if (!has(key)) return std::nullopt;
  return value(key);
}

std::optional<std::string> range_fault(Key key, double internal_value, std::string_view unit) {
  const KeyInfo& row = info_of(key);
  // The ends are written in one unit and typed in another: 304.8 mm is 12 in but for a rounding.
  constexpr double rounding = 1e-12;
  if (internal_value >= row.least - rounding * std::abs(row.least) &&
      internal_value <= row.most + rounding * std::abs(row.most))
    return std::nullopt;
  return fmt::format("{} cannot be; accepted is {}", text_as_written(internal_value, row.dimension, unit),
                     range_as_written(row.least, row.most, row.dimension, unit));
}

void Spec::give(Key key, double internal_value, const Location& where, std::string_view unit) {
  const KeyInfo& row = info_of(key);
  if (const auto fault = range_fault(key, internal_value, unit)) {
    std::string hint;
    if (row.dimension == Dimension::ratio) hint = ", or as a percentage in quotes, for example \"80 %\"";
    else if (key == Key::full_draw_string_angle && !range_fault(key, 2 * internal_value))
      hint = fmt::format(". Is that one leg's angle to the arrow? Wanted is the one between both legs, {}",
                         text_as_written(2 * internal_value, row.dimension, unit));
    throw Error(ErrorCode::input, where, fmt::format("{}: {}{}", row.path, *fault, hint));
  }
  Input& input = inputs_[index_of(key)];
  input.value = std::clamp(internal_value, row.least, row.most);
  input.status = Status::given;
  input.where = where;
  input.unit = unit;
  if (row.absence != Absence::chosen) input.uncertainty = row.measured_uncertainty;
}

void Spec::assume(Key key, double internal_value, double standard_uncertainty, std::string_view reason) {
  Input& input = inputs_[index_of(key)];
  if (input.status == Status::given) return;
  input.value = internal_value;
  input.status = Status::assumed;
  input.reason = reason;
  set_uncertainty(key, standard_uncertainty);
}

void Spec::forget(Key key) {
  const KeyInfo& row = info_of(key);
  Input& input = inputs_[index_of(key)];
  input = {};
  if (row.absence == Absence::required || row.absence == Absence::optional) return;
  input.value = row.fallback;
  input.uncertainty = row.assumed_uncertainty;
  input.status = row.absence == Absence::chosen ? Status::chosen : Status::assumed;
}

void Spec::suit_assumptions() {
  suit_assumed_arrow();
  // Knots that nobody measured sit right above and below the nock, however high that is.
  const KeyInfo& knots = info_of(Key::string_knots_apart);
  constexpr double both_knots_mm = 4;
  const double least_mm = value(Key::string_nock_height) + both_knots_mm;
  if (!given(knots.key) && least_mm > value(knots.key))
    assume(knots.key, least_mm, knots.assumed_uncertainty, "the nock and 4 mm; common practice, no source");
}

void Spec::suit_assumed_arrow() {
  const KeyInfo& row = info_of(Key::arrow_length);
  if (given(row.key) || !has(Key::bow_draw_length)) return;
  const double least_mm = std::min(pivot_x().mm() + unit::inch_mm, row.most),
               wanted_mm = std::max(row.fallback, least_mm);
  if (wanted_mm == value(row.key)) return;
  assume(row.key, wanted_mm, row.assumed_uncertainty,
         wanted_mm > row.fallback ? "an inch ahead of the grip's pivot at full draw" : row.reason);
}

void Spec::set_uncertainty(Key key, double standard_uncertainty, bool by_person) {
  Input& input = inputs_[index_of(key)];
  if (input.uncertainty_given && !by_person) return;
  input.uncertainty = standard_uncertainty;
  input.uncertainty_given = by_person;
}

Length Spec::draw_offset() const {
  // ATA/AMO FP-3 (2000), ASTM F1880-09: the catalogue's draw length is to the pivot plus 1 3/4 in.
  return draw_length_includes_offset ? Length::in(1.75) : Length();
}

Length Spec::pivot_x() const { return to_pivot(Length::mm(value(Key::bow_draw_length))); }

}  // namespace peepwright
