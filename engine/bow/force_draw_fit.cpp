// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/bow/force_draw_fit.hpp"

#include <ceres/tiny_solver.h>
#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "engine/bow/families.hpp"
#include "engine/quantity/attempt.hpp"
#include "engine/quantity/format.hpp"

namespace peepwright {

namespace {

constexpr int unknowns = 10;  // log scale, log stiffness, cable eccentricity ratio, and the seven of families.hpp
constexpr std::size_t least_readings = 6;
constexpr double walk_mm = 20;
constexpr double difference = 1e-6;    // of an unknown counted in standard uncertainties
constexpr double lost_residual = 1e3;  // standard uncertainties: what a bow that cannot be drawn gets, and refuses
constexpr double useless_fit = 0.07;   // of peak weight; a published model's agreement with measurement is 7 %
                                       // (Sports Engineering 15 (2012) 167-175)

/// Unknowns are counted in standard uncertainties from the first guess, so one step size suits all.
class Model {
 public:
  using Scalar = double;
  enum { NUM_PARAMETERS = unknowns, NUM_RESIDUALS = Eigen::Dynamic };

  Model(const CatalogueBow& bow, const std::vector<ForceDrawPoint>& table, const BowDesign& design, double stiffness,
        const FitOptions& options)
      : bow_(bow), table_(table), design_(design), stiffness_(stiffness), options_(options) {}

  [[nodiscard]] int NumResiduals() const { return static_cast<int>(table_.size()) + unknowns; }

  [[nodiscard]] std::optional<DrawCycle> cycle(const double* p) const {
    BowDesign d = design_;
    const auto& ranges = family_ranges();
    for (std::size_t k = 0; k < ranges.size(); ++k)
      if (std::ranges::find(options_.fixed, ranges[k].name) == options_.fixed.end())
        ranges[k].set(d, ranges[k].get(d) + p[3 + k] * (ranges[k].high - ranges[k].low) / std::sqrt(12.0));
    // The scale is known by nothing but the table: 15 %; stiffness 30 %; the cable's eccentricity 0.15 of its radius.
    d = scaled(d, std::exp(0.15 * p[0]),
               design_.cable_track.eccentricity_mm / design_.cable_track.radius_mm + 0.15 * p[2]);
    return if_possible([&] {  // without: a step of the solver too far; it is turned back
      check_design(d);
      return DrawCycle(bow_.axle_to_axle_mm, bow_.brace_height_mm, d, stiffness_ * std::exp(0.3 * p[1]));
    });
  }

  bool values(const double* p, double* residuals) const {
    std::fill(residuals, residuals + NumResiduals(), lost_residual);
    const auto bow = cycle(p);
    if (!bow) return false;
    std::optional<DrawState> s = bow->at_rest();
    for (std::size_t i = 0; i < table_.size(); ++i) {
      while (s && std::abs(table_[i].draw_mm - s->draw_mm) > walk_mm)
        s = bow->solve(s->draw_mm + std::copysign(walk_mm, table_[i].draw_mm - s->draw_mm), *s);
      if (s) s = bow->solve(table_[i].draw_mm, *s);
      if (!s) {
        std::fill(residuals, residuals + NumResiduals(), lost_residual);
        return false;
      }
      residuals[i] = (bow->force_n(*s) - table_[i].force_n) / options_.force_deviation_n;
    }
    for (int k = 0; k < unknowns; ++k) residuals[table_.size() + static_cast<std::size_t>(k)] = p[k];
    return true;
  }

  bool operator()(const double* p, double* residuals, double* jacobian) const {
    const bool good = values(p, residuals);
    if (!jacobian) return good;
    const int n = NumResiduals();
    std::vector<double> above(static_cast<std::size_t>(n)), below(above.size());
    std::array<double, unknowns> at{};
    for (int k = 0; k < unknowns; ++k) {
      std::copy(p, p + unknowns, at.begin());
      at[static_cast<std::size_t>(k)] = p[k] + difference;
      const bool up = values(at.data(), above.data());
      at[static_cast<std::size_t>(k)] = p[k] - difference;
      const bool down = values(at.data(), below.data());
      for (int i = 0; i < n; ++i) {
        const std::size_t at_i = static_cast<std::size_t>(i);
        jacobian[k * n + i] = up && down ? (above[at_i] - below[at_i]) / (2 * difference) : 0;
      }
    }
    return good;
  }

 private:
  CatalogueBow bow_;
  std::vector<ForceDrawPoint> table_;
  BowDesign design_;
  double stiffness_;
  FitOptions options_;
};

void check_table(const CatalogueBow& bow, const std::vector<ForceDrawPoint>& table) {
  if (table.size() < least_readings)
    throw Error(ErrorCode::input,
                fmt::format("a force-draw table of {} readings: give {} at least, in steps of at most "
                            "one inch from brace to full draw",
                            table.size(), least_readings));
  double before = bow.brace_height_mm - unit::inch_mm;
  for (std::size_t i = 0; i < table.size(); ++i) {
    const auto [draw, force] = table[i];
    if (!(std::isfinite(draw) && std::isfinite(force) && force >= 0))
      throw Error(ErrorCode::input,
                  fmt::format("reading {} of the force-draw table, {:.1f} N at {:.1f} mm: both must be "
                              "numbers, the force not negative",
                              i + 1, force, draw));
    if (!(draw > before && draw < bow.draw_length_to_pivot_mm + unit::inch_mm))
      throw Error(
          ErrorCode::input,
          fmt::format("reading {} of the force-draw table is at {} to the pivot: draws must rise from brace "
                      "height {} to the draw length {}",
                      i + 1, both_text(draw), both_text(bow.brace_height_mm), both_text(bow.draw_length_to_pivot_mm)));
    before = draw;
  }
}

}  // namespace

ForceDrawFit fit_force_draw(const CatalogueBow& bow, const std::vector<ForceDrawPoint>& table, const BowDesign& design,
                            const FitOptions& options) {
  check_catalogue(bow);
  check_table(bow, table);
  if (!(options.force_deviation_n > 0))
    throw Error(ErrorCode::input,
                fmt::format("a force uncertainty of {:.3g} N: it must be above zero", options.force_deviation_n));
  // Start from the catalogue's bow: nearer than the bare design.
  const SizedBow guess = size_to_catalogue(bow, design);
  const Model model(bow, table, guess.cycle.design(), guess.cycle.limb_stiffness_n_mm(), options);
  ceres::TinySolver<Model> solver;
  solver.options.max_num_iterations = 100;
  solver.options.gradient_tolerance = 1e-9;
  Eigen::Matrix<double, unknowns, 1> p = Eigen::Matrix<double, unknowns, 1>::Zero();
  solver.Solve(model, &p);

  const int n = model.NumResiduals();
  Eigen::VectorXd residuals = Eigen::VectorXd::Constant(n, lost_residual);
  Eigen::MatrixXd jacobian(n, unknowns);
  const auto cycle = model.cycle(p.data());
  const bool good = cycle && model(p.data(), residuals.data(), jacobian.data());
  const auto full = good ? cycle->follow(bow.draw_length_to_pivot_mm) : std::nullopt;
  const Eigen::Index readings = static_cast<Eigen::Index>(table.size());
  const double rms =
      std::sqrt(residuals.head(readings).squaredNorm() / static_cast<double>(readings)) * options.force_deviation_n;
  double highest = 0;
  for (const ForceDrawPoint& r : table) highest = std::max(highest, r.force_n);
  if (!full || !(rms < useless_fit * highest))
    throw Error(ErrorCode::input,
                fmt::format("no bow with round cams, {} axle to axle and {} brace height comes near this "
                            "force-draw table: check its units, and that draws are counted to the pivot",
                            both_text(bow.axle_to_axle_mm), both_text(bow.brace_height_mm)));

  ForceDrawFit out{cycle->design(), cycle->limb_stiffness_n_mm(), *full, cycle->force_n(*full), rms, 0};
  Eigen::VectorXd angle_by(unknowns);
  for (int k = 0; k < unknowns; ++k) {
    const auto angle = [&](double step) {
      Eigen::Matrix<double, unknowns, 1> q = p;
      q[k] += step;
      const auto c = model.cycle(q.data());
      const auto s = c ? c->follow(bow.draw_length_to_pivot_mm) : std::nullopt;
      return s ? s->leg_angle_rad : full->leg_angle_rad;
    };
    angle_by[k] = (angle(difference) - angle(-difference)) / (2 * difference);
  }
  const Eigen::MatrixXd normal = jacobian.transpose() * jacobian;
  out.leg_angle_uncertainty_rad = std::sqrt(angle_by.dot(normal.ldlt().solve(angle_by)));
  return out;
}

}  // namespace peepwright
