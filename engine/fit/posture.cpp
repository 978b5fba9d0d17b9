// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/posture.hpp"

#include <ceres/tiny_solver.h>
#include <ceres/tiny_solver_autodiff_function.h>

#include <Eigen/Dense>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"

namespace peepwright {
namespace {

constexpr int unknown_count = 7;  // pupil x, y, z; yaw, pitch, roll; s
constexpr double deg = unit::degree_rad;

/// How well each target is kept (standard deviations), and how far the head gives way to a peep that is tied.
constexpr double eye_mm = 0.2, nose_mm = 2, mouth_mm = 4, measured_height_mm = 1, hollow_height_mm = 3,
                 tied_height_mm = 6, tied_peep_mm = 0.2, upright_rad = 2 * deg, yaw_rad = 30 * deg,
                 yaw_spread_rad = 15 * deg;

template <class T>
struct Vector3 {
  T x, y, z;
};

/// Rz(yaw) Ry(pitch) Rx(roll). Yaw counts toward the string side (right of the target for a right-handed
/// archer), pitch chin up, roll with the crown toward the string side.
template <class T>
class Turn {
 public:
  Turn(const T& yaw, const T& pitch, const T& roll)
      : sy_(sine(yaw)), cy_(cosine(yaw)), sp_(sine(pitch)), cp_(cosine(pitch)), sr_(sine(roll)), cr_(cosine(roll)) {}

  Vector3<T> operator()(const Vector3<double>& p) const {
    const T y1 = cr_ * p.y - sr_ * p.z, z1 = sr_ * p.y + cr_ * p.z;
    const T x2 = cp_ * p.x - sp_ * z1, z2 = sp_ * p.x + cp_ * z1;
    return {cy_ * x2 + sy_ * y1, cy_ * y1 - sy_ * x2, z2};
  }

 private:
  static T sine(const T& angle) {
    using std::sin;
    return sin(angle);
  }
  static T cosine(const T& angle) {
    using std::cos;
    return cos(angle);
  }
  T sy_, cy_, sp_, cp_, sr_, cr_;
};

/// Points of the face that the posture hangs on, from the aiming (right) pupil, head frame.
struct FacePoints {
  Vector3<double> nose, mouth, hollow;
};

Vector3<double> from_right_pupil(const Face& face, Point3 p) {
  const Point3 eye = mirrored(face.at(Landmark::pupil));
  return {p.x - eye.x, p.y - eye.y, p.z - eye.z};
}

FacePoints points_of(const Face& face) {
  return {from_right_pupil(face, face.at(Landmark::pronasale)),
          from_right_pupil(face, mirrored(face.at(Landmark::cheilion))),
          from_right_pupil(face, face.at(Landmark::sublabiale))};
}

struct Cost {
  enum { NUM_RESIDUALS = static_cast<int>(residual_count), NUM_PARAMETERS = unknown_count };
  using Scalar = double;

  const FacePoints& points;
  const PostureInput& input;
  double sin_leg, cos_leg, tan_line;

  Cost(const FacePoints& p, const PostureInput& i)
      : points(p),
        input(i),
        sin_leg(std::sin(i.leg_angle_rad)),
        cos_leg(std::cos(i.leg_angle_rad)),
        tan_line(std::tan(i.line_down_rad)) {}

  /// Distance from the string's axis in the bow plane, positive on the face's side.
  template <class T>
  T off_string(const Vector3<T>& p) const {
    return (p.z - input.bend_mm) * cos_leg - p.x * sin_leg;
  }

  template <class T>
  bool operator()(const T* u, T* r) const {
    const auto put = [&](Residual name, const T& off, double tolerance) {
      r[static_cast<std::size_t>(name)] = off / tolerance;
    };
    const T &x = u[0], &y = u[1], &z = u[2], &along = u[6];
    const T up = along - input.bend_mm, peep_x = up * cos_leg, peep_z = input.bend_mm + up * sin_leg;
    put(Residual::eye_sideways, y, eye_mm);
    put(Residual::eye_on_line, z - (peep_z + (peep_x - x) * tan_line), eye_mm);
    const Turn<T> turn(u[3], u[4], u[5]);
    const auto in_bow = [&](const Vector3<double>& p) {
      const Vector3<T> turned = turn(p);
      return Vector3<T>{turned.x + u[0], turned.y + u[1], turned.z + u[2]};
    };
    const Vector3<T> nose = in_bow(points.nose), mouth = in_bow(points.mouth);
    put(Residual::nose_sideways, nose.y, nose_mm);
    put(Residual::nose_on_string, off_string(nose) - input.string_radius_mm, nose_mm);
    put(Residual::mouth_sideways, mouth.y, mouth_mm);
    put(Residual::mouth_on_string, off_string(mouth) - input.serving_radius_mm, mouth_mm);
    const bool tied = input.tied_along_mm.has_value();
    if (input.eye_to_arrow_mm)
      put(Residual::arrow_height, z - *input.eye_to_arrow_mm, tied ? tied_height_mm : measured_height_mm);
    else put(Residual::arrow_height, in_bow(points.hollow).z, tied ? tied_height_mm : hollow_height_mm);
    put(Residual::yaw, u[3] - yaw_rad, yaw_spread_rad);
    put(Residual::pitch, u[4], upright_rad);
    put(Residual::roll, u[5], upright_rad);
    if (tied) put(Residual::peep_tied, along - *input.tied_along_mm, tied_peep_mm);
    else r[static_cast<std::size_t>(Residual::peep_tied)] = T(0);
    return true;
  }
};

constexpr std::array<ResidualInfo, residual_count> infos{{{"eye beside the bow plane", "mm"},
                                                          {"eye off the line of sight", "mm"},
                                                          {"nose tip beside the string", "mm"},
                                                          {"nose tip off the string", "mm"},
                                                          {"mouth corner beside the string", "mm"},
                                                          {"mouth corner off the string", "mm"},
                                                          {"arrow off its height on the face", "mm"},
                                                          {"head nods", "deg"},
                                                          {"head leans", "deg"},
                                                          {"head turn against 30 deg", "deg"},
                                                          {"peep off where it is tied", "mm"}}};

std::array<double, residual_count> tolerances_for(const PostureInput& input) {
  const bool tied = input.tied_along_mm.has_value();
  const double height = tied ? tied_height_mm : input.eye_to_arrow_mm ? measured_height_mm : hollow_height_mm;
  return {eye_mm, eye_mm,      nose_mm,     nose_mm,        mouth_mm,    mouth_mm,
          height, upright_rad, upright_rad, yaw_spread_rad, tied_peep_mm};
}

}  // namespace

const ResidualInfo& info_of(Residual residual) { return infos[static_cast<std::size_t>(residual)]; }

std::string_view verdict_of(const Posture& posture, Residual residual) {
  const auto i = static_cast<std::size_t>(residual);
  const double parts = std::abs(posture.off[i]) / posture.tolerance[i];
  return parts <= 1 ? "as wanted" : parts <= 3 ? "strained" : "forced";
}

Point3 Posture::to_bow(const Face& face, Point3 in_head) const {
  const Vector3<double> r = Turn<double>(yaw_rad, pitch_rad, roll_rad)(from_right_pupil(face, in_head));
  return {r.x + pupil.x, r.y + pupil.y, r.z + pupil.z};
}

namespace {

using Unknowns = Eigen::Matrix<double, unknown_count, 1>;
using Function = ceres::TinySolverAutoDiffFunction<Cost, static_cast<int>(residual_count), unknown_count>;

/// Where Gauss–Newton's steps have ended, and what was there.
struct Polished {
  Unknowns u;
  Eigen::Matrix<double, static_cast<int>(residual_count), 1> residuals;
  Eigen::LDLT<Eigen::Matrix<double, unknown_count, unknown_count>> normal;
  bool settled = false;
};

Polished polished(Function& function, const Unknowns& from, int most_steps) {
  constexpr double settled = 1e-10;  // mm and rad
  Polished out;
  out.u = from;
  Eigen::Matrix<double, static_cast<int>(residual_count), unknown_count> jacobian;
  for (int i = 0; i < most_steps && !out.settled && out.u.allFinite(); ++i) {
    function(out.u.data(), out.residuals.data(), jacobian.data());
    // Products of such small matrices cost less than their being made ready for fast ones.
    out.normal.compute(jacobian.transpose().lazyProduct(jacobian));
    const Unknowns step = out.normal.solve(-jacobian.transpose().lazyProduct(out.residuals));
    out.u += step;
    out.settled = step.cwiseAbs().maxCoeff() < settled;
  }
  return out;
}

/// From a place near the answer: the eye as high as the arrow's place on the face asks, a hand's breadth behind the
/// string. The solver stops at a small change of the cost. Sensitivities are differences of whole solves and want more
/// digits than that: Gauss–Newton steps, cheap and near the answer sure, go on to the last ones.
Polished from_afar(Function& function, const Cost& cost) {
  const PostureInput& input = cost.input;
  const double bend = input.bend_mm;
  const double height = input.tied_along_mm     ? bend + (*input.tied_along_mm - bend) * cost.sin_leg
                        : input.eye_to_arrow_mm ? *input.eye_to_arrow_mm
                                                : -cost.points.hollow.z;
  const double up = (height - bend) / cost.sin_leg;
  constexpr double behind_mm = 85;
  Unknowns u;
  u << up * cost.cos_leg - behind_mm, 0, height, 40 * deg, 0, 0, bend + up;
  ceres::TinySolver<Function> solver;
  solver.Solve(function, &u);
  constexpr int most_steps = 60;
  return polished(function, u, most_steps);
}

}  // namespace

Posture solve_posture(const Face& face, const PostureInput& input, const Posture* near) {
  const FacePoints points = points_of(face);
  const Cost cost(points, input);
  Function function(cost);
  Polished found;
  if (near) {
    Unknowns u;
    u << near->pupil.x, near->pupil.y, near->pupil.z, near->yaw_rad, near->pitch_rad, near->roll_rad,
        near->along_string_mm;
    constexpr int few_steps = 12;
    found = polished(function, u, few_steps);
  }
  if (!found.settled) found = from_afar(function, cost);
  if (!found.settled || !found.u.allFinite())
    throw Error(ErrorCode::input,
                "no posture fits this face and this string; check the face measures and the string angle");
  const Unknowns& u = found.u;
  const auto& r = found.residuals;

  Posture out;
  out.pupil = {u[0], u[1], u[2]};
  out.yaw_rad = u[3], out.pitch_rad = u[4], out.roll_rad = u[5];
  out.along_string_mm = u[6];
  const auto tolerance = tolerances_for(input);
  for (std::size_t i = 0; i < residual_count; ++i) {
    const double to_unit = infos[i].unit == "deg" ? 1 / deg : 1;
    out.tolerance[i] = tolerance[i] * to_unit;
    out.off[i] = r[static_cast<int>(i)] * out.tolerance[i];
  }
  const Eigen::Matrix<double, unknown_count, unknown_count> covariance =
      found.normal.solve(Eigen::Matrix<double, unknown_count, unknown_count>::Identity());
  out.pupil_sd = {std::sqrt(covariance(0, 0)), std::sqrt(covariance(1, 1)), std::sqrt(covariance(2, 2))};
  out.along_string_sd_mm = std::sqrt(covariance(6, 6));
  out.peep_height_sd_mm = out.along_string_sd_mm * cost.sin_leg;
  out.nose_gap_mm = out.off[static_cast<std::size_t>(Residual::nose_on_string)];
  out.mouth_gap_mm = out.off[static_cast<std::size_t>(Residual::mouth_on_string)];
  return out;
}

}  // namespace peepwright
