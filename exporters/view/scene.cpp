// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/scene.hpp"

#include <algorithm>
#include <cmath>
#include <future>

#include "engine/solid/parts.hpp"
#include "engine/solid/vec.hpp"
#include "exporters/view/cusps.hpp"

namespace peepwright {
namespace {

using namespace solid;  // arithmetic on points

/// Parts whose joints with other parts (a nock's slot, a loop's hitch) cannot be seen, but cost the removal of hidden
/// lines seconds: drawn as the plain bodies that clearances are measured to. The string, too, which as a solid leaves
/// out the peep's body, runs through here; what the body hides of it is taken away on the page.
bool drawn_plain(const std::string& name) {
  return name == "nock" || name == "release loop" || name == "serving" || name == "peep" ||
         name == "string below peep" || name == "string above peep";
}

/// The peep's body, a tube seen square from its side.
std::vector<Point> outline_of(const Rod& body, const ViewDirection& view) {
  const Point from = view.picture(body.from), to = view.picture(body.to);
  const Point along = (1 / std::hypot(to.x - from.x, to.y - from.y)) * (to - from);
  const Point aside = body.radius_mm * Point{-along.y, along.x};
  return {from + aside, to + aside, to - aside, from - aside};
}

/// A leg's serving with the straight piece across the nock, from where that leaves the nock; what is inside the nock
/// would only be taken away again.
Shape served(const Rod& leg, double nock_height_mm) {
  const double hidden = 0.42 * nock_height_mm, bend = std::abs(leg.from.z);
  if (bend > hidden + 1.2 * leg.radius_mm)
    return bent_rod_solid({leg.to, leg.from, (hidden / bend) * leg.from}, leg.radius_mm, 1.05 * leg.radius_mm);
  const Point3 along = solid::unit(leg.to - leg.from);
  return rod_solid({leg.from + std::max(hidden - bend, 0.0) * along, leg.to, leg.radius_mm});
}

// All of these lie in the bow plane, so that they are their own mirror images.
std::vector<Shape> plain_bodies(const AssemblyInput& in, const FitBodies& bodies) {
  const Rod &top = bodies.loop[0], &back = bodies.loop[1], &bottom = bodies.loop[2];
  const Point3 upper{back.from.x, 0, top.to.z}, lower{back.to.x, 0, bottom.from.z};
  const double bend = std::clamp(0.9 * top.to.z, 1.2 * top.radius_mm, 2.2 * top.radius_mm);
  return {
      rod_solid({bodies.upper_serving.to, bodies.upper_leg.to, bodies.upper_leg.radius_mm}), rod_solid(bodies.nock),
      served(bodies.upper_serving, in.nock_height_mm), served(bodies.lower_serving, in.nock_height_mm),
      bent_rod_solid(
          {{loop_knot_x_mm(in, in.upper), 0, top.to.z}, upper, lower, {loop_knot_x_mm(in, in.lower), 0, bottom.from.z}},
          top.radius_mm, bend)};
}

/// How deep a release loop may lie in the cheek when the nock before it lies 1 mm deep.
constexpr double pressed_most = 2;

/// Pieces of a path that begin above `y` on the page: the rim of the crown belongs to the outline, the end of the neck
/// is where the solid stops, not the archer.
Path above(const Path& path, double y) {
  Path out;
  bool keep = false;
  for (const Path::Piece& piece : path.pieces()) {
    if (piece.step == Path::Step::move) keep = piece.p[0].y < y;
    if (!keep) continue;
    if (piece.step == Path::Step::move) out.move_to(piece.p[0]);
    else if (piece.step == Path::Step::line) out.line_to(piece.p[0]);
    else out.curve_to(piece.p[0], piece.p[1], piece.p[2]);
  }
  return out;
}

Point unit2(Point p) {
  const double length = std::hypot(p.x, p.y);
  return length > 0 ? (1 / length) * p : Point{0, -1};
}

/// Everything of a Fit is told of a right-handed archer; in the picture both hands differ in x alone.
struct Onlooker {
  const Fit& fit;
  ViewDirection view;
  Point operator()(Point3 p) const { return view.picture(as_archer_stands(fit.spec, p)); }
};

void mark_places(const Fit& fit, const AssemblyInput& in, const Onlooker& picture, SideScene& scene) {
  const Posture& posture = fit.core.posture;
  const Face& face = fit.core.face;
  scene.pupil = picture(posture.pupil);
  scene.peep = picture(fit.core.peep);
  scene.bend = picture({0, 0, in.upper.bend_mm});
  scene.nose = picture(posture.to_bow(face, face.at(Landmark::pronasale)));
  scene.mouth_corner = picture(posture.to_bow(face, mirrored(face.at(Landmark::cheilion))));
  scene.pivot = picture({in.pivot_x_mm, 0, 0});
  scene.upper_axle = picture({in.upper.axle_ahead_mm, 0, in.upper.axle_aside_mm});
  scene.lower_axle = picture({in.lower.axle_ahead_mm, 0, -in.lower.axle_aside_mm});
  scene.arrow_end = picture({in.arrow_length_mm, 0, 0});
  scene.pin = picture({in.sight_x_mm, 0, in.pin_height_mm});
  scene.head_up = unit2(picture(in.head.turned({0, 0, 1})));
  scene.upper_leg_rad = in.upper.leg_angle_rad;
  scene.lower_leg_rad = in.lower.leg_angle_rad;
  for (const Clearance& c : fit.clearances)
    if (c.name == "arrow-chin" && c.points.size() == 2)
      scene.chin_on_shaft = picture(c.points[0]), scene.chin_on_skin = picture(c.points[1]);
}

/// One a distance, each distance once.
std::vector<SightRay> sight_rays(const Fit& fit, const Onlooker& picture) {
  using enum Key;
  const Spec& spec = fit.spec;
  const SightGeometry geometry = geometry_of(spec, fit.core.peep);
  const Point3& pupil = fit.core.posture.pupil;
  std::vector<double> told;
  std::vector<SightRay> rays;
  for (const double distance : {spec.value(distances_near), spec.value(distances_fit), spec.value(distances_far)}) {
    if (std::ranges::find(told, distance) != told.end()) continue;
    told.push_back(distance);
    const SightMark mark =
        sight_mark(shot_of(spec, fit.core.drag_coefficient), geometry, body_of(spec), distance / 1000);
    const double back = fit.core.peep.x - pupil.x;
    rays.push_back({distance / 1000, picture({pupil.x, 0, fit.core.peep.z + back * std::tan(mark.launch_rad)}),
                    picture({geometry.pin_x_mm, 0, mark.pin_height_mm})});
  }
  return rays;
}

}  // namespace

SideScene side_scene(const Fit& fit) {
  return side_scene(fit, assembly_parts(HeadModel(fit.core.face), assembly_of(fit)));
}

SideScene side_scene(const Fit& fit, const std::vector<Part>& parts) {
  const AssemblyInput in = assembly_of(fit);
  const HeadModel head(fit.core.face);
  const ViewDirection view = side_of(in.right_handed);
  const Pose pose = in.right_handed ? in.head : in.head.mirrored();
  const FitBodies bodies = fit_bodies(in);

  // Skin gives: what is pressed into it is drawn whole, as if the head stood that much farther from the viewer.
  double pressed_mm = 0;
  for (const Clearance& c : fit.clearances) pressed_mm = std::max(pressed_mm, -pressed_most * c.distance_mm);
  const Pose behind = Pose::from_angles(0, 0, 0, -pressed_mm * view.toward_viewer);

  std::vector<std::vector<Shape>> groups(2);
  for (const Part& part : parts)
    // The lids hide all of an eyeball but what is drawn by hand.
    if (!part.name.ends_with(" eye") && !drawn_plain(part.name))
      groups[part.name == "head" ? 0 : 1].push_back(part.name == "head" ? part.shape.moved(behind) : part.shape);
  for (Shape& shape : plain_bodies(in, bodies)) groups[1].push_back(std::move(shape));

  const Point3 gaze =
      solid::unit(as_archer_stands(fit.spec, fit.core.peep) - as_archer_stands(fit.spec, fit.core.posture.pupil));
  const double vane = in.shaft_diameter_mm / 2 + in.vane_height_mm;
  const std::vector<Rod> in_front{
      bodies.upper_leg,
      bodies.upper_serving,
      bodies.lower_serving,
      bodies.nock,
      bodies.shaft,
      {{vane_start_mm, 0, vane / 2}, {vane_start_mm + 0.6 * in.vane_length_mm, 0, vane / 2}, vane / 2}};
  // Plain numbers: they need not wait for the kernel.
  auto face = std::async(std::launch::async, [&] { return face_lines(head, pose, gaze, in_front, view); });

  SideScene scene;
  scene.right_handed = in.right_handed;
  std::vector<DrawnLines> lines = hidden_lines(groups, view);
  scene.head = std::move(lines[0]);
  const std::vector<Point> peep = outline_of(bodies.peep_body, view);
  scene.bow.outline = outside(lines[1].outline, peep);
  scene.bow.sharp = outside(lines[1].sharp, peep).append(Path::polyline(peep, true));
  scene.head.outline = without_hooks(scene.head.outline);
  scene.head_box = scene.head.outline.bounds();
  scene.head.sharp = above(scene.head.sharp, scene.head_box.y0 + 20);
  scene.bow_box = Path(scene.bow.sharp).append(scene.bow.outline).bounds();
  scene.face = face.get();

  const Onlooker picture{fit, view};
  mark_places(fit, in, picture, scene);
  scene.rays = sight_rays(fit, picture);
  return scene;
}

}  // namespace peepwright
