// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/head_shape.hpp"

#include <Eigen/Dense>
#include <cmath>
#include <limits>
#include <memory>
#include <mutex>

#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

// Adult male means; the template was drawn around them, so this only says which of its points is which landmark.
struct TemplateLandmark {
  Landmark landmark;
  Point3 place;
};
constexpr TemplateLandmark template_landmarks[] = {
    {Landmark::glabella, {17.9, 0, 20.7}},
    {Landmark::sellion, {15.2, 0, 4.9}},
    {Landmark::pronasale, {37.4, 0, -35.0}},
    {Landmark::alare, {18.1, 18.9, -38.5}},
    {Landmark::subnasale, {21.8, 0, -45.0}},
    {Landmark::labrale_superius, {22.8, 0, -60.5}},
    {Landmark::stomion, {17.7, 0, -69.4}},
    {Landmark::cheilion, {3.7, 25.8, -71.0}},
    {Landmark::labrale_inferius, {20.2, 0, -77.8}},
    {Landmark::sublabiale, {10.8, 0, -88.6}},
    {Landmark::pogonion, {12.4, 0, -97.0}},
    {Landmark::menton, {0.7, 0, -115.1}},
    {Landmark::gonion, {-64.2, 59.5, -81.0}},
    {Landmark::tragion, {-82.8, 72.4, -14.1}},
    {Landmark::orbitale, {-0.9, 34.2, -13.9}},
    {Landmark::ectoorbitale, {-21.7, 60.9, -1.3}},
    {Landmark::exocanthion, {-7.5, 45.9, -1.3}},
    {Landmark::endocanthion, {-1.7, 16.6, -3.4}},
    {Landmark::zygion, {-49.2, 71.3, -14.3}},
    {Landmark::frontotemporale, {-7.2, 52.5, 26.5}},
    {Landmark::crinion, {1.7, 0, 75.2}},
    {Landmark::vertex, {-93.0, 0, 116.9}},
    {Landmark::opisthocranion, {-181.8, 0, 21.0}},
    {Landmark::eurion, {-99.0, 77.2, 40.0}},
};

double distance2(const Point3& a, const Point3& b) { return dot(a - b, a - b); }

/// The template as a surface of the same make as every skin: bending its points then keeps the landmarks in place
/// also between grid points.
const Skin& template_skin() {
  static const Skin skin = [] {
    constexpr std::size_t across = Skin::default_across, down = Skin::default_down;
    std::vector<Point3> grid(across * down);
    for (std::size_t j = 0; j < down; ++j)
      for (std::size_t i = 0; i <= across / 2; ++i) {
        Point3 p = template_point({double(i) / double(across), double(j) / double(down - 1)});
        if (i == 0 || 2 * i == across) p.y = 0;
        grid[j * across + i] = p;
        if (i > 0) grid[j * across + (across - i)] = i == across / 2 ? p : mirrored(p);
      }
    // A fold narrower than two grid steps (an eyelid's edge) would ring: weights 1, 2, 1 both ways take out exactly
    // the shortest wave that the grid carries.
    std::vector<Point3> calm = grid;
    for (std::size_t j = 1; j + 1 < down; ++j)
      for (std::size_t i = 0; i < across; ++i) {
        const auto row = [&](std::size_t r) {
          const Point3 *left = &grid[r * across + (i + 1) % across],
                       *right = &grid[r * across + (i + across - 1) % across];
          return 0.25 * (*left + *right) + 0.5 * grid[r * across + i];
        };
        calm[j * across + i] = 0.25 * (row(j - 1) + row(j + 1)) + 0.5 * row(j);
      }
    return Skin(calm, across, down);
  }();
  return skin;
}

/// Nearest template point, by a coarse look over the half head and a shrinking search. Midline landmarks stay on
/// the midline.
SkinParameter nearest_on_template(const Point3& place) {
  const bool midline = place.y == 0;
  const bool behind = midline && place.x < -93;
  SkinParameter best;
  double least = std::numeric_limits<double>::infinity();
  const auto consider = [&](SkinParameter at) {
    if (at.t < 0 || at.t > 1 || at.u < 0 || at.u > 0.5) return;
    const double d = distance2(template_skin().point(at), place);
    if (d < least) least = d, best = at;
  };
  constexpr int steps = 120;
  for (int j = 0; j <= steps; ++j) {
    const double t = double(j) / steps;
    if (midline) consider({behind ? 0.5 : 0.0, t});
    else
      for (int i = 1; i < steps; ++i) consider({0.5 * i / steps, t});
  }
  for (double step = 1.0 / steps; step > 1e-10; step *= 0.7) {
    const SkinParameter from = best;
    consider({from.u, from.t - step});
    consider({from.u, from.t + step});
    if (midline) continue;
    for (const double side : {-0.5 * step, 0.5 * step})
      for (const double down : {-step, 0.0, step}) consider({from.u + side, from.t + down});
  }
  return best;
}

struct Site {
  Landmark landmark;
  SkinParameter at;
  Point3 on_template;
};

const std::vector<Site>& sites() {
  static const std::vector<Site> all = [] {
    std::vector<Site> list;
    for (const TemplateLandmark& l : template_landmarks) {
      // The crown's very top is the flat cap at t = 0; its rim is as good as its middle.
      const SkinParameter at = l.landmark == Landmark::vertex ? SkinParameter{0, 0} : nearest_on_template(l.place);
      Point3 p = template_skin().point(at);
      if (l.place.y == 0) p.y = 0;
      list.push_back({l.landmark, at, p});
    }
    return list;
  }();
  return all;
}

/// The bend at distance sqrt(r2) from a landmark: a multiquadric, which is smooth at the landmark and grows no
/// faster than the distance, so that it stays tame at the neck. The softness is about the size of a lip.
double kernel(double r2) { return std::sqrt(r2 + 18.0 * 18.0); }

}  // namespace

const std::vector<Landmark>& skin_landmarks() {
  static const std::vector<Landmark> all = [] {
    std::vector<Landmark> list;
    for (const TemplateLandmark& l : template_landmarks) list.push_back(l.landmark);
    return list;
  }();
  return all;
}

SkinParameter landmark_parameter(Landmark landmark) {
  for (const Site& site : sites())
    if (site.landmark == landmark) return site.at;
  return {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::quiet_NaN()};
}

HeadShape::HeadShape(const Face& face) : face_(face) {
  check_face(face);
  const Point3& apex = face.at(Landmark::corneal_apex);
  eye_ = {{apex.x - eyeball_radius_mm, face.at(Landmark::pupil).y, apex.z}, eyeball_radius_mm};

  std::vector<std::pair<Point3, Point3>> pins;  // from the template to the person
  const auto pin = [&](const Point3& from, const Point3& to) {
    pins.emplace_back(from, to);
    if (from.y != 0) pins.emplace_back(mirrored(from), mirrored(to));
  };
  for (const Site& site : sites()) pin(site.on_template, face.at(site.landmark));
  // The side of the skull above the ear and ahead of it is as wide as its widest point says, whatever the cheeks below
  // are.
  const Point3 widest = face.at(Landmark::eurion),
               widest_before = template_skin().point(landmark_parameter(Landmark::eurion));
  struct Step {
    double ahead, down;
  };
  for (const Step step : {Step{0, -0.012}, {0, 0.022}, {0.045, 0.008}}) {
    const SkinParameter at = landmark_parameter(Landmark::eurion);
    const Point3 p = template_skin().point({at.u - step.ahead, at.t + step.down});
    pin(p, {p.x + widest.x - widest_before.x, p.y * widest.y / widest_before.y, p.z + widest.z - widest_before.z});
  }
  // The lids go where the eyeball goes.
  for (const double up : {-9.0, 0.0, 9.0}) {
    const Point3 on_lid{3.0 - 0.03 * up * up, 0, up};
    pin({on_lid.x, template_eye_centre.y, on_lid.z},
        {eye_.centre.x - template_eye_centre.x + on_lid.x, eye_.centre.y, eye_.centre.z + on_lid.z});
  }

  const Eigen::Index n = Eigen::Index(pins.size());
  Eigen::MatrixXd system = Eigen::MatrixXd::Zero(n + 4, n + 4);
  Eigen::MatrixXd target = Eigen::MatrixXd::Zero(n + 4, 3);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto& [from, to] = pins[std::size_t(i)];
    for (Eigen::Index j = 0; j < n; ++j) system(i, j) = kernel(distance2(from, pins[std::size_t(j)].first));
    const double linear[] = {1, from.x, from.y, from.z};
    for (Eigen::Index k = 0; k < 4; ++k) system(i, n + k) = system(n + k, i) = linear[k];
    target.row(i) << to.x, to.y, to.z;
  }
  const Eigen::MatrixXd solved = system.partialPivLu().solve(target);
  for (Eigen::Index i = 0; i < n; ++i)
    bends_.push_back({pins[std::size_t(i)].first, {solved(i, 0), solved(i, 1), solved(i, 2)}});
  for (Eigen::Index k = 0; k < 4; ++k) affine_[std::size_t(k)] = {solved(n + k, 0), solved(n + k, 1), solved(n + k, 2)};
}

namespace {

/// The bends' kernels, and 1, x, y, z, at the template's points of a grid's left half, a row each: the template and the
/// landmarks on it are the same for every head, so a grid is this matrix times a head's weights.
struct GridKernels {
  std::size_t across = 0, down = 0;
  Eigen::MatrixXd at;
};

const Eigen::MatrixXd& kernels_of(std::size_t across, std::size_t down, const std::vector<Point3>& centres) {
  static std::mutex guard;
  static std::vector<std::unique_ptr<GridKernels>> known;
  const std::lock_guard lock(guard);
  for (const auto& k : known)
    if (k->across == across && k->down == down) return k->at;
  const std::vector<Point3> points = template_skin().sample(across, down);
  const std::size_t half = across / 2 + 1, n = centres.size();
  Eigen::MatrixXd at{Eigen::Index(half * down), Eigen::Index(n + 4)};
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < half; ++i) {
      const Point3& p = points[j * across + i];
      const auto row = Eigen::Index(j * half + i);
      for (std::size_t k = 0; k < n; ++k) at(row, Eigen::Index(k)) = kernel(distance2(p, centres[k]));
      at.row(row).tail(4) << 1, p.x, p.y, p.z;
    }
  known.push_back(std::make_unique<GridKernels>(GridKernels{across, down, std::move(at)}));
  return known.back()->at;
}

}  // namespace

std::vector<Point3> HeadShape::grid(std::size_t across, std::size_t down) const {
  const auto n = Eigen::Index(bends_.size());
  std::vector<Point3> centres;
  Eigen::MatrixXd weights(n + 4, 3);
  for (const Bend& bend : bends_) {
    weights.row(Eigen::Index(centres.size())) << bend.weight[0], bend.weight[1], bend.weight[2];
    centres.push_back(bend.centre);
  }
  for (Eigen::Index k = 0; k < 4; ++k)
    weights.row(n + k) << affine_[std::size_t(k)][0], affine_[std::size_t(k)][1], affine_[std::size_t(k)][2];
  const Eigen::MatrixXd left = kernels_of(across, down, centres) * weights;
  const std::size_t half = across / 2 + 1;
  std::vector<Point3> points(across * down);
  for (std::size_t j = 0; j < down; ++j)
    for (std::size_t i = 0; i < across; ++i) {
      // The right half is the mirror image of the left half, to the last bit.
      Point3& p = points[j * across + i];
      const auto row = Eigen::Index(j * half + i);
      p = 2 * i > across ? mirrored(points[j * across + (across - i)])
                         : Point3{left(row, 0), left(row, 1), left(row, 2)};
      if (i == 0 || 2 * i == across) p.y = 0;
    }
  return points;
}

Skin skin_of(const HeadShape& shape) {
  constexpr std::size_t across = Skin::default_across, down = Skin::default_down;
  std::vector<Point3> grid = shape.grid(across, down);
  // The first and the last ring are made flat and level, so that plane caps close the solid exactly.
  for (const std::size_t first : {std::size_t{0}, (down - 1) * across}) {
    double sum = 0;
    for (std::size_t i = 0; i < across; ++i) sum += grid[first + i].z;
    for (std::size_t i = 0; i < across; ++i) grid[first + i].z = sum / double(across);
  }
  return {grid, across, down};
}

}  // namespace peepwright::solid
