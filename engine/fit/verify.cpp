// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/verify.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/fit/budget.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

/// Unknowns of the re-estimate: leg angle, height the face wants, and where the peep is tied along the string.
using Unknowns = Eigen::Vector3d;
constexpr int leg = 0, wanted = 1, along = 2;

/// One observation, already divided by its standard uncertainty: residual and gradient at a given point.
struct Observation {
  std::string_view what;  ///< as a message names it
  std::string mend;       ///< what to do where it pulls
  double residual;
  Unknowns gradient;
};

/// How closely a comfortable archer's face height is known by the peep's: the posture's own tolerance.
constexpr double comfortable_mm = 3;

std::string_view named(const ReadingWords& words, std::string_view else_this) {
  return words.input.empty() ? else_this : words.input;
}

std::string_view mark_of(const TiedReading& r) { return named(r.mark_words, "the mark"); }
std::string_view height_of(const TiedReading& r) { return named(r.height_words, "the height at full draw"); }
std::string_view eye_of(const TiedReading& r) { return named(r.eye_words, "the eye above the arrow"); }

/// What to do, and by which input its result is given.
std::string by(const ReadingWords& words, std::string_view what_to_do) {
  return words.input.empty() ? std::string(what_to_do) : fmt::format("{} ({})", what_to_do, words.input);
}

void check_reading(const Spec& spec, const TiedReading& reading) {
  const auto within = [](const std::optional<Length>& value, Key like, std::string_view name, std::string_view unit) {
    if (!value) return;
    if (const auto fault = range_fault(like, value->mm(), unit))
      throw Error(ErrorCode::input, fmt::format("{}: {}", name, *fault));
  };
  if (!reading.mark && !reading.height_full_draw && !reading.eye_to_arrow)
    throw Error(ErrorCode::input, fmt::format("nothing was measured: give {}, {}, {} or several of them",
                                              mark_of(reading), height_of(reading), eye_of(reading)));
  if (reading.comfortable && !reading.height_full_draw)
    throw Error(ErrorCode::input, fmt::format("an archer is comfortable at a height, and none was measured: give {}",
                                              height_of(reading)));
  within(reading.mark, Key::tied_mark, mark_of(reading), reading.mark_words.unit);
  within(reading.height_full_draw, Key::tied_height_full_draw, height_of(reading), reading.height_words.unit);
  within(reading.eye_to_arrow, Key::face_eye_to_arrow, eye_of(reading), reading.eye_words.unit);
  if (reading.mark && reading.height_full_draw) {
    const double height_mm = reading.height_full_draw->mm(), mark_mm = reading.mark->mm();
    if (const auto fault = tied_pair_fault(spec, height_mm, mark_mm))
      throw Error(ErrorCode::input, fmt::format("{} {} and {} {} do not go together: {}", height_of(reading),
                                                both_text(height_mm), mark_of(reading), both_text(mark_mm), *fault));
  }
}

/// Refuses readings that chance would bring about once in a thousand times, naming the two that pull hardest.
void check_agreement(std::vector<Observation> all) {
  constexpr std::size_t unknowns = 3;
  if (all.size() <= unknowns) return;
  double chi_squared = 0;
  for (const Observation& o : all) chi_squared += o.residual * o.residual;
  const boost::math::chi_squared distribution(static_cast<double>(all.size() - unknowns));
  constexpr double chance = 1e-3;
  if (chi_squared <= boost::math::quantile(boost::math::complement(distribution, chance))) return;
  std::ranges::stable_sort(all, std::greater{}, [](const Observation& o) { return std::abs(o.residual); });
  throw Error(
      ErrorCode::input,
      fmt::format("what was measured does not agree with what is known: {} and {} pull apart by {:.1f} and {:.1f} "
                  "standard uncertainties. To settle it {}, or {}",
                  all[0].what, all[1].what, std::abs(all[0].residual), std::abs(all[1].residual), all[0].mend,
                  all[1].mend));
}

/// Whether what was read is the peep that the spec has tied, where it has it: then the spec's pair is the reading that
/// this one replaces, and taken twice it would count double. Of a peep at another mark the pair is a reading of its
/// own.
bool replaces_tied_pair(const Spec& spec, const TiedReading& reading) {
  constexpr double same_mark_mm = 1;
  return reading.mark && reading.height_full_draw && spec.has(Key::tied_mark) && spec.has(Key::tied_height_full_draw) &&
         std::abs(reading.mark->mm() - spec.value(Key::tied_mark)) <= same_mark_mm;
}

Spec without_tied_pair(const Spec& spec) {
  Spec out = spec;
  out.forget(Key::tied_height_full_draw);
  out.forget(Key::tied_mark);
  return out;
}

/// What is known before the reading, each with its standard uncertainty.
struct Prior {
  CoreFit fit;
  double angle_sd_rad = 0, height_sd_mm = 0;
  /// How freely the head settles behind a measured eye: no reading of the eye makes that smaller, so it is kept out of
  /// `height_sd_mm` and added at the end. 0 where the eye was not read anew.
  double posture_sd_mm = 0;
  double tied_mm = 0, tied_sd_mm = 0;  ///< the peep from the nocking point along the string
  std::string height_mend;             ///< what to do where the height pulls
};

/// The budgets of the leg angle and of the height the face wants. The two are taken as independent: H hardly knows the
/// angle (0.04 mm a degree of the leg, for the mean adult), while the mark does.
Prior prior_of(const Spec& spec, const TiedReading& reading, bool angle_is_outdated) {
  Prior out;
  out.fit = solve_core(spec);
  const Budget angle = make_budget(
      spec, [](const CoreFit& core) { return degrees(core.legs.upper_rad); }, 0);
  const Budget height = make_budget(
      spec, [](const CoreFit& core) { return core.peep_height_mm; }, out.fit.posture.peep_height_sd_mm);
  constexpr double least_angle_sd_rad = 0.05 * unit::degree_rad;
  constexpr double nothing_known_sd_rad = 15 * unit::degree_rad;
  out.angle_sd_rad =
      angle_is_outdated ? nothing_known_sd_rad : std::max(angle.combined_mm * unit::degree_rad, least_angle_sd_rad);
  out.height_sd_mm = height.combined_mm;
  if (reading.eye_to_arrow) {
    Spec seen = spec;
    seen.give(Key::face_eye_to_arrow, reading.eye_to_arrow->mm());
    out.posture_sd_mm = solve_core(seen).posture.peep_height_sd_mm;
    constexpr double least_mm = 0.1;
    if (spec.given(Key::face_eye_to_arrow))
      out.height_sd_mm =
          std::max(least_mm, std::sqrt(std::max(0.0, std::pow(out.height_sd_mm, 2) - std::pow(out.posture_sd_mm, 2))));
  }
  out.height_mend = spec.given(Key::face_eye_to_arrow)
                        ? "set archer.face.eye_to_arrow in the files right, or leave it out there"
                    : reading.eye_to_arrow
                        ? "check what the files say of the face"
                        : by(reading.eye_words,
                             "measure the eye above the arrow at full draw, settled head upright with eyes closed");
  // Without a reading of the mark the peep is taken to be tied where the fit said, as well as one ties.
  out.tied_mm = reading.mark ? reading.mark->mm() + spec.value(Key::string_nock_height) / 2 +
                                   spec.value(Key::string_stretch_at_mark)
                             : out.fit.posture.along_string_mm;
  out.tied_sd_mm =
      std::hypot(reading.mark ? reading.mark_uncertainty.mm() : tying_tolerance.mm(),
                 spec[Key::string_nock_height].uncertainty / 2, spec[Key::string_stretch_at_mark].uncertainty);
  return out;
}

std::vector<Observation> observations(const Prior& prior, const TiedReading& reading, const Unknowns& u) {
  std::vector<Observation> out;
  const auto add = [&](std::string_view what, std::string mend, double value, double sd, const Unknowns& gradient) {
    out.push_back({what, std::move(mend), value / sd, gradient / sd});
  };
  add("the string's angle as the files have it", "read the string's angle at full draw (bow.full_draw.string_angle)",
      u[leg] - prior.fit.legs.upper_rad, prior.angle_sd_rad, {1, 0, 0});
  add("the peep height that the face wants, as the files have it", prior.height_mend,
      u[wanted] - prior.fit.peep_height_mm, prior.height_sd_mm, {0, 1, 0});
  if (reading.mark)
    add("the mark", by(reading.mark_words, "measure the mark again"), u[along] - prior.tied_mm, prior.tied_sd_mm,
        {0, 0, 1});
  else
    add("the mark of the fit (none was measured)", by(reading.mark_words, "give the mark that is tied"),
        u[along] - prior.tied_mm, prior.tied_sd_mm, {0, 0, 1});
  if (reading.height_full_draw) {
    const double h = reading.height_full_draw->mm(), bend = prior.fit.legs.bend_mm;
    add("the height at full draw",
        by(reading.height_words, "measure the height again, to the peep's centre and square to the arrow"),
        bend + (u[along] - bend) * std::sin(u[leg]) - h, reading.height_uncertainty.mm(),
        {(u[along] - bend) * std::cos(u[leg]), 0, std::sin(u[leg])});
    if (reading.comfortable)
      add("an archer comfortable at that height", "ask the archer again", u[wanted] - h, comfortable_mm, {0, 1, 0});
  }
  if (reading.eye_to_arrow) {
    // The eye stands above the peep by what the line of sight rises between them.
    const double rise = (prior.fit.peep.x - prior.fit.posture.pupil.x) * std::tan(prior.fit.line_down_rad);
    add("the eye above the arrow", by(reading.eye_words, "measure the eye above the arrow again"),
        u[wanted] + rise - reading.eye_to_arrow->mm(), reading.eye_uncertainty.mm(), {0, 1, 0});
  }
  return out;
}

struct Estimate {
  Unknowns value;
  Eigen::Matrix3d covariance;
};

/// Weighted least squares by Gauss and Newton.
Estimate estimate(const Prior& prior, const TiedReading& reading) {
  Unknowns u(prior.fit.legs.upper_rad, prior.fit.peep_height_mm, prior.tied_mm);
  Eigen::Matrix3d normal;
  for (int turn = 0; turn < 50; ++turn) {
    normal.setZero();
    Unknowns right = Unknowns::Zero();
    for (const Observation& o : observations(prior, reading, u)) {
      normal += o.gradient * o.gradient.transpose();
      right -= o.gradient * o.residual;
    }
    const Unknowns step = normal.ldlt().solve(right);
    u += step;
    if (step.cwiseAbs().maxCoeff() < 1e-11) break;
  }
  return {u, normal.inverse()};
}

}  // namespace

MoveVerdict verdict_on_move(double move_mm, double uncertainty_mm) {
  if (std::abs(move_mm) <= tying_tolerance.mm()) return MoveVerdict::leave;
  return std::abs(move_mm) <= uncertainty_mm ? MoveVerdict::not_sure_enough : MoveVerdict::move;
}

Verification verify_tied(const Spec& given, const TiedReading& typed) {
  TiedReading reading = typed;
  if (!reading.mark && given.has(Key::tied_mark)) {
    reading.mark = Length::mm(given.value(Key::tied_mark));
    reading.mark_uncertainty = Length::mm(given[Key::tied_mark].uncertainty);
  }
  check_reading(given, reading);
  const std::vector<StringLegs> sources = all_string_legs(given);
  const bool pair_stands_alone = sources.size() == 1 && sources.front().source == LegSource::tied_peep;
  const bool read_anew = replaces_tied_pair(given, reading);
  const Spec spec = read_anew && !pair_stands_alone ? without_tied_pair(given) : given;
  // Where the old pair is the only source of the angle and both were read anew, nothing is known of it beforehand.
  const Prior prior = prior_of(spec, reading, read_anew && pair_stands_alone);
  auto [u, covariance] = estimate(prior, reading);
  check_agreement(observations(prior, reading, u));
  covariance(wanted, wanted) += prior.posture_sd_mm * prior.posture_sd_mm;

  Verification out;
  out.reading = reading;
  out.leg_angle_before_rad = prior.fit.legs.upper_rad;
  out.leg_angle_rad = u[leg];
  out.leg_angle_sd_rad = std::sqrt(covariance(leg, leg));
  out.wanted_height_before_mm = prior.fit.peep_height_mm;
  out.wanted_height_mm = u[wanted];
  out.wanted_height_sd_mm = std::sqrt(covariance(wanted, wanted));
  const double half_nock = spec.value(Key::string_nock_height) / 2, stretch = spec.value(Key::string_stretch_at_mark);
  const double bend = prior.fit.legs.bend_mm;
  const double sine = std::sin(u[leg]), better_along = along_of_height_mm(u[wanted], u[leg], bend);
  out.tied_mark_mm = u[along] - stretch - half_nock;
  out.better_mark_mm = better_along - stretch - half_nock;
  out.move_mm = better_along - u[along];
  const Unknowns move_gradient(-(u[wanted] - bend) * std::cos(u[leg]) / (sine * sine), 1 / sine, -1);
  out.move_uncertainty_mm = 2 * std::sqrt(move_gradient.dot(covariance * move_gradient));
  out.face_decides =
      std::abs(move_gradient[wanted]) * out.wanted_height_sd_mm > std::abs(move_gradient[leg]) * out.leg_angle_sd_rad;
  out.tolerance_mm = tying_tolerance.mm();
  out.verdict = verdict_on_move(out.move_mm, out.move_uncertainty_mm);
  return out;
}

}  // namespace peepwright
