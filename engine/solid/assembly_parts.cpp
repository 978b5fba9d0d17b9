// SPDX-License-Identifier: GPL-3.0-or-later
// The parts as solids. Built for the right hand; the other hand is the mirror image, part by part.
#include <algorithm>
#include <cmath>
#include <functional>
#include <future>
#include <iterator>
#include <numbers>

#include "engine/solid/assembly.hpp"
#include "engine/solid/head.hpp"
#include "engine/solid/kernel.hpp"
#include "engine/solid/parts.hpp"
#include "engine/solid/riser.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {
namespace {

constexpr double pi = std::numbers::pi;

namespace paint {
constexpr Colour skin{0.76, 0.62, 0.52}, eye{0.92, 0.92, 0.90}, cord{0.10, 0.10, 0.11}, served{0.20, 0.20, 0.45},
    loop{0.15, 0.45, 0.20}, peep{0.80, 0.25, 0.10}, nock{0.85, 0.65, 0.10}, shaft{0.12, 0.12, 0.12},
    steel{0.62, 0.63, 0.65}, vane{0.75, 0.12, 0.12}, cam{0.32, 0.33, 0.35}, limb{0.22, 0.25, 0.28},
    riser{0.25, 0.32, 0.36}, pin{0.20, 0.85, 0.25};
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
  if (const HeadSurface* scan = head.scanned()) {
    TriangleMesh mesh = scan->mesh();
    for (Point3& v : mesh.vertices) v = in.right_handed ? in.head(v) : mirrored(in.head(v));
    if (!in.right_handed)
      for (auto& t : mesh.triangles) std::swap(t[1], t[2]);
    skull.scanned = std::make_shared<const TriangleMesh>(std::move(mesh));
  }
  skull.face_names = {{0, "skin"}, {1, "crown"}, {2, "neck cut"}};
  const Ball left = head.left_eye();
  out.add_as_it_is("left eye", paint::eye, ball_solid({pose(left.centre), left.radius_mm}));
  out.add_as_it_is("right eye", paint::eye, ball_solid({pose(mirrored(left.centre)), left.radius_mm}));
}

/// The served string: bent where it leaves the straight piece across the nock or, where that is too short for a bend to
/// be drawn, at the nocking point.
Shape serving_solid(const FitBodies& b) {
  const Rod &upper = b.upper_serving, &lower = b.lower_serving;
  const double r = upper.radius_mm, across = upper.from.z - lower.from.z;
  if (across > 2.5 * r) return bent_rod_solid({upper.to, upper.from, lower.from, lower.to}, r, 1.05 * r);
  const auto past = [&](const Rod& leg, double more) {
    return rod_solid({leg.from - (more + across / 2) * unit(leg.to - leg.from), leg.to, r});
  };
  return joined({past(upper, 0), past(lower, 0.4)}, "serving");
}

void add_string(Builder& out, const AssemblyInput& in, const FitBodies& b) {
  const double s = in.peep_along_string_mm - in.upper.bend_mm, leg = free_leg_mm(in.upper),
               served = norm(b.upper_serving.to - b.upper_serving.from), r = b.upper_leg.radius_mm;
  const PeepGap gap = peep_gap(in);
  // The strands part around the peep's body; drawn, the string ends at the body's face, or flat before its flank.
  const auto piece = [&](double flat_end, double peep_end) {
    const Rod rod = shortened(b.upper_leg, flat_end, peep_end);
    return gap.mitred ? mitred_rod_solid(rod, b.peep_body.to - b.peep_body.from) : rod_solid(rod);
  };
  out.add("string below peep", paint::cord, piece(served, s - gap.half_mm));
  out.add("string above peep", paint::cord, piece(leg, s + gap.half_mm));

  const Point3 down = unit(b.lower_serving.to - b.lower_serving.from);
  out.add("string lower leg", paint::cord,
          rod_solid({b.lower_serving.to, b.lower_serving.from + free_leg_mm(in.lower) * down, r}));
  out.add("serving", paint::served, serving_solid(b));

  const Rod& top = b.loop[0];
  const double cord = in.loop_cord_diameter_mm / 2, tie = top.to.z, thick = in.serving_diameter_mm / 2;
  const Point3 above{loop_knot_x_mm(in, in.upper), 0, tie}, below{loop_knot_x_mm(in, in.lower), 0, -tie};
  const double bend = std::min(0.9 * tie, 0.6 * std::min(above.x, below.x) - 0.6 * top.to.x);
  out.add("release loop", paint::loop,
          bent_rod_solid({above, {top.to.x, 0, tie}, {top.to.x, 0, -tie}, below}, cord, std::max(bend, 1.05 * cord)));

  name_bore(out.add("peep", paint::peep, tube_solid(b.peep_body, in.peep_bore_mm / 2)), in.peep_bore_mm);
  // The nock's throat: a slot as wide as the serving, deep enough for both legs to leave it.
  const double nock = b.nock.radius_mm, flattest = std::min(in.upper.leg_angle_rad, in.lower.leg_angle_rad);
  const double sloping = std::max(nock - std::min(in.upper.bend_mm, in.lower.bend_mm), 0.0);
  const double depth = std::min(sloping / std::tan(flattest) + thick / std::sin(flattest), b.nock.to.x - 2);
  const double back = b.nock.from.x - 1;
  const Shape slot =
      plate_solid({{back, 0, -nock - 1}, {depth, 0, -nock - 1}, {depth, 0, nock + 1}, {back, 0, nock + 1}}, 2 * thick);
  out.add("nock", paint::nock, cut(rod_solid(b.nock), {slot}, "nock"));
}

void add_arrow(Builder& out, const AssemblyInput& in, const FitBodies& b) {
  const double r = b.shaft.radius_mm, end = in.arrow_length_mm;
  out.add("shaft", paint::shaft, rod_solid(b.shaft));
  out.add("point", paint::steel, cone_solid({end, 0, 0}, {end + 5 * r, 0, 0}, r, 0.05 * r));
  for (int k = 0; k < in.vane_count; ++k) {
    // The first vane stands up.
    const double angle = 2 * pi * k / in.vane_count;
    const Point3 outward{0, std::sin(angle), std::cos(angle)};
    const double start = vane_start_mm, length = in.vane_length_mm;
    const auto corner = [&](double x, double height) { return Point3{x, 0, 0} + (r + height) * outward; };
    out.add("vane " + std::string(1, char('1' + k)), paint::vane,
            plate_solid({corner(start, 0), corner(start + 0.05 * length, in.vane_height_mm),
                         corner(start + 0.35 * length, in.vane_height_mm), corner(start + length, 0)},
                        0.5));
  }
}

void add_limb(Builder& out, const AssemblyInput& in, bool upper) {
  const LimbEnd& end = upper ? in.upper : in.lower;
  // Where the string leaves near the axle's centre the drawn cam still holds its axle.
  constexpr double least_cam_radius_mm = 6;
  const double sign = upper ? 1 : -1,
               radius = std::max(take_off_radius_mm(end) - in.string_diameter_mm / 2, least_cam_radius_mm);
  const std::string name = upper ? "upper " : "lower ";
  const Point3 axle{end.axle_ahead_mm, 0, sign * end.axle_aside_mm};
  const auto across = [](const Point3& p, double half, double r) {
    return Rod{p - Point3{0, half, 0}, p + Point3{0, half, 0}, r};
  };

  std::vector<Hole> holes{{axle, 3.5}};
  if (radius > 25)
    for (int k = 0; k < 5; ++k) {
      const double angle = 2 * pi * k / 5 + 0.3;
      holes.push_back({axle + 0.58 * radius * Point3{std::cos(angle), 0, std::sin(angle)}, 0.2 * radius});
    }
  out.add(name + "cam", paint::cam, drilled_rod_solid(across(axle, 5, radius), holes));
  out.add(name + "axle", paint::steel, rod_solid(across(axle, 26, 3.5)));

  // Two limbs a side, straight from the riser's end to the axle, thinner toward the tip.
  const LimbLine line = limb_line(in, upper);
  const Point3 tip = axle + 8.0 * line.along;
  for (const double y : {-14.0, 14.0}) {
    const Point3 off{0, y, 0}, &side = line.side;
    out.add(name + "limb " + (y > 0 ? "left" : "right"), paint::limb,
            plate_solid({line.pocket + 7.0 * side + off, tip + 5.5 * side + off, tip - 5.5 * side + off,
                         line.pocket - 7.0 * side + off},
                        12, {{axle + off, 3.5}}));
  }
}

void add_riser_and_rest(Builder& out, const AssemblyInput& in) {
  const double px = in.pivot_x_mm;
  const Shape web = plate_solid(riser_outline(in), 44);
  // The window that lets arrow and sight line pass is cut from the archer's left.
  const double low = -16, high = std::max(0.9 * riser_neck_mm(in), in.pin_height_mm + in.housing_diameter_mm);
  const Shape window =
      plate_solid({{px - 60, 8, low}, {px + 140, 8, low}, {px + 140, 8, high}, {px - 60, 8, high}}, 40);
  out.add("riser", paint::riser, cut(web, {window}, "riser"));

  // An arm from the riser's side of the window to under the shaft, and a finger up to it.
  const double under = -in.shaft_diameter_mm / 2, x = px + 24;
  out.add("rest", paint::steel,
          plate_solid({{x, -12, under - 12},
                       {x, 3, under - 12},
                       {x, 3, under},
                       {x, -3, under},
                       {x, -3, under - 8},
                       {x, -12, under - 8}},
                      5));
}

void add_sight(Builder& out, const AssemblyInput& in) {
  const double x = in.sight_x_mm, z = in.pin_height_mm, radius = in.housing_diameter_mm / 2,
               half = in.housing_depth_mm / 2;
  const double wall = std::clamp(0.07 * in.housing_diameter_mm, 0.8, 3.0);
  const Rod housing{{x - half, 0, z}, {x + half, 0, z}, radius};
  name_bore(out.add("sight housing", paint::cam, tube_solid(housing, radius - wall)), 2 * (radius - wall));
  out.add("sight pin", paint::pin, rod_solid({{x, 0, z - radius + wall}, {x, 0, z}, 0.5}));
  // The bar runs beside the housing, on the riser's side of it.
  const double from = std::min(in.pivot_x_mm + 20, x - half - 20);
  out.add("sight bar", paint::cam, rod_solid({{from, -radius - 3, z}, {x + half, -radius - 3, z}, 3}));
  if (in.bar_drop_mm > radius + 0.2) {
    const double low = z - in.bar_drop_mm;
    const Shape block =
        plate_solid({{x - 4, 0, low}, {x + 4, 0, low}, {x + 4, 0, z - 0.9 * radius}, {x - 4, 0, z - 0.9 * radius}}, 8);
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
  built.reserve(groups.size());
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
