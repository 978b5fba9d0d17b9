// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/assembly.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/quantity/error.hpp"
#include "engine/solid/parts.hpp"
#include "engine/solid/riser.hpp"
#include "engine/solid/vec.hpp"
#include "tests/engine/solid_test_assembly.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::solid {
namespace {

using testing::HasSubstr;

const Gap& named(const std::vector<Gap>& all, const std::string& name) {
  for (const Gap& gap : all)
    if (gap.name == name) return gap;
  throw std::runtime_error("no gap " + name);
}

const Part& named(const std::vector<Part>& all, const std::string& name) {
  for (const Part& part : all)
    if (part.name == name) return part;
  throw std::runtime_error("no part " + name);
}

TEST(Assembly, EveryPartIsOneSoundSolidWithItsOwnName) {
  for (const char* build : {"adult-male", "adult-female"})
    for (const bool right : {true, false}) {
      AssemblyInput in = test::sample_assembly(build);
      in.right_handed = right;
      in.bar_drop_mm = 30;
      const auto parts = assembly_parts(HeadModel(in.face), in);
      std::set<std::string> names;
      for (const Part& part : parts) {
        EXPECT_TRUE(part.shape.sound()) << part.name;
        EXPECT_GT(part.shape.volume_mm3(), 1) << part.name;
        EXPECT_TRUE(names.insert(part.name).second) << part.name;
      }
      for (const char* name : {"head",
                               "left eye",
                               "right eye",
                               "string below peep",
                               "string above peep",
                               "string lower leg",
                               "serving",
                               "release loop",
                               "peep",
                               "nock",
                               "shaft",
                               "point",
                               "vane 1",
                               "vane 3",
                               "upper cam",
                               "lower axle",
                               "upper limb left",
                               "riser",
                               "rest",
                               "sight housing",
                               "sight pin",
                               "sight bar",
                               "sight mount"})
        EXPECT_TRUE(names.contains(name)) << name;
    }
}

/// Whether two sides of the closed polygon in the plane y = 0 meet that are no neighbours.
bool crosses_itself(const std::vector<Point3>& p) {
  const auto turn = [](const Point3& a, const Point3& b, const Point3& c) {
    return (b.x - a.x) * (c.z - a.z) - (b.z - a.z) * (c.x - a.x);
  };
  const std::size_t n = p.size();
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j == n - 1) continue;
      const Point3 &a = p[i], &b = p[i + 1], &c = p[j], &d = p[(j + 1) % n];
      if (turn(a, b, c) * turn(a, b, d) <= 0 && turn(c, d, a) * turn(c, d, b) <= 0) return true;
    }
  return false;
}

// Axles wherever a bow of the accepted keys could have them, near ends and far ones.
TEST(Riser, ItsOutlineNeverCrossesItself) {
  AssemblyInput in = test::sample_assembly();
  int bows = 0;
  for (const double pivot : {200.0, 350.0, 500.0, 650.0, 870.0})
    for (double back = -400; back <= 450; back += 50)
      for (double upper = 101; upper < 760; upper += 33)
        for (const double lower : {upper, std::max(101.0, upper - 120), upper + 120}) {
          in.pivot_x_mm = pivot;
          in.upper.axle_ahead_mm = in.lower.axle_ahead_mm = pivot - back;
          in.upper.axle_aside_mm = upper;
          in.lower.axle_aside_mm = lower;
          EXPECT_FALSE(crosses_itself(riser_outline(in)))
              << "pivot " << pivot << ", axles " << pivot - back << " ahead, " << upper << " and " << lower << " off";
          ++bows;
        }
  EXPECT_GT(bows, 4000);
}

TEST(Assembly, HasSoundPartsForExtremePeepsAndLoops) {
  const struct {
    double length, across, angle_deg, take_off;
  } peeps[] = {{2, 25, 78, 50}, {30, 5, 20, 50}, {30, 25, 90, 50}, {2, 25, 20, 50}, {8, 9, 40, 0}, {8, 9, 40, 119}};
  for (const auto& p : peeps) {
    AssemblyInput in = test::sample_assembly();
    in.peep_body_length_mm = p.length;
    in.peep_body_diameter_mm = p.across;
    in.peep_bore_mm = 0.5 * p.across;
    in.peep_bore_angle_rad = p.angle_deg * M_PI / 180;
    for (LimbEnd* end : {&in.upper, &in.lower}) {
      const double along = std::hypot(end->axle_ahead_mm, end->axle_aside_mm);
      end->leg_angle_rad = std::atan2(end->axle_aside_mm, end->axle_ahead_mm) + std::asin(p.take_off / along);
    }
    for (const Part& part : assembly_parts(HeadModel(in.face), in)) EXPECT_TRUE(part.shape.sound()) << part.name;
    // No string runs through the body: it ends at the peep's face, or before its flank.
    const FitBodies b = fit_bodies(in);
    EXPECT_LT(norm(b.upper_serving.to), in.peep_along_string_mm - peep_gap(in).half_mm);
  }
}

TEST(Assembly, PartsSitWhereTheSolvePutThem) {
  const AssemblyInput in = test::sample_assembly();
  const auto parts = assembly_parts(HeadModel(in.face), in);
  const auto middle = [&](const char* name) {
    const Box b = named(parts, name).shape.bounds();
    return 0.5 * (b.low + b.high);
  };
  const double s = in.peep_along_string_mm, theta = in.upper.leg_angle_rad;
  EXPECT_LT(norm(middle("peep") - Point3{s * std::cos(theta), 0, s * std::sin(theta)}), 1e-3);
  EXPECT_LT(norm(middle("upper cam") - Point3{in.upper.axle_ahead_mm, 0, in.upper.axle_aside_mm}), 1e-3);
  EXPECT_LT(norm(middle("lower axle") - Point3{in.lower.axle_ahead_mm, 0, -in.lower.axle_aside_mm}), 1e-3);
  EXPECT_LT(norm(middle("sight housing") - Point3{in.sight_x_mm, 0, in.pin_height_mm}), 1e-3);
  // Take-off radius 50.8 mm and tangent point (147.6204 from the pivot's side): outside-checks, string [F]. Here the
  // nocking point is the origin: 666.75 − 147.620359607 ahead of it, 451.095712090 above.
  EXPECT_NEAR(take_off_radius_mm(in.upper), 50.8, 2e-3);
  const Box above = named(parts, "string above peep").shape.bounds();
  EXPECT_NEAR(above.high.x, 666.75 - 147.620359607, 1.0);
  EXPECT_NEAR(above.high.z, 451.095712090, 1.0);
  // The peep's volume: a cylinder less its bore.
  const double ring = M_PI / 4 *
                      (in.peep_body_diameter_mm * in.peep_body_diameter_mm - in.peep_bore_mm * in.peep_bore_mm) *
                      in.peep_body_length_mm;
  EXPECT_NEAR(named(parts, "peep").shape.volume_mm3(), ring, 1e-6 * ring);
  // Nose tip of the moved head where the pose says.
  const Box head = named(parts, "head").shape.bounds();
  const Point3 nose = in.head(in.face.at(Landmark::pronasale));
  EXPECT_LT(nose.x, head.high.x + 0.1);
}

// The strands end flat where the serving ends flat, all round, and slanted at the peep's face alone.
TEST(Assembly, TheStringLeavesNoGapAtItsServing) {
  const AssemblyInput in = test::sample_assembly();
  const FitBodies bodies = fit_bodies(in);
  const Point3 along = unit(bodies.upper_leg.to);
  const double served = norm(bodies.upper_serving.to), leg = norm(bodies.upper_leg.to), r = bodies.upper_leg.radius_mm;
  const auto parts = assembly_parts(HeadModel(in.face), in);
  const double half = 0.5 * in.peep_body_length_mm / std::cos(in.peep_bore_angle_rad);
  const auto expect_piece = [&](const char* name, double flat_end, double peep_end) {
    const Shape& shape = named(parts, name).shape;
    const double volume = M_PI * r * r * std::abs(peep_end - flat_end);
    EXPECT_NEAR(shape.volume_mm3(), volume, 1e-6 * volume) << name;
    const auto mesh = shape.mesh(0.05);
    const auto at_flat_end = std::ranges::count_if(
        mesh.vertices, [&](const Point3& p) { return std::abs(dot(p, along) - flat_end) < 1e-6; });
    EXPECT_GE(at_flat_end, 8) << name;
    EXPECT_NEAR(mesh.volume_mm3(), volume, 0.01 * volume) << name;
  };
  expect_piece("string below peep", served, in.peep_along_string_mm - half);
  expect_piece("string above peep", leg, in.peep_along_string_mm + half);
}

TEST(Assembly, SolidsDoNotRunThroughEachOther) {
  const AssemblyInput in = test::sample_assembly();
  const auto parts = assembly_parts(HeadModel(in.face), in);
  // Pairs that touch by design come out as 0; what must stand apart does.
  const struct {
    const char *a, *b;
    double least;
  } pairs[] = {{"shaft", "riser", 1},     {"shaft", "sight housing", 5}, {"peep", "riser", 100},
               {"upper cam", "riser", 5}, {"sight housing", "riser", 1}, {"upper limb left", "upper cam", 1},
               {"sight bar", "shaft", 5}, {"peep", "right eye", 20}};
  for (const auto& pair : pairs)
    EXPECT_GT(named(parts, pair.a).shape.exact_distance_mm(named(parts, pair.b).shape), pair.least)
        << pair.a << ", " << pair.b;
}

TEST(Gaps, AgreeWithTheKernelBetweenTheDrawnSolids) {
  for (const char* build : {"adult-male", "adult-female"}) {
    AssemblyInput in = test::sample_assembly(build, 9);
    in.head.position.x -= 14;  // everything clear of everything, so that the kernel's distances are not 0
    in.head.position.y += 4;
    const HeadModel head(in.face);
    const auto parts = assembly_parts(head, in);
    const auto all = gaps(head, in);
    const Shape& skin = named(parts, "head").shape;
    const auto exact = [&](const char* part, const Shape& other) {
      return named(parts, part).shape.exact_distance_mm(other);
    };
    const Pose to_head = in.head.inverse();
    Rod shaft = fit_bodies(in).shaft;
    shaft.from = to_head(shaft.from), shaft.to = to_head(shaft.to);
    EXPECT_NEAR(head.distance().to(shaft).distance_mm, exact("shaft", skin), 0.01);
    EXPECT_GE(named(all, "arrow-chin").distance_mm,
              exact("shaft", skin) - 0.01);  // the cheek may come nearer than the chin
    EXPECT_NEAR(named(all, "peep-eye").distance_mm, exact("peep", named(parts, "right eye").shape), 0.01);
    const double nose = named(all, "string-nose").distance_mm;
    EXPECT_GT(nose, exact("string below peep", skin) - 0.01);  // the lips may come nearer than the nose
    EXPECT_GT(nose, 1);
    const double nock = std::min(exact("nock", skin), exact("release loop", skin));
    EXPECT_NEAR(named(all, "nock-face").distance_mm, nock,
                0.35);  // the drawn loop has rounded corners, the rods have not
    EXPECT_LE(named(all, "nock-face").distance_mm, nock + 0.01);
    for (const Gap& gap : all)
      EXPECT_NEAR(norm(gap.on_first - gap.on_second), std::abs(gap.distance_mm), 1e-6) << gap.name;
    // Housing against the tube that the vanes sweep.
    const Rod tube{
        {in.sight_x_mm - 50, 0, 0}, {in.sight_x_mm + 50, 0, 0}, in.shaft_diameter_mm / 2 + in.vane_height_mm};
    EXPECT_NEAR(named(all, "sight-arrow").distance_mm, exact("sight housing", rod_solid(tube)), 0.01);
  }
}

// Distances are the bodies' own: the whole assembly carried elsewhere and turned has the same ones, by the kernel on
// the moved solids.
TEST(Gaps, StayTheSameWhereverTheAssemblyIsCarried) {
  AssemblyInput in = test::sample_assembly("adult-female", 4);
  in.head.position.x -= 14, in.head.position.y += 4;
  const HeadModel head(in.face);
  const auto all = gaps(head, in);
  const auto parts = assembly_parts(head, in);
  for (const Pose& carried :
       {Pose::from_angles(0.7, -0.4, 1.1, {120, -340, 55}), Pose::from_angles(-2.1, 0.2, -0.6, {-900, 10, 400})}) {
    const auto exact = [&](const char* a, const char* b) {
      return named(parts, a).shape.moved(carried).exact_distance_mm(named(parts, b).shape.moved(carried));
    };
    EXPECT_NEAR(exact("peep", "right eye"), named(all, "peep-eye").distance_mm, 0.01);
    EXPECT_NEAR(exact("shaft", "head"), named(parts, "shaft").shape.exact_distance_mm(named(parts, "head").shape),
                1e-4);
    EXPECT_LE(exact("shaft", "head"), named(all, "arrow-chin").distance_mm + 0.01);
  }
}

// A shaft that passes before the chin has more room at the height of the hollow than at that of the chin point: over
// both builds, how far off it passes and how far it is turned.
TEST(Gaps, TheHollowGivesMoreRoomThanTheChinPoint) {
  int cases = 0;
  for (const char* build : {"adult-male", "adult-female"}) {
    const HeadModel head(test::mean_face(build));
    const Point3 hollow = head.face().at(Landmark::sublabiale), chin = head.face().at(Landmark::pogonion);
    for (const double ahead : {0.2, 0.5, 1.0})
      for (const double turn : {-0.2, -0.1, 0.0, 0.1, 0.2})
        for (const double radius : {2.1, 2.75, 4.65}) {
          const auto room_at = [&](const Point3& place) {
            const Point3 on_axis{chin.x + ahead + radius, 0, place.z}, along{std::sin(turn), std::cos(turn), 0};
            return head.distance().to(Rod{on_axis - 300.0 * along, on_axis + 300.0 * along, radius}).distance_mm;
          };
          EXPECT_GT(room_at(hollow), room_at(chin)) << build << ", ahead " << ahead << ", turn " << turn;
          ++cases;
        }
  }
  EXPECT_EQ(cases, 90);
}

TEST(Gaps, AreTheSameForTheOtherHandAndMirrored) {
  AssemblyInput in = test::sample_assembly();
  const HeadModel head(in.face);
  const auto right = gaps(head, in);
  in.right_handed = false;
  const auto left = gaps(head, in);
  ASSERT_EQ(right.size(), left.size());
  for (std::size_t i = 0; i < right.size(); ++i) {
    EXPECT_EQ(right[i].name, left[i].name);
    EXPECT_EQ(right[i].distance_mm, left[i].distance_mm);
    EXPECT_EQ(right[i].on_first.y, -left[i].on_first.y);
  }
  EXPECT_EQ(named(right, "string-mouth-corner").nearest, "right mouth corner");
  EXPECT_EQ(named(left, "string-mouth-corner").nearest, "left mouth corner");
  // The drawn solids are mirrored as well: the left-handed archer's head lies on the other side of the bow plane.
  const auto parts = assembly_parts(head, in);
  in.right_handed = true;
  const Box a = named(assembly_parts(head, in), "head").shape.bounds(), b = named(parts, "head").shape.bounds();
  EXPECT_NEAR(a.low.y, -b.high.y, 1e-3);
  EXPECT_NEAR(a.high.y, -b.low.y, 1e-3);
}

TEST(Gaps, SpectaclesComeBeforeTheCornea) {
  AssemblyInput in = test::sample_assembly();
  const HeadModel head(in.face);
  const double bare = named(gaps(head, in), "peep-eye").distance_mm;
  in.spectacles_ahead_mm = 15;
  const Gap worn = named(gaps(head, in), "peep-eye");
  EXPECT_LT(worn.distance_mm, bare - 10);
  EXPECT_EQ(worn.nearest, "spectacles");
}

TEST(Gaps, TheMountHangsLowerThanTheHousing) {
  AssemblyInput in = test::sample_assembly();
  const HeadModel head(in.face);
  const double housing = named(gaps(head, in), "sight-arrow").distance_mm;
  in.bar_drop_mm = in.housing_diameter_mm / 2 + 7;
  EXPECT_NEAR(named(gaps(head, in), "sight-arrow").distance_mm, housing - 7, 1e-9);
  in.lowest_pin_height_mm = in.pin_height_mm - 12;
  EXPECT_NEAR(named(gaps(head, in), "sight-arrow").distance_mm, housing - 19, 1e-9);
}

std::string refusal(const AssemblyInput& in) {
  return test::refusal([&] { check_assembly(in); });
}

TEST(AssemblyRefuses, NumbersThatCannotStandTogether) {
  const AssemblyInput good = test::sample_assembly();
  EXPECT_EQ(refusal(good), "accepted");
  AssemblyInput in = good;
  in.peep_bore_mm = 12;
  EXPECT_THAT(refusal(in), HasSubstr("bore"));
  in = good;
  in.peep_along_string_mm = 900;
  EXPECT_THAT(refusal(in), HasSubstr("free leg"));
  in = good;
  in.upper.leg_angle_rad = 0.5;
  EXPECT_THAT(refusal(in), HasSubstr("misses its cam"));
  in = good;
  in.shaft_diameter_mm = std::nan("");
  EXPECT_THAT(refusal(in), HasSubstr("shaft diameter"));
  in = good;
  in.vane_count = 9;
  EXPECT_THAT(refusal(in), HasSubstr("vanes"));
}

}  // namespace
}  // namespace peepwright::solid
