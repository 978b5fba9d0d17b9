// SPDX-License-Identifier: GPL-3.0-or-later
// The parts as solids. Built for the right hand; the other hand is the mirror image, part by part.
#include <algorithm>
#include <cmath>
#include <functional>
#include <future>
#include <iterator>

#include "engine/solid/assembly.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/kernel.hpp"
#include "engine/solid/parts.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

constexpr double pi = 3.14159265358979323846;

namespace paint {
constexpr Colour skin{0.76, 0.62, 0.52}, eye{0.92, 0.92, 0.90}, cord{0.10, 0.10, 0.11}, served{0.20, 0.20, 0.45},
    loop{0.15, 0.45, 0.20}, peep{0.80, 0.25, 0.10}, nock{0.85, 0.65, 0.10}, shaft{0.12, 0.12, 0.12}, steel{0.62, 0.63, 0.65},
    vane{0.75, 0.12, 0.12}, cam{0.32, 0.33, 0.35}, limb{0.22, 0.25, 0.28}, riser{0.25, 0.32, 0.36}, pin{0.20, 0.85, 0.25};
}  // namespace paint

/// Collects parts, mirroring each when the archer draws with the left hand.
class Builder {
 public:
  explicit Builder(bool mirror) : mirror_(mirror) {}

  Part& add(std::string name, Colour colour, const Shape& shape) {
    parts_.push_back({std::move(name), colour, mirror_ ? mirrored_solid(shape) : shape, {}});
    return parts_.back();
  }
  Part& add_as_it_is(std::string name, Colour colour, const Shape& shape) {
    parts_.push_back({std::move(name), colour, shape, {}});
    return parts_.back();
  }
  std::vector<Part> take() { return std::move(parts_); }

 private:
  bool mirror_;
  std::vector<Part> parts_;
};

void name_bore(Part& part, double bore_diameter) {
  if (const auto face = cylinder_face(part.shape, bore_diameter / 2)) part.face_names.emplace_back(*face, "bore");
}

Rod shortened(const Rod& rod, double from_mm, double to_mm) {
  const Point3 along = unit(rod.to - rod.from);
  return {rod.from + from_mm * along, rod.from + to_mm * along, rod.radius_mm};
}

void add_head(Builder& out, const HeadModel& head, const AssemblyInput& in) {
  const Pose pose = in.right_handed ? in.head : in.head.mirrored();
  Part& skull = out.add_as_it_is("head", paint::skin, head_solid(head.distance().skin()).moved(pose));
  skull.face_names = {{0, "skin"}, {1, "crown"}, {2, "neck cut"}};
  const Ball left = head.left_eye();
  out.add_as_it_is("left eye", paint::eye, ball_solid({pose(left.centre), left.radius_mm}));
  out.add_as_it_is("right eye", paint::eye, ball_solid({pose(mirrored(left.centre)), left.radius_mm}));
}

void add_string(Builder& out, const AssemblyInput& in, const FitBodies& b) {
  const double s = in.peep_along_string_mm, leg = norm(b.upper_leg.to), served = norm(b.upper_serving.to);
  const Shape body = rod_solid(b.peep_body);
  out.add("string below peep", paint::cord, cut(rod_solid(shortened(b.upper_leg, served, s)), {body}, "string below peep"));
  out.add("string above peep", paint::cord, cut(rod_solid(shortened(b.upper_leg, s, leg)), {body}, "string above peep"));

  const Point3 down{std::cos(in.lower.leg_angle_rad), 0, -std::sin(in.lower.leg_angle_rad)};
  const double distance = std::hypot(in.lower.axle_ahead_mm, in.lower.axle_aside_mm), radius = take_off_radius_mm(in.lower);
  const double lower_leg = std::sqrt(distance * distance - radius * radius);
  out.add("string lower leg", paint::cord, rod_solid({in.serving_below_mm * down, lower_leg * down, in.string_diameter_mm / 2}));

  const Shape serving = joined({rod_solid(b.upper_serving), rod_solid({-0.4 * down, in.serving_below_mm * down, in.serving_diameter_mm / 2})}, "serving");
  out.add("serving", paint::served, serving);

  const Rod &top = b.loop[0], &back = b.loop[1], &bottom = b.loop[2];
  const double r = in.loop_cord_diameter_mm / 2, bend = std::min(2.2 * r, 0.9 * (top.to.z - r * 0.1));
  const Shape loop = bent_rod_solid({top.from, {back.from.x, 0, top.to.z}, {back.to.x, 0, bottom.from.z}, bottom.to}, r, std::max(bend, 1.2 * r));
  out.add("release loop", paint::loop, cut(loop, {serving}, "release loop"));

  name_bore(out.add("peep", paint::peep, tube_solid(b.peep_body, in.peep_bore_mm / 2)), in.peep_bore_mm);
  out.add("nock", paint::nock, cut(rod_solid(b.nock), {serving}, "nock"));
}

void add_arrow(Builder& out, const AssemblyInput& in, const FitBodies& b) {
  const double r = b.shaft.radius_mm, end = in.arrow_length_mm;
  out.add("shaft", paint::shaft, rod_solid(b.shaft));
  out.add("point", paint::steel, cone_solid({end, 0, 0}, {end + 5 * r, 0, 0}, r, 0.05 * r));
  for (int k = 0; k < in.vane_count; ++k) {
    // The first vane stands up.
    const double angle = 2 * pi * k / in.vane_count;
    const Point3 outward{0, std::sin(angle), std::cos(angle)};
    const double start = 25, length = in.vane_length_mm;
    const auto corner = [&](double x, double height) { return Point3{x, 0, 0} + (r + height) * outward; };
    out.add("vane " + std::string(1, char('1' + k)), paint::vane,
            plate_solid({corner(start, 0), corner(start + 0.05 * length, in.vane_height_mm), corner(start + 0.35 * length, in.vane_height_mm), corner(start + length, 0)}, 0.5));
  }
}

void add_limb(Builder& out, const AssemblyInput& in, bool upper) {
  const LimbEnd& end = upper ? in.upper : in.lower;
  const double sign = upper ? 1 : -1, radius = take_off_radius_mm(end) - in.string_diameter_mm / 2;
  const std::string name = upper ? "upper " : "lower ";
  const Point3 axle{end.axle_ahead_mm, 0, sign * end.axle_aside_mm};
  const auto across = [](const Point3& p, double half, double r) { return Rod{p - Point3{0, half, 0}, p + Point3{0, half, 0}, r}; };

  std::vector<Hole> holes{{axle, 3.5}};
  if (radius > 25)
    for (int k = 0; k < 5; ++k) {
      const double angle = 2 * pi * k / 5 + 0.3;
      holes.push_back({axle + 0.58 * radius * Point3{std::cos(angle), 0, std::sin(angle)}, 0.2 * radius});
    }
  out.add(name + "cam", paint::cam, drilled_rod_solid(across(axle, 5, radius), holes));
  out.add(name + "axle", paint::steel, rod_solid(across(axle, 26, 3.5)));

  // Two limbs a side, straight from the riser's pocket to the axle, thinner toward the tip.
  const Point3 pocket{in.pivot_x_mm + 70, 0, sign * 0.52 * end.axle_aside_mm};
  const Point3 along = unit(axle - pocket), side{-along.z, 0, along.x};
  const Point3 tip = axle + 8.0 * along;
  for (const double y : {-14.0, 14.0}) {
    const Point3 off{0, y, 0};
    out.add(name + "limb " + (y > 0 ? "left" : "right"), paint::limb,
            plate_solid({pocket + 7.0 * side + off, tip + 5.5 * side + off, tip - 5.5 * side + off, pocket - 7.0 * side + off}, 12, {{axle + off, 3.5}}));
  }
}

void add_riser_and_rest(Builder& out, const AssemblyInput& in) {
  const double px = in.pivot_x_mm, top = 0.52 * in.upper.axle_aside_mm, bottom = -0.52 * in.lower.axle_aside_mm;
  const double grip = -45;  // the pivot lies below the arrow (common practice, no source)
  // Side view; the window that lets the arrow and the sight line pass is cut from the archer's left.
  const Shape web = plate_solid({{px + 58, 0, top + 14}, {px + 20, 0, 0.45 * top}, {px + 6, 0, 30}, {px + 14, 0, -8}, {px, 0, grip},
                                 {px + 16, 0, grip - 45}, {px + 12, 0, grip - 60}, {px + 58, 0, bottom - 14}, {px + 82, 0, bottom + 6}, {px + 42, 0, grip - 60},
                                 {px + 44, 0, -8}, {px + 36, 0, 30}, {px + 46, 0, 0.45 * top}, {px + 82, 0, top - 6}}, 44);
  const double low = -16, high = std::max(0.42 * top, in.pin_height_mm + in.housing_diameter_mm);
  const Shape window = plate_solid({{px - 60, 8, low}, {px + 140, 8, low}, {px + 140, 8, high}, {px - 60, 8, high}}, 40);
  std::vector<Shape> pockets;
  for (const bool upper : {true, false}) {
    const LimbEnd& end = upper ? in.upper : in.lower;
    const double sign = upper ? 1 : -1;
    const Point3 pocket{px + 70, 0, sign * 0.52 * end.axle_aside_mm}, axle{end.axle_ahead_mm, 0, sign * end.axle_aside_mm};
    const Point3 along = unit(axle - pocket), side{-along.z, 0, along.x};
    const Point3 far = pocket + 200.0 * along;
    pockets.push_back(plate_solid({pocket + 7.0 * side, far + 7.0 * side, far - 7.0 * side, pocket - 7.0 * side}, 60));
  }
  pockets.push_back(window);
  out.add("riser", paint::riser, cut(web, pockets, "riser"));

  const double under = -in.shaft_diameter_mm / 2, x = px + 22;
  const Shape blade = plate_solid({{x, 0, under}, {x + 1.5, 0, under - 12}, {x + 6, 0, under - 12}, {x + 6, 0, under - 6}}, 7);
  const Shape arm = rod_solid({{x + 4, -12, under - 10}, {x + 4, 2, under - 10}, 2.0});
  out.add("rest", paint::steel, joined({blade, arm}, "rest"));
}

void add_sight(Builder& out, const AssemblyInput& in) {
  const double x = in.sight_x_mm, z = in.pin_height_mm, radius = in.housing_diameter_mm / 2, half = in.housing_depth_mm / 2;
  const double wall = std::clamp(0.07 * in.housing_diameter_mm, 0.8, 3.0);
  const Rod housing{{x - half, 0, z}, {x + half, 0, z}, radius};
  name_bore(out.add("sight housing", paint::cam, tube_solid(housing, radius - wall)), 2 * (radius - wall));
  out.add("sight pin", paint::pin, rod_solid({{x, 0, z - radius + wall}, {x, 0, z}, 0.5}));
  // The bar runs beside the housing, on the riser's side of it.
  const double from = std::min(in.pivot_x_mm + 20, x - half - 20);
  out.add("sight bar", paint::cam, rod_solid({{from, -radius - 3, z}, {x + half, -radius - 3, z}, 3}));
  if (in.bar_drop_mm > radius + 0.2) {
    const double low = z - in.bar_drop_mm;
    const Shape block = plate_solid({{x - 4, 0, low}, {x + 4, 0, low}, {x + 4, 0, z - 0.9 * radius}, {x - 4, 0, z - 0.9 * radius}}, 8);
    out.add("sight mount", paint::cam, cut(block, {rod_solid(housing)}, "sight mount"));
  }
}

}  // namespace

std::vector<Part> assembly_parts(const HeadModel& head, const AssemblyInput& in) {
  check_assembly(in);
  const FitBodies b = fit_bodies(in);
  // The kernel builds separate shapes in separate threads safely; the order of the parts is fixed all the same.
  using Work = std::function<void(Builder&)>;
  const std::vector<Work> groups{[&](Builder& out) { add_head(out, head, in); },
                                 [&](Builder& out) { add_string(out, in, b); },
                                 [&](Builder& out) { add_arrow(out, in, b); },
                                 [&](Builder& out) { add_limb(out, in, true), add_limb(out, in, false); },
                                 [&](Builder& out) { add_riser_and_rest(out, in); },
                                 [&](Builder& out) { add_sight(out, in); }};
  std::vector<std::future<std::vector<Part>>> built;
  for (const Work& group : groups)
    built.push_back(std::async(std::launch::async, [&group, mirror = !in.right_handed] {
      Builder out(mirror);
      group(out);
      return out.take();
    }));
  std::vector<Part> parts;
  for (auto& some : built) std::ranges::move(some.get(), std::back_inserter(parts));
  return parts;
}

}  // namespace peepwright::solid
