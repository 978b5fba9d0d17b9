// SPDX-License-Identifier: GPL-3.0-or-later
// What reports of a fit and of a bow alone both say: of too light an arrow, of forces that nobody gave.
#include "exporters/report/arrow_notes.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/bow/draw_estimate.hpp"
#include "exporters/report/draw_report.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using ::testing::AnyOf;
using ::testing::Contains;
using ::testing::Each;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr auto mm = PaperUnits::millimetres;

/// A bow whose draw force was read: the curve of one with this peak weight, which itself is not given.
Spec weighed(double peak_lbf) {
  Spec drawn = test::shop_spec();
  drawn.give(Key::bow_peak_weight, Force::lbf(peak_lbf).n());
  Spec spec = test::shop_spec();
  for (const ForceDrawPoint& p : draw_cycle_of(drawn).curve(25))
    spec.force_draw.push_back({spec.from_pivot(Length::mm(p.draw_mm)), Force::n(p.force_n), {}});
  return spec;
}

auto too_light() { return Contains(HasSubstr("DO NOT SHOOT this arrow from this bow")); }

TEST(LightArrow, IsForbiddenByTheForcesThatWereRead) {
  Spec spec = weighed(70);
  spec.give(Key::arrow_mass, 250 * unit::grain_kg);
  EXPECT_THAT(notes_in(make_report(spec, std::nullopt), mm), too_light());
  EXPECT_THAT(make_draw_report(spec, mm).notes, too_light());
  // The higher of the two, as bows are marked with less than they have.
  spec.give(Key::bow_peak_weight, Force::lbf(45).n());
  EXPECT_THAT(notes_in(make_report(spec, std::nullopt), mm), too_light());
  spec.give(Key::arrow_mass, 360 * unit::grain_kg);
  EXPECT_THAT(notes_in(make_report(spec, std::nullopt), mm), Not(too_light()));
  EXPECT_THAT(make_draw_report(spec, mm).notes, Not(too_light()));
}

TEST(LightArrow, IsNotGuessedAt) {
  Spec spec = test::shop_spec();
  spec.give(Key::arrow_mass, 100 * unit::grain_kg);
  EXPECT_EQ(note_on_light_arrow(spec), std::nullopt);  // the peak weight is assumed
  spec = weighed(70);
  EXPECT_EQ(note_on_light_arrow(spec), std::nullopt);  // the mass is
}

Spec with_cams() {
  Spec spec = test::shop_spec();
  const BowDesign design = draw_cycle_of(spec).design;
  spec.give(Key::cam_string_radius, design.string_track.radius_mm);
  spec.give(Key::cam_string_eccentricity, design.string_track.eccentricity_mm);
  spec.give(Key::cam_string_angle, design.string_track.angle_rad);
  spec.give(Key::cam_cable_radius, design.cable_track.radius_mm);
  spec.give(Key::cam_cable_eccentricity, design.cable_track.eccentricity_mm);
  spec.give(Key::cam_cable_angle, design.cable_track.angle_rad);
  return spec;
}

TEST(AssumedForces, OfGivenCamsRestOnTheWeightAlone) {
  const Spec spec = with_cams();
  EXPECT_THAT(notes_in(make_report(spec, std::nullopt), mm),
              Contains(HasSubstr("nobody gave bow.peak_weight: draw forces are of a bow of")));
  const std::vector<std::string> notes = make_draw_report(spec, mm).notes;
  EXPECT_THAT(notes, Contains(HasSubstr("assumed, not given: bow.peak_weight, arrow.mass")));
  EXPECT_THAT(notes, Each(Not(HasSubstr("bow.let_off"))));
}

TEST(AssumedForces, AreSaidInTheJsonAsInTheNotes) {
  const auto assumed = [](const Spec& spec) {
    const FitReport report = make_report(spec, std::nullopt);
    const bool said = nlohmann::json::parse(report_json(report))["draw"]["assumed"];
    const std::vector<std::string> notes = notes_in(report, mm);
    const auto told = [](const std::string& note) { return note.starts_with("nobody gave"); };
    EXPECT_EQ(said, std::ranges::any_of(notes, told));
    return said;
  };
  EXPECT_FALSE(assumed(weighed(60)));
  EXPECT_TRUE(assumed(with_cams()));
  EXPECT_TRUE(assumed(test::shop_spec()));
  Spec told = test::shop_spec();
  told.give(Key::bow_peak_weight, Force::lbf(60).n());
  EXPECT_TRUE(assumed(told));
  told.give(Key::bow_let_off, 0.8);
  EXPECT_FALSE(assumed(told));
}

// Whoever gives two numbers for one thing is told which was used, by a fit and by the bow alone.
TEST(OverruledForces, AreToldOfATableAndOfCams) {
  Spec table = weighed(60);
  const auto told = [](const Spec& spec, const std::string& what) {
    EXPECT_THAT(notes_in(make_report(spec, std::nullopt), mm), Contains(HasSubstr(what)));
    EXPECT_THAT(make_draw_report(spec, mm).notes, Contains(HasSubstr(what)));
  };
  EXPECT_THAT(notes_in(make_report(table, std::nullopt), mm), Each(Not(HasSubstr("were used"))));
  table.give(Key::bow_peak_weight, Force::lbf(50).n());
  table.give(Key::bow_let_off, 0.6);
  told(table, "bow.peak_weight is 222.4 N (50.0 lbf), the draw-force table's highest reading");
  told(table, "bow.let_off is 60.0 %, the draw-force table says 80.0 %; the table was used");
  Spec cams = with_cams();
  cams.give(Key::bow_let_off, 0.7);
  told(cams, "bow.let_off is 70.0 %, the cams as given let off 80.0 %; the cams were used");
}

// A fit's energy is that of round cams, and what speeds are judged by is more: both are said.
TEST(StoredEnergy, OfUsualCamsIsToldBesideThatOfRoundOnes) {
  const auto draw_of = [](const Spec& spec) {
    const FitReport report = make_report(spec, std::nullopt);
    const nlohmann::json draw = nlohmann::json::parse(report_json(report))["draw"];
    const bool said = report_text(report, mm).find("of round cams; usual ones store about") != std::string::npos;
    const double ratio = draw["stored_by_usual_cams_J"].get<double>() / draw["stored_J"].get<double>();
    EXPECT_EQ(said, ratio > 1.001);
    return ratio;
  };
  EXPECT_NEAR(draw_of(test::shop_spec()), 1.23, 1e-6);
  EXPECT_NEAR(draw_of(weighed(60)), 1, 1e-6);
  EXPECT_NEAR(draw_of(with_cams()), 1, 1e-6);
}

}  // namespace
}  // namespace peepwright
