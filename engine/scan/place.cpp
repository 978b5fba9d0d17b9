// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/scan/place.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright::scan {
namespace {

Eigen::Vector3d vec(const Point3& p) { return {p.x, p.y, p.z}; }

const Pick& named(const std::vector<Pick>& picks, std::string_view name) {
  return *std::ranges::find(picks, name, &Pick::name);
}

constexpr double least_pupils_mm = 45, most_pupils_mm = 80;

/// The unit that would make sense of pupils this far apart, as a hint; the most usual mistake with mesh files.
std::string unit_hint(double apart_in_units) {
  constexpr struct {
    const char* name;
    double mm;
  } units[] = {{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", unit::inch_mm}};
  for (const auto& u : units)
    if (const double mm = apart_in_units * u.mm; mm >= least_pupils_mm && mm <= most_pupils_mm)
      return fmt::format("; with archer.face.scan_unit = \"{}\" it would be {:.1f} mm", u.name, mm);
  return "; pick both pupils again";
}

struct Turn {
  Eigen::Matrix3d rotation;
  double rms_mm = 0, worst_mm = 0;
  std::size_t worst = 0;
};

/// Least-squares rotation from `from` to `to`, both about the origin. Columns are points.
Turn best_turn(const Eigen::Matrix3Xd& from, const Eigen::Matrix3Xd& to) {
  const Eigen::JacobiSVD<Eigen::Matrix3d> svd(Eigen::Matrix3d(from * to.transpose()),
                                              Eigen::ComputeFullU | Eigen::ComputeFullV);
  Eigen::Matrix3d flip = Eigen::Matrix3d::Identity();
  flip(2, 2) = (svd.matrixV() * svd.matrixU().transpose()).determinant() < 0 ? -1 : 1;
  Turn turn{svd.matrixV() * flip * svd.matrixU().transpose()};
  const Eigen::VectorXd off = (turn.rotation * from - to).colwise().norm();
  Eigen::Index worst = 0;
  turn.worst_mm = off.maxCoeff(&worst);
  turn.worst = std::size_t(worst);
  turn.rms_mm = std::sqrt(off.squaredNorm() / double(off.size()));
  return turn;
}

}  // namespace

Point3 Pick::on(const Face& face) const { return left || midline ? face.at(landmark) : mirrored(face.at(landmark)); }

std::vector<Pick> picks_of(const ScanSource& source) {
  std::vector<Pick> picks;
  for (const ScanMark& mark : source.marks) {
    Pick pick;
    pick.name = mark.name;
    pick.on_scan = {mark.place_mm[0], mark.place_mm[1], mark.place_mm[2]};
    const bool left = mark.name.ends_with("_left"), right = mark.name.ends_with("_right");
    const std::string plain = mark.name.substr(0, mark.name.size() - (left ? 5 : right ? 6 : 0));
    pick.left = left;
    pick.midline = !left && !right;
    bool found = false;
    for (std::size_t i = 0; i < landmark_count; ++i)
      if (name_of(static_cast<Landmark>(i)) == plain) pick.landmark = static_cast<Landmark>(i), found = true;
    if (!found)
      throw Error(ErrorCode::internal, fmt::format("The scan's landmark \"{}\" has no name of a landmark.", mark.name));
    picks.push_back(std::move(pick));
  }
  return picks;
}

solid::Pose place_scan(const std::vector<Pick>& picks, const Face& face, const ScanSource& source) {
  const Eigen::Vector3d left = vec(named(picks, "pupil_left").on_scan),
                        right = vec(named(picks, "pupil_right").on_scan);
  const double apart = (left - right).norm();
  if (!(apart >= least_pupils_mm && apart <= most_pupils_mm))
    throw Error(ErrorCode::input, source.where,
                fmt::format("archer.face.scan: its pupils are {:.4g} mm apart; {:g} to {:g} mm can be{}", apart,
                            least_pupils_mm, most_pupils_mm, unit_hint(apart / source.unit_mm)));
  const Eigen::Vector3d middle = (left + right) / 2;
  Eigen::Matrix3Xd from(3, Eigen::Index(picks.size())), to = from;
  for (std::size_t i = 0; i < picks.size(); ++i) {
    from.col(Eigen::Index(i)) = vec(picks[i].on_scan) - middle;
    to.col(Eigen::Index(i)) = vec(picks[i].on(face));
  }
  const Turn turn = best_turn(from, to);
  // Faces differ from the statistics by some millimetres at each landmark; a wrong pick differs by centimetres.
  constexpr double most_rms_mm = 9, most_off_mm = 22;
  if (turn.rms_mm > most_rms_mm || turn.worst_mm > most_off_mm) {
    Eigen::Matrix3Xd mirrored_to = to;
    mirrored_to.row(1) *= -1;
    if (const Turn other = best_turn(from, mirrored_to); other.rms_mm < turn.rms_mm / 2)
      throw Error(ErrorCode::input, source.where,
                  "archer.face.scan_landmarks: left and right are changed over, or the scan is a mirror image; left is "
                  "the archer's own left");
    throw Error(ErrorCode::input, source.where,
                fmt::format("archer.face.scan_landmarks: the landmarks are no face: {} lies {:.0f} mm from where it "
                            "belongs among the others "
                            "(all: {:.1f} mm root mean square; {:g} can be). Pick them again",
                            picks[turn.worst].name, turn.worst_mm, turn.rms_mm, most_rms_mm));
  }
  solid::Pose pose;
  for (std::size_t r = 0; r < 3; ++r)
    for (std::size_t c = 0; c < 3; ++c) pose.rotation[r][c] = turn.rotation(Eigen::Index(r), Eigen::Index(c));
  const Eigen::Vector3d moved = -(turn.rotation * middle);
  pose.position = {moved.x(), moved.y(), moved.z()};
  return pose;
}

}  // namespace peepwright::scan
