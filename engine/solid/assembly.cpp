// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/assembly.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"
#include "engine/quantity/quantity.hpp"
#include "engine/solid/head_shape.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

/// `sentence` is made only where it is said: a sweep asks often.
template <class Sentence>
void require(bool good, const Sentence& sentence) {
  if (!good) throw Error(ErrorCode::input, sentence());
}

Rod placed(const Rod& rod, const Pose& pose) { return {pose(rod.from), pose(rod.to), rod.radius_mm}; }

std::string side_word(const Contact& c) {
  switch (c.nearest) {
    case Landmark::alare:
    case Landmark::cheilion:
    case Landmark::gonion:
    case Landmark::tragion:
    case Landmark::orbitale:
    case Landmark::ectoorbitale:
    case Landmark::exocanthion:
    case Landmark::endocanthion:
    case Landmark::zygion:
    case Landmark::frontotemporale:
    case Landmark::eurion: return c.left ? "left " : "right ";
    default: return "";
  }
}

/// A contact in frame F as a gap in W.
Gap gap_of(const char* name, const Contact& c, const Pose& head) {
  return {name, c.distance_mm, side_word(c) + std::string(plain_name_of(c.nearest)), head(c.on_body), head(c.on_skin)};
}

Gap mirrored_gap(Gap gap) {
  gap.on_first = mirrored(gap.on_first);
  gap.on_second = mirrored(gap.on_second);
  if (gap.nearest.starts_with("left ")) gap.nearest.replace(0, 5, "right ");
  else if (gap.nearest.starts_with("right ")) gap.nearest.replace(0, 6, "left ");
  return gap;
}

/// Housing and mount over the tube that shaft and vanes sweep. All of them run along x, so it is a matter of circles.
Gap sight_over_arrow(const AssemblyInput& in) {
  const double pin = in.lowest_pin_height_mm.value_or(in.pin_height_mm), radius = in.housing_diameter_mm / 2;
  const double envelope = in.shaft_diameter_mm / 2 + in.vane_height_mm;
  const bool mount = in.bar_drop_mm > radius;
  const double lowest = pin - std::max(radius, in.bar_drop_mm);
  return {"sight-arrow",
          lowest - envelope,
          mount ? "sight mount" : "sight housing",
          {in.sight_x_mm, 0, lowest},
          {in.sight_x_mm, 0, envelope}};
}

Gap peep_to_eye(const HeadModel& head, const AssemblyInput& in, const Rod& peep) {
  Ball eye = head.left_eye();
  eye.centre = in.head(mirrored(eye.centre));  // the right-handed archer aims with the right eye
  const Point3 on_peep = nearest_surface_point(peep, eye.centre);
  const double distance = signed_distance(peep, eye.centre) - eye.radius_mm;
  const Point3 on_eye = eye.centre + eye.radius_mm * unit(on_peep - eye.centre);
  Gap gap{"peep-eye", distance, "cornea", on_peep, on_eye};
  if (!in.spectacles_ahead_mm) return gap;
  // A flat lens square to the head's own forward direction.
  const Point3 ahead = in.head.turned({1, 0, 0}), along = unit(peep.to - peep.from);
  const Point3 lens = eye.centre + (eye.radius_mm + *in.spectacles_ahead_mm) * ahead;
  const Point3 end = dot(peep.from, ahead) < dot(peep.to, ahead) ? peep.from : peep.to;
  const Point3 across = ahead - dot(ahead, along) * along;
  const Point3 nearest = end - peep.radius_mm * unit(across);
  const double to_lens = dot(nearest - lens, ahead);
  if (to_lens < gap.distance_mm) gap = {"peep-eye", to_lens, "spectacles", nearest, nearest - to_lens * ahead};
  return gap;
}

}  // namespace

double take_off_radius_mm(const LimbEnd& end) {
  const double aside = end.axle_aside_mm - end.bend_mm, distance = std::hypot(end.axle_ahead_mm, aside);
  return distance * std::sin(end.leg_angle_rad - std::atan2(aside, end.axle_ahead_mm));
}

double free_leg_mm(const LimbEnd& end) {
  const double distance = std::hypot(end.axle_ahead_mm, end.axle_aside_mm - end.bend_mm);
  return std::sqrt(distance * distance - std::pow(take_off_radius_mm(end), 2));
}

PeepGap peep_gap(const AssemblyInput& in) {
  const double angle = in.peep_bore_angle_rad, r = in.string_diameter_mm / 2,
               to_flank = 0.5 * in.peep_body_diameter_mm / std::sin(angle);
  constexpr double flattest_cut = 0.3;  // cosine of the steepest angle that a rod's end is cut at
  if (std::cos(angle) > flattest_cut) {
    const double to_face = 0.5 * in.peep_body_length_mm / std::cos(angle), slant = r * std::tan(angle);
    if (to_face + slant < to_flank) return {to_face, slant, true};
  }
  return {to_flank + r / std::tan(angle), 0, false};
}

namespace {

double loop_tie_mm(const AssemblyInput& in) {
  return std::max({in.nock_height_mm / 2 + in.loop_cord_diameter_mm / 2 + 0.5, in.upper.bend_mm, in.lower.bend_mm});
}

/// Where the string is at the height of the loop's tie, ahead of the nocking point.
double tied_x_mm(const AssemblyInput& in, const LimbEnd& end) {
  return (loop_tie_mm(in) - end.bend_mm) / std::tan(end.leg_angle_rad);
}

}  // namespace

double loop_knot_x_mm(const AssemblyInput& in, const LimbEnd& end) {
  // The cord's nearer edge meets the straight piece across the nock or the sloping leg, whichever is farther ahead.
  const double thick = in.serving_diameter_mm / 2, cord = in.loop_cord_diameter_mm / 2;
  const double on_leg = tied_x_mm(in, end) - thick / std::sin(end.leg_angle_rad) - cord / std::tan(end.leg_angle_rad);
  return std::max(on_leg, -thick);
}

namespace {

/// Behind the nocking point, the knots of the release loop: they end flat at the serving, the farther one here.
double loop_knots_mm(const AssemblyInput& in) {
  double most = 0;
  for (const LimbEnd* end : {&in.upper, &in.lower}) most = std::max(most, -loop_knot_x_mm(in, *end));
  return most;
}

/// How far behind the nocking point the loop's hook must be for its bends to have room behind the knots.
double loop_reach_mm(const AssemblyInput& in) { return loop_knots_mm(in) + 1.2 * in.loop_cord_diameter_mm; }

}  // namespace

void check_assembly(const AssemblyInput& in) {
  const struct {
    const char* what;
    double mm;
  } sizes[] = {{"string diameter", in.string_diameter_mm},
               {"serving diameter", in.serving_diameter_mm},
               {"nock height", in.nock_height_mm},
               {"loop length", in.loop_length_mm},
               {"loop cord diameter", in.loop_cord_diameter_mm},
               {"peep bore", in.peep_bore_mm},
               {"peep body length", in.peep_body_length_mm},
               {"peep body diameter", in.peep_body_diameter_mm},
               {"arrow length", in.arrow_length_mm},
               {"shaft diameter", in.shaft_diameter_mm},
               {"vane height", in.vane_height_mm},
               {"vane length", in.vane_length_mm},
               {"housing diameter", in.housing_diameter_mm},
               {"housing depth", in.housing_depth_mm},
               {"pivot's distance", in.pivot_x_mm}};
  for (const auto& size : sizes)
    require(std::isfinite(size.mm) && size.mm > 0.05 && size.mm < 3000,
            [&] { return fmt::format("The {} must be a length above 0, not {:.4g} mm.", size.what, size.mm); });
  for (const auto* end : {&in.upper, &in.lower}) {
    const char* which = end == &in.upper ? "upper" : "lower";
    const double radius = take_off_radius_mm(*end);
    require(std::isfinite(radius) && end->leg_angle_rad > 0.2 && end->leg_angle_rad < 1.5 && end->axle_aside_mm > 100,
            [&] {
              return fmt::format(
                  "The {} string leg at {:.4g} deg to the arrow and an axle {} ahead of the nocking point put "
                  "that axle {} off the arrow at full draw, which makes no bow (more than 100 mm does). Check "
                  "bow.full_draw.string_angle against bow.draw_length, bow.brace_height and bow.axle_to_axle, or "
                  "bow.full_draw.axle_set_back and bow.full_draw.axle_to_axle",
                  which, degrees(end->leg_angle_rad), both_text(end->axle_ahead_mm), both_text(end->axle_aside_mm));
            });
    require(radius > -1 && radius < 150, [&] {
      return fmt::format(
          "The {} string leg at {:.4g} deg misses its cam: it would leave it at a radius of {}. Check the "
          "string angle against the axle's place at full draw.",
          which, degrees(end->leg_angle_rad), both_text(radius));
    });
  }
  require(in.peep_bore_mm < in.peep_body_diameter_mm - 0.1, [&] {
    return fmt::format("The peep's bore of {:.4g} mm does not fit its body of {:.4g} mm.", in.peep_bore_mm,
                       in.peep_body_diameter_mm);
  });
  const double leg = free_leg_mm(in.upper);
  const PeepGap gap = peep_gap(in);
  const double half = std::max(in.peep_body_length_mm + in.peep_body_diameter_mm, gap.half_mm + gap.slant_mm + 5);
  const double up_leg = in.peep_along_string_mm - in.upper.bend_mm;
  require(up_leg > half && up_leg < leg - half, [&] {
    return fmt::format(
        "The peep at {} along the string, with {} of string to either side for its body "
        "(peep.body_length, peep.body_diameter, peep.bore_angle), does not lie on the free leg, which is "
        "{} long.",
        both_text(in.peep_along_string_mm), both_text(half), both_text(leg));
  });
  const double hook = in.loop_length_mm - in.loop_cord_diameter_mm / 2, least_hook = loop_reach_mm(in);
  require(hook > least_hook, [&] {
    return fmt::format(
        "A loop of {}, bow.string.loop_length, does not come round a serving of {:.4g} mm "
        "(bow.string.serving_diameter) behind a nock of {:.4g} mm (bow.string.nock_height): it needs more "
        "than {}.",
        both_text(in.loop_length_mm), in.serving_diameter_mm, in.nock_height_mm,
        both_text(least_hook + in.loop_cord_diameter_mm / 2));
  });
  require(in.vane_count >= 2 && in.vane_count <= 6,
          [&] { return fmt::format("An arrow has 2 to 6 vanes, not {}.", in.vane_count); });
  require(in.arrow_length_mm > in.vane_length_mm + 60 && in.arrow_length_mm > 100, [&] {
    return fmt::format("An arrow of {} is too short for vanes of {}.", both_text(in.arrow_length_mm),
                       both_text(in.vane_length_mm));
  });
  require(std::isfinite(in.sight_x_mm) && std::isfinite(in.pin_height_mm) && in.sight_x_mm > 0, [&] {
    return fmt::format("The sight must stand ahead of the nocking point, not at {:.4g} mm.", in.sight_x_mm);
  });
}

HeadModel::HeadModel(const Face& face, std::shared_ptr<const HeadSurface> scanned)
    : HeadModel(HeadShape(face), std::move(scanned)) {}

HeadModel::HeadModel(const HeadShape& shape, std::shared_ptr<const HeadSurface> scanned)
    : face_(shape.face()), eye_(shape.left_eye()), distance_(skin_of(shape)), scanned_(std::move(scanned)) {}

Contact HeadModel::to(const Rod& rod, FacePatch patch) const {
  return scanned_ ? scanned_->to(rod, patch) : distance_.to(rod, region_of(patch));
}

std::optional<Contact> HeadModel::to_nearer(const Rod& rod, FacePatch patch, double limit_mm) const {
  if (!scanned_) return distance_.to_nearer(rod, region_of(patch), limit_mm);
  const Contact c = scanned_->to(rod, patch);
  return c.distance_mm < limit_mm ? std::optional(c) : std::nullopt;
}

SkinRegion region_of(FacePatch patch) {
  switch (patch) {
    case FacePatch::whole: break;
    case FacePatch::nose: return nose_region();
    case FacePatch::chin: return chin_region();
    case FacePatch::right_mouth_corner: return mouth_corner_region(false);
  }
  return {};
}

FitBodies fit_bodies(const AssemblyInput& in) {
  const Point3 up{std::cos(in.upper.leg_angle_rad), 0, std::sin(in.upper.leg_angle_rad)}, bend{0, 0, in.upper.bend_mm};
  const PeepGap gap = peep_gap(in);
  FitBodies b;
  const double nock_back = 0.45 * in.nock_height_mm, nock_front = 12;
  b.nock = {{-nock_back, 0, 0}, {nock_front, 0, 0}, in.nock_height_mm / 2};
  b.shaft = {{nock_front, 0, 0}, {in.arrow_length_mm, 0, 0}, in.shaft_diameter_mm / 2};
  const double peep_up = in.peep_along_string_mm - in.upper.bend_mm;
  b.upper_leg = {bend, bend + free_leg_mm(in.upper) * up, in.string_diameter_mm / 2};
  b.upper_serving = {bend,
                     bend + std::min({in.serving_above_mm - in.upper.bend_mm, peep_up - in.peep_body_diameter_mm,
                                      peep_up - gap.half_mm - gap.slant_mm - 2}) *
                                up,
                     in.serving_diameter_mm / 2};
  const Point3 low{0, 0, -in.lower.bend_mm},
      down{std::cos(in.lower.leg_angle_rad), 0, -std::sin(in.lower.leg_angle_rad)};
  b.lower_serving = {low, low + (in.serving_below_mm - in.lower.bend_mm) * down, in.serving_diameter_mm / 2};
  const double bore = in.upper.leg_angle_rad - in.peep_bore_angle_rad;
  const Point3 centre = bend + peep_up * up,
               half = (in.peep_body_length_mm / 2) * Point3{std::cos(bore), 0, std::sin(bore)};
  b.peep_body = {centre - half, centre + half, in.peep_body_diameter_mm / 2};
  // The loop is tied to the string just above and just below the nock and stands straight back.
  const double tie = loop_tie_mm(in), r = in.loop_cord_diameter_mm / 2;
  const Point3 above{tied_x_mm(in, in.upper), 0, tie}, below{tied_x_mm(in, in.lower), 0, -tie};
  const double back = r - in.loop_length_mm;
  b.loop = {{above, {back, 0, tie}, r}, {{back, 0, tie + r}, {back, 0, -tie - r}, r}, {{back, 0, -tie}, below, r}};
  return b;
}

std::vector<Gap> gaps(const HeadModel& head, const AssemblyInput& in) {
  check_assembly(in);
  const FitBodies b = fit_bodies(in);
  const Pose to_head = in.head.inverse();
  std::vector<Gap> all;
  all.push_back(gap_of("arrow-chin", head.to(placed(b.shaft, to_head), FacePatch::chin), in.head));
  all.push_back(gap_of("string-nose", head.to(placed(b.upper_leg, to_head), FacePatch::nose), in.head));
  // The corner lies beside the serving, of most faces: with a low arrow above it, with a high one below the nock.
  Contact corner = head.to(placed(b.upper_serving, to_head), FacePatch::right_mouth_corner);
  for (const Rod& rod : {Rod{b.upper_serving.to, b.upper_leg.to, b.upper_leg.radius_mm}, b.lower_serving})
    if (const auto nearer = head.to_nearer(placed(rod, to_head), FacePatch::right_mouth_corner, corner.distance_mm))
      corner = *nearer;
  all.push_back(gap_of("string-mouth-corner", corner, in.head));
  all.push_back(sight_over_arrow(in));
  all.push_back(peep_to_eye(head, in, b.peep_body));
  Contact nock = head.to(placed(b.nock, to_head), FacePatch::whole);
  for (const Rod& rod : b.loop)
    if (const auto loop = head.to_nearer(placed(rod, to_head), FacePatch::whole, nock.distance_mm)) nock = *loop;
  all.push_back(gap_of("nock-face", nock, in.head));
  if (!in.right_handed)
    for (Gap& gap : all) gap = mirrored_gap(std::move(gap));
  return all;
}

}  // namespace peepwright::solid
