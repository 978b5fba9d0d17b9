// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/clearance/on_solids.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "engine/face/face.hpp"
#include "engine/solid/vec.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright::solid {
namespace {

using test::shop_spec;

const Gap& named(const std::vector<Gap>& all, const std::string& name) {
  for (const Gap& gap : all)
    if (gap.name == name) return gap;
  throw std::runtime_error("no gap " + name);
}

TEST(FitAssembly, PutsEverythingWhereTheFitSays) {
  const Fit fit = solve_fit(shop_spec());
  const AssemblyInput in = assembly_of(fit);
  EXPECT_NO_THROW(check_assembly(in));
  for (std::size_t i = 0; i < landmark_count; ++i) {
    const Point3 there = fit.core.posture.to_bow(fit.core.face, fit.core.face.places[i]);
    EXPECT_LT(norm(in.head(fit.core.face.places[i]) - there), 1e-9);
  }
  const Rod peep = fit_bodies(in).peep_body;
  EXPECT_LT(norm(0.5 * (peep.from + peep.to) - fit.core.peep), 1e-9);
  EXPECT_NEAR(take_off_radius_mm(in.upper), fit.core.legs.take_off_radius_mm, 1e-6);
  for (const Part& part : assembly_parts(HeadModel(in.face), in)) EXPECT_TRUE(part.shape.sound()) << part.name;
}

// The numeric fit measures to single landmarks and to the peep's middle; the solids to the whole skin and to the
// tilted body. So the solids never have more room, and where a landmark is what comes nearest they agree.
TEST(FitAssembly, GapsAgreeWithTheNumericFit) {
  for (const Build build : {Build::adult_male, Build::adult_female, Build::adult_mean}) {
    SCOPED_TRACE(text_of(build));
    Spec spec = shop_spec();
    spec.build = build;
    const Fit fit = solve_fit(spec);
    const AssemblyInput in = assembly_of(fit);
    const auto solids = gaps(HeadModel(in.face), in);
    int compared = 0;
    for (const Clearance& c : fit.clearances) {
      const double solid = named(solids, c.name).distance_mm;
      // Pressed in, a landmark's depth is square to the string and the solids' is square to the skin.
      EXPECT_LT(solid, c.distance_mm + 0.15 + 0.5 * std::max(0.0, -c.distance_mm)) << c.name;
      if (c.name == "sight-arrow") {
        EXPECT_NEAR(solid, c.distance_mm, 1e-6);
      }
      if (c.name == "peep-eye") {
        EXPECT_GT(solid, c.distance_mm - in.peep_body_diameter_mm / 2);
      }
      if (c.name == "string-nose" || c.name == "string-mouth-corner") {
        EXPECT_NEAR(solid, c.distance_mm, 2.0) << c.name;
      }
      ++compared;
    }
    EXPECT_GE(compared, 4);
    EXPECT_EQ(named(solids, "string-nose").nearest, "nose tip");
  }
}

// With the arrow low on the face the mouth corner stands higher than the serving reaches: bare string lies beside it.
TEST(FitAssembly, TheMouthCornerMeetsTheStringAboveTheServingToo) {
  Spec spec = shop_spec();
  spec.build = Build::adult_male;
  double highest = 0, served = 0;
  for (double eye = 85; eye <= 150; eye += 5) {
    spec.give(Key::face_eye_to_arrow, eye);
    const Fit fit = solve_fit(spec);
    const AssemblyInput in = assembly_of(fit);
    const double off = fit.core.posture.mouth_gap_mm;  // of the landmark alone, from a serving all along
    const double corner = fit.core.posture.to_bow(fit.core.face, fit.core.face.at(Landmark::cheilion)).z;
    highest = std::max(highest, corner);
    served = in.serving_above_mm;
    EXPECT_NEAR(named(gaps(HeadModel(in.face), in), "string-mouth-corner").distance_mm, off, 2.5)
        << eye << ", corner " << corner << " above the arrow";
  }
  EXPECT_GT(highest, served + 20);
}

TEST(FitAssembly, ReadStringAngleStillMakesABow) {
  Spec spec = shop_spec();
  spec.give(Key::full_draw_string_angle, Angle::deg(84).rad());
  const AssemblyInput in = assembly_of(solve_fit(spec));
  EXPECT_NO_THROW(check_assembly(in));
  EXPECT_NEAR(take_off_radius_mm(in.upper), spec.value(Key::assumed_take_off_radius), 1e-9);
  EXPECT_NEAR(in.upper.leg_angle_rad + in.lower.leg_angle_rad, Angle::deg(84).rad(), 1e-9);
}

// Moved by hand, the fit made anew and its clearances measured: the budget's lines say the same.
TEST(ChinBudget, IsWhatTheChinsRoomChangesBy) {
  Spec spec = shop_spec();
  spec.build = Build::adult_male;
  spec.give(Key::full_draw_string_angle, Angle::deg(80).rad());
  const Fit fit = solve_fit(spec);
  const Budget budget = chin_budget(fit);
  double squares = 0;
  for (const BudgetLine& line : budget.lines) squares += line.contribution_mm * line.contribution_mm;
  EXPECT_NEAR(budget.combined_mm, std::sqrt(squares), 1e-9);
  const auto contribution = [&](std::string_view input) {
    for (const BudgetLine& line : budget.lines)
      if (line.input == input) return line.contribution_mm;
    return 0.0;
  };
  const Spec spreads = with_spreads(spec);
  for (const Key key : {Key::spread_hollow_ahead, Key::spread_hollow_up, Key::spread_mouth_ahead,
                        Key::spread_nose_ahead, Key::full_draw_string_angle}) {
    const auto room = [&](double by) {
      Spec moved = spreads;
      moved.nudge(key, by);
      const Fit there = solve_fit(moved);
      return clearances_on_solids(there, HeadModel(there.core.face)).front().distance_mm;
    };
    const double u = spreads[key].uncertainty;
    EXPECT_NEAR(contribution(info_of(key).path), std::abs(room(u) - room(-u)) / 2, 1e-6) << info_of(key).path;
  }
  EXPECT_GT(contribution("archer.face.spread.hollow_ahead"), 0.5 * budget.combined_mm);
  EXPECT_GT(contribution("posture"), 0);
}

/// Room at the chin of a head whose eye is held `eye_to_arrow` above the arrow, by a peep that is as high as that asks
/// for.
double chin_room(const HeadModel& head, Spec spec, double eye_to_arrow_mm) {
  spec.give(Key::face_eye_to_arrow, eye_to_arrow_mm);
  return named(gaps(head, assembly_of(solve_fit(spec))), "arrow-chin").distance_mm;
}

struct Archer {
  Build build;
  double percentile, string_deg;
};

std::vector<std::pair<Archer, Spec>> archers() {
  std::vector<std::pair<Archer, Spec>> out;
  for (const Build build : {Build::adult_male, Build::adult_female})
    for (const double percentile : {10.0, 50.0, 90.0})
      for (const double string_deg : {72.0, 80.0, 88.0}) {
        Spec spec = shop_spec();
        spec.build = build;
        spec.give(Key::face_percentile, percentile);
        spec.give(Key::full_draw_string_angle, Angle::deg(string_deg).rad());
        out.push_back({{build, percentile, string_deg}, spec});
      }
  return out;
}

// A higher peep asks for a lower hand: the arrow slides from the hollow down to the chin, whose corner stands nearer to
// the bow's plane, and the room shrinks until a broad chin is touched. Solved fits, head where the solve puts it.
TEST(FitAssembly, AHigherPeepTakesTheRoomAtTheChinUntilItTouches) {
  int touched = 0;
  for (const auto& [archer, spec] : archers()) {
    SCOPED_TRACE(std::string(text_of(archer.build)) + ", percentile " + std::to_string(archer.percentile) +
                 ", string " + std::to_string(archer.string_deg));
    const Face face = make_face(spec);
    const HeadModel head(face);
    const double hollow = -face.at(Landmark::sublabiale).z, chin = -face.at(Landmark::pogonion).z;
    const double first = chin_room(head, spec, hollow);
    double before = first;
    for (double at = hollow + 1; at <= chin; at += 1) {
      const double room = chin_room(head, spec, at);
      EXPECT_LT(room, before) << "eye to arrow " << at;
      before = room;
    }
    EXPECT_GT(first, 1);
    EXPECT_LT(before, first - 1.2);
    if (before <= 0.1) ++touched;
  }
  EXPECT_GE(touched, 5);  // the men of middling and large faces
}

TEST(FitAssembly, TheHollowGivesMoreRoomThanTheChinPoint) {
  for (const auto& [archer, spec] : archers()) {
    const Face face = make_face(spec);
    const HeadModel head(face);
    EXPECT_GT(chin_room(head, spec, -face.at(Landmark::sublabiale).z),
              chin_room(head, spec, -face.at(Landmark::pogonion).z) + 1.2)
        << text_of(archer.build) << ", percentile " << archer.percentile << ", string " << archer.string_deg;
  }
}

}  // namespace
}  // namespace peepwright::solid
