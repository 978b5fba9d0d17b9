// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/clip_gauge.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/error.hpp"
#include "engine/solid/engraving.hpp"
#include "engine/solid/parts.hpp"
#include "engine/solid/vec.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/step/step.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright::solid {
namespace {

using testing::HasSubstr;

ClipGaugeInput gauge_for(double mark_mm, double engraving_mm = 0.4) {
  ClipGaugeInput in;
  in.mark_mm = mark_mm;
  in.engraving_mm = engraving_mm;
  return in;
}

Point3 normal_of(const TriangleMesh& mesh, const std::array<std::uint32_t, 3>& t) {
  return unit(cross(mesh.vertices[t[1]] - mesh.vertices[t[0]], mesh.vertices[t[2]] - mesh.vertices[t[0]]));
}

/// What callipers read: from the face that rests on the nock to the middle of the points' blunt ends.
double datum_to_points(const TriangleMesh& mesh, const ClipGaugePlan& plan) {
  double seat = -1e9, low = 1e9, high = -1e9;
  for (const auto& t : mesh.triangles) {
    const Point3 n = normal_of(mesh, t);
    for (const std::uint32_t k : t) {
      const Point3& p = mesh.vertices[k];
      if (n.z < -0.999 && p.x > plan.front_x - 1e-6 && p.z < plan.clip_end_z) seat = std::max(seat, p.z);
      if (std::abs(n.y) > 0.999 && std::abs(std::abs(p.y) - plan.point_half) < 1e-6)
        low = std::min(low, p.z), high = std::max(high, p.z);
    }
  }
  return (low + high) / 2 - seat;
}

TEST(ClipGauge, IsOneSoundSolidWithAClosedMesh) {
  for (const double mark : {90.0, 127.4, 183.35, 250.0}) {
    SCOPED_TRACE(mark);
    const ClipGaugeInput in = gauge_for(mark);
    const Part part = clip_gauge(in);
    EXPECT_TRUE(part.shape.sound());
    EXPECT_EQ(part.name, "clip gauge");
    const TriangleMesh mesh = part.shape.mesh(0.05);
    EXPECT_EQ(not_closed(mesh), "");
    EXPECT_NEAR(mesh.volume_mm3() / part.shape.volume_mm3(), 1, 1e-6);  // all faces are flat
    EXPECT_NEAR(datum_to_points(mesh, plan_clip_gauge(in)), mark, 0.02);
  }
}

// Sizes by hand from the defaults, for a mark of 150 mm.
TEST(ClipGauge, HasTheSizesItShould) {
  const ClipGaugeInput in = gauge_for(150, 0);
  const ClipGaugePlan plan = plan_clip_gauge(in);
  const Box box = clip_gauge(in).shape.bounds();
  // Window: half the peep, tie-in and 2 mm: 6 + 10 + 2 = 18; then 15 mm of clip. Saddle: 0.6 of 7 mm below the datum.
  EXPECT_NEAR(box.high.z, 150 + 18 + 15, 0.01);
  EXPECT_NEAR(box.low.z, -4.2, 0.01);
  // Half width at the figures: groove 1.6, chamfer 0.8 and as much again, four figures and a dot, the margin.
  EXPECT_NEAR(box.high.y, 1.6 + 0.8 + 0.8 + (4 * 1.9 + 0.5 + 4 * 0.6) + 1.2, 0.01);
  EXPECT_NEAR(box.low.y, -box.high.y, 1e-3);
  // Ahead: 5.5 of the knot and 4.5 of seat. Behind: the serving's groove of half width 1.4 + 0.2 has sides that end at
  // tan 22.5° of that, closes by 0.2 + 0.15 a side at 45°, then a wall of 1.6 and a chamfer of 0.8.
  EXPECT_NEAR(box.high.x, 10, 0.01);
  EXPECT_NEAR(box.low.x, -(1.6 * std::tan(M_PI / 8) + 0.35 + 1.6 + 0.8), 0.01);
  EXPECT_NEAR(plan.window_low_z, 132, 1e-9);
}

// The volume from areas worked out here, piece by piece, and not from the code's own plan.
TEST(ClipGauge, HoldsTheVolumeOfItsPieces) {
  const double t8 = std::tan(M_PI / 8), back = 1.6 * t8 + 0.35 + 1.6 + 0.8, deep = back + 10;
  const double stem = 1.6 + 0.8 + 0.8 + (3 * 1.9 + 2 * 0.6) + 1.2, head = 14.9, neck = 132 - 4.8,
               shoulder = neck - (head - stem);
  double volume = deep * (2 * stem * (shoulder + 4.2) + (stem + head) * (neck - shoulder) + 2 * head * (183 - neck));
  const auto groove = [&](double diameter, bool lips) {
    const double half = diameter / 2 + 0.2, mouth = diameter / 2 - 0.15, low = half * t8, lean = half - low;
    double area = 2 * half * half - lean * lean;  // ahead of the axis: a box less two corners
    if (!lips) return area + 2 * half * back + 0.8 * 0.8;
    area += 2 * half * low + (half + mouth) * (half - mouth);
    return area + 2 * mouth * (back - low - (half - mouth)) + 0.8 * 0.8;
  };
  volume -= deep * 7.5 * 4.2;                 // saddle
  volume -= (back + 5.5) * 11 * 10;           // room for the knot, above the datum
  volume -= (back + 5.5) * (11 - 7.5) * 4.2;  // and beside the saddle
  volume -= groove(2.8, true) * (25 - 10) + groove(2.8, false) * (132 - 25) + groove(2.4, true) * 15;
  volume -= deep * (2 * 10 * 36 - 2 * 5 * (1.6 + 5));  // window less its two points
  EXPECT_NEAR(clip_gauge(gauge_for(150, 0)).shape.volume_mm3() / volume, 1, 1e-6);
}

TEST(ClipGauge, ScaleAndFiguresAreCutAsDeepAsAsked) {
  double figures = 0;
  const Lettering of_scale{3.4, 1.9, 0.45, 0.6}, of_mark{5, 1.9, 0.5, 0.6};
  for (const auto& [text, lettering] :
       {std::pair{"20", of_scale}, {"40", of_scale}, {"60", of_scale}, {"PEEP", of_mark}, {"95.0", of_mark}})
    for (const Stroke& s : text_strokes(text, lettering)) figures += (s.right - s.left) * (s.high - s.low);
  // Ticks from 11 to 76 mm: 6 of 6 mm, 7 of 4.6 mm, 53 of 3.2 mm; and the points' two lines.
  const double ticks = 0.4 * (6 * 6 + 7 * 4.6 + 53 * 3.2), lines = 0.4 * 2 * (14.9 - 1.2 - 5.3);
  const double cut = clip_gauge(gauge_for(95, 0)).shape.volume_mm3() - clip_gauge(gauge_for(95)).shape.volume_mm3();
  EXPECT_NEAR(cut, 0.4 * (figures + ticks + lines), 1e-3);
}

TEST(Engraving, FiguresHaveStrokesThatDoNotTouch) {
  const Lettering lettering;
  for (const std::string text : {"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "PEEP", "127.4"}) {
    const auto strokes = text_strokes(text, lettering);
    EXPECT_GE(strokes.size(), 2u) << text;
    for (std::size_t i = 0; i < strokes.size(); ++i) {
      EXPECT_GE(strokes[i].left, 0) << text;
      EXPECT_LE(strokes[i].right, text_width(text, lettering) + 1e-9) << text;
      for (std::size_t j = 0; j < i; ++j) {
        const double apart_x = std::max(strokes[i].left - strokes[j].right, strokes[j].left - strokes[i].right);
        const double apart_y = std::max(strokes[i].low - strokes[j].high, strokes[j].low - strokes[i].high);
        EXPECT_GT(std::max(apart_x, apart_y), 0.1) << text;
      }
    }
  }
  const Shape plate = plate_solid({{0, 0, 0}, {0, 9, 0}, {0, 9, 9}, {0, 0, 9}}, 3);
  EXPECT_THROW((void)engraved(plate, {{20, 21, 1, 2}}, 0.4, "a plate"), Error);              // off the face
  EXPECT_THROW((void)engraved(plate, {{1, 4, 1, 4}, {3, 6, 3, 6}}, 0.4, "a plate"), Error);  // into each other
}

/// Least way through the solid, square to the surface, over a few places of each triangle.
double thinnest(const TriangleMesh& mesh) {
  double least = 1e9;
  for (const auto& t : mesh.triangles) {
    const Point3 n = normal_of(mesh, t);
    const Point3 &a = mesh.vertices[t[0]], &b = mesh.vertices[t[1]], &c = mesh.vertices[t[2]];
    for (const auto& w : {std::array{0.34, 0.33, 0.33}, std::array{0.9, 0.06, 0.04}, std::array{0.05, 0.9, 0.05},
                          std::array{0.04, 0.06, 0.9}}) {
      const Point3 from = w[0] * a + w[1] * b + w[2] * c;
      double through = 1e9;
      for (const auto& s : mesh.triangles) {
        const Point3 m = normal_of(mesh, s);
        const double into = -dot(n, m);
        if (into < 1e-9) continue;  // only faces that the way leaves by
        const double way = dot(mesh.vertices[s[0]] - from, m) / into;
        if (way < 1e-6 || way > through) continue;
        const Point3 p = from - way * n;
        bool inside = true;
        for (std::size_t k = 0; k < 3; ++k) {
          const Point3& v = mesh.vertices[s[k]];
          inside &= dot(cross(mesh.vertices[s[(k + 1) % 3]] - v, p - v), m) > -1e-9;
        }
        if (inside) through = way;
      }
      least = std::min(least, through);
    }
  }
  return least;
}

TEST(ClipGauge, HasNoThinWall) {
  for (const double wall : {1.2, 1.6, 3.0}) {
    ClipGaugeInput in = gauge_for(140, 0);
    in.wall_mm = wall;
    const TriangleMesh mesh = clip_gauge(in).shape.mesh(0.05);
    EXPECT_GT(thinnest(mesh), wall - 1e-6);
  }
  // The measure itself sees a thin wall.
  EXPECT_NEAR(thinnest(plate_solid({{0, 0, 0}, {20, 0, 0}, {20, 9, 0}, {0, 9, 0}}, 0.7).mesh(0.05)), 0.7, 1e-6);
}

TEST(ClipGauge, SuitsOtherStringsNocksAndPeeps) {
  for (const auto& [string, serving] : {std::pair{1.0, 1.2}, {3.5, 4.2}, {2.4, 2.4}, {2.8, 2.4}}) {
    ClipGaugeInput in = gauge_for(160, 0);
    in.string_diameter_mm = string, in.serving_diameter_mm = serving;
    in.nock_height_mm = 14, in.peep_across_mm = 14, in.tie_in_mm = 0, in.knot_length_mm = 0, in.groove_clearance_mm = 0,
    in.snap_mm = 0;
    const Part part = clip_gauge(in);
    EXPECT_EQ(not_closed(part.shape.mesh(0.05)), "");
    EXPECT_NEAR(datum_to_points(part.shape.mesh(0.05), plan_clip_gauge(in)), 160, 0.02);
  }
}

TEST(ClipGauge, SaysWhatCannotBeMade) {
  try {
    clip_gauge(gauge_for(45));
    FAIL();
  } catch (const Error& e) {
    EXPECT_EQ(e.code(), ErrorCode::input);
    EXPECT_THAT(e.what(), HasSubstr("45.0 mm"));
    EXPECT_THAT(e.what(), HasSubstr("paper strip"));
  }
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), 0.0, -1.0, 1e9}) {
    ClipGaugeInput in = gauge_for(150);
    in.wall_mm = bad;
    EXPECT_THROW(clip_gauge(in), Error);
    EXPECT_THROW(clip_gauge(gauge_for(bad)), Error);
  }
}

TEST(ClipGauge, GoesOutAsFiles) {
  const std::vector<Part> parts{clip_gauge(gauge_for(95))};
  const std::string step = step_text(parts);
  EXPECT_NO_THROW(check_step(step, parts));
  const std::vector<Part> again{clip_gauge(gauge_for(95))};
  EXPECT_EQ(step == step_text(again), true);
  const auto meshes = meshes_of(parts);
  EXPECT_NO_THROW(check_stl(stl_bytes(meshes), meshes));
  EXPECT_NO_THROW(check_threemf(threemf_bytes(meshes), meshes));
}

TEST(ClipGauge, TakesItsSizesFromTheFit) {
  Spec spec = test::shop_spec();
  spec.give(Key::gauge_wall, 2);
  spec.give(Key::peep_bore_angle, Angle::deg(90).rad());
  const Fit fit = solve_fit(spec);
  const ClipGaugeInput in = clip_gauge_of(fit);
  EXPECT_EQ(in.mark_mm, fit.core.mark_mm);
  EXPECT_EQ(in.wall_mm, 2);
  EXPECT_EQ(in.groove_clearance_mm, spec.value(Key::gauge_groove_clearance));
  EXPECT_NEAR(in.peep_along_mm, in.peep_across_mm, 1e-9);  // the bore square to the string: as long as it is wide
}

}  // namespace
}  // namespace peepwright::solid
