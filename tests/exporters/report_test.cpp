// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/paper_text.hpp"
#include "tests/exporters/schema_errors.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

std::string schema_errors(const json& document) { return test::schema_errors(document, fit_schema()); }

TEST(FitJson, KeepsToItsSchema) {
  Spec left = test::shop_spec();
  left.hand = Hand::left;
  left.archer_label = "Å \"quoted\" 弓";
  left.give(Key::bow_peak_weight, 250);
  left.give(Key::bow_let_off, 0.8);
  Spec tied = test::shop_spec();
  tied.give(Key::tied_mark, 120);
  for (const Spec& spec : {test::shop_spec(), left, tied})
    for (const bool referenced : {false, true}) {
      const json document =
          json::parse(report_json(make_report(spec, referenced ? std::optional(test::shop_spec()) : std::nullopt)));
      EXPECT_EQ(schema_errors(document), "");
    }
}

TEST(FitJson, TheSchemaCatchesWhatIsWrong) {
  const json good = json::parse(report_json(make_report(test::shop_spec(), std::nullopt)));
  json bad = good;
  bad["peep"].erase("mark_from_nock_top_mm");
  EXPECT_NE(schema_errors(bad), "");
  bad = good;
  bad["clearances"][0]["verdict"] = "fine";
  EXPECT_NE(schema_errors(bad), "");
  bad = good;
  bad["extra"] = 1;
  EXPECT_NE(schema_errors(bad), "");
}

TEST(FitJson, SaysWhatTheFitSays) {
  const FitReport report = make_report(test::shop_spec(), std::nullopt);
  const json document = json::parse(report_json(report));
  EXPECT_NEAR(document["peep"]["mark_from_nock_top_mm"].get<double>(), report.fit.core.mark_mm, 1e-9);
  EXPECT_NEAR(document["peep"]["mark_uncertainty_mm"].get<double>(), report.budget.expanded_mm(), 1e-9);
  EXPECT_EQ(document["string"]["source"], "draw_cycle");
  EXPECT_TRUE(document["posture"]["head_shift_mm"].is_null());
  EXPECT_EQ(document["inputs"]["bow.axle_to_axle"]["status"], "given");
  EXPECT_EQ(document["inputs"]["arrow.mass"]["status"], "assumed");
  double squares = 0;
  for (const auto& line : document["budget"]) squares += std::pow(line["contribution_mm"].get<double>(), 2);
  EXPECT_NEAR(2 * std::sqrt(squares), document["peep"]["mark_uncertainty_mm"].get<double>(), 1e-6);
}

// The solids stand on the legs in use: where an angle was read, what the draw cycle says of the axles is overruled.
TEST(FitJson, AxlesAreWhereTheSolidsHaveThem) {
  for (const bool read : {false, true}) {
    Spec spec = test::shop_spec();
    if (read) spec.give(Key::full_draw_string_angle, 84 * unit::degree_rad);
    const FitReport report = make_report(spec, std::nullopt);
    const json document = json::parse(report_json(report));
    EXPECT_EQ(schema_errors(document), "");
    double low = 1e9, high = -1e9;
    const solid::HeadModel head(report.fit.core.face);
    for (const solid::Part& part : solid::assembly_parts(head, assembly_of(report.fit)))
      if (part.name.ends_with("cam")) {
        const auto box = part.shape.bounds();
        low = std::min(low, (box.low.z + box.high.z) / 2), high = std::max(high, (box.low.z + box.high.z) / 2);
      }
    const json& string = document["string"];
    EXPECT_NEAR(string["axle_to_axle_mm"].get<double>(), high - low, 0.5);
    EXPECT_NEAR(string["axle_to_axle_mm"].get<double>() + string["axle_closing_mm"].get<double>(),
                spec.value(Key::bow_axle_to_axle), 1e-6);
    const double assumed = document["inputs"]["bow.assumed.axle_closing"]["value"];
    if (read) {
      EXPECT_GT(std::abs(string["axle_closing_mm"].get<double>() - assumed), 5);
    } else {
      EXPECT_NEAR(string["axle_closing_mm"].get<double>(), assumed, 0.01);
    }
  }
}

TEST(FitJson, LeftHandedDiffersOnlyInTheSignOfSidewaysAndTheSideNamed) {
  Spec left = test::shop_spec();
  left.hand = Hand::left;
  json r = json::parse(report_json(make_report(test::shop_spec(), std::nullopt))),
       l = json::parse(report_json(make_report(left, std::nullopt)));
  EXPECT_NE(r["clearances"], l["clearances"]);
  const auto mirror = [](json& points) {
    for (json& p : points) p[1] = p[1].get<double>() == 0 ? 0.0 : -p[1].get<double>();
  };
  for (json& clearance : l["clearances"]) {
    mirror(clearance["points_mm"]);
    std::string nearest = clearance["nearest"];
    EXPECT_EQ(nearest.find("right "), std::string::npos) << clearance["name"];
    if (const auto at = nearest.find("left "); at != std::string::npos) nearest.replace(at, 4, "right");
    clearance["nearest"] = nearest;
  }
  json pupil = json::array({l["posture"]["pupil_mm"]});
  mirror(pupil);
  l["posture"]["pupil_mm"] = pupil[0];
  l["inputs"]["archer.hand"] = "right";
  EXPECT_EQ(r, l);
  // The mouth corner lies at the string on the side that the string stands on.
  EXPECT_EQ(r["clearances"][2]["nearest"], "right mouth corner");
}

TEST(Report, GivesSightMarksInYardsAndInchesWhereTheseComeFirst) {
  const FitReport report = make_report(test::shop_spec(), std::nullopt);
  const MarkRow& row = report.fit.marks.back();
  const std::string metric = report_text(report, PaperUnits::millimetres),
                    inches = report_text(report, PaperUnits::inches);
  EXPECT_THAT(metric, HasSubstr(fmt::format("{:>9.4g} {:>9.3f} {:>12.1f}", row.mark.distance_m,
                                            degrees(row.mark.launch_rad), row.mark.pin_height_mm)));
  EXPECT_THAT(inches, HasSubstr(fmt::format("{:>9.4g} {:>9.3f} {:>12.2f}", row.mark.distance_m / 0.9144,
                                            degrees(row.mark.launch_rad), Length::mm(row.mark.pin_height_mm).in())));
  EXPECT_THAT(inches, HasSubstr("arrow, in"));
}

TEST(Report, SaysMarkUncertaintySourceAndCautions) {
  const FitReport report = make_report(test::shop_spec(), std::nullopt);
  const std::string text = report_text(report, PaperUnits::inches);
  EXPECT_THAT(text, HasSubstr("MARK  " + both_text(Length::mm(report.fit.core.mark_mm), PaperUnits::inches)));
  EXPECT_THAT(text, HasSubstr("string angle: from catalogue numbers by the draw cycle"));
  EXPECT_THAT(text, HasSubstr("They do not describe children"));
  // Wrapped over lines in the text, so look for how each begins.
  ASSERT_GE(cautions().size(), 7U);
  for (const std::string& caution : cautions()) EXPECT_THAT(text, HasSubstr(caution.substr(0, 40)));
}

TEST(Report, EveryClearanceHasItsVerdict) {
  Spec spec = test::shop_spec();
  spec.give(Key::wanted_peep_eye, 150);
  const FitReport report = make_report(spec, std::nullopt);
  EXPECT_FALSE(report.fit.all_met());
  EXPECT_THAT(report_text(report, PaperUnits::millimetres), HasSubstr("NOT MET"));
}

TEST(Report, MindsTheShaftThatTargetRulesRefuse) {
  // International target rules: 9.3 mm at most [P2].
  Spec spec = test::shop_spec();
  spec.give(Key::arrow_shaft_diameter, 9.3);
  EXPECT_THAT(report_text(make_report(spec, std::nullopt), PaperUnits::millimetres),
              ::testing::Not(HasSubstr("thicker than")));
  spec.give(Key::arrow_shaft_diameter, 9.4);
  EXPECT_THAT(report_text(make_report(spec, std::nullopt), PaperUnits::millimetres),
              HasSubstr("thicker than the 9.3 mm"));
}

// A number to a tenth of a millimetre, of a chin that nobody measured, stands beside how sure it is.
TEST(Report, TellsHowSureTheChinIsUnlessAScanShowsIt) {
  const Spec spec = test::shop_spec();
  const FitReport report = make_report(spec, std::nullopt);
  const double expanded = chin_budget(report.fit).expanded_mm();
  const json clearances = json::parse(report_json(report))["clearances"];
  for (const json& clearance : clearances)
    if (clearance["name"] == "arrow-chin") EXPECT_NEAR(clearance["uncertainty_mm"].get<double>(), expanded, 1e-9);
    else EXPECT_FALSE(clearance.contains("uncertainty_mm")) << clearance["name"];
  EXPECT_THAT(report_text(report, PaperUnits::millimetres),
              HasSubstr(fmt::format("arrow-chin: give or take {:.1f} mm (k = 2), as nobody measured", expanded)));
  EXPECT_THAT(report_text(report, PaperUnits::inches),
              HasSubstr("arrow-chin: give or take " + fine_text(expanded, PaperUnits::inches)));
  Spec scanned = spec;
  scanned.placed_marks = {{"sublabiale", {11, 0, -86}}, {"cheilion", {3, 25, -69}}};
  const FitReport of_scan = make_report(scanned, std::nullopt);
  EXPECT_THAT(report_json(of_scan), ::testing::Not(HasSubstr("\"uncertainty_mm\"")));
  EXPECT_THAT(report_text(of_scan, PaperUnits::millimetres), ::testing::Not(HasSubstr("how far mouth and chin")));
}

TEST(Report, InchesAndYardsComeFirstWhereTheyAreWanted) {
  Spec spec = test::shop_spec();
  spec.give(Key::distances_far, Length::in(36 * 100.0).mm());
  spec.give(Key::sight_housing_diameter, 70);
  spec.give(Key::tied_mark, 120);
  const FitReport report = make_report(spec, test::shop_spec());
  ASSERT_LT(report.fit.lowest.clearance_mm, 0);
  const std::string text = report_text(report, PaperUnits::inches);
  EXPECT_THAT(text, HasSubstr("DO NOT SHOOT at 70 yd (64.01 m) and beyond with this sight"));
  EXPECT_THAT(text, HasSubstr("eye " + both_text(Length::mm(report.fit.core.posture.pupil.z), PaperUnits::inches)));
  for (const Clearance& c : report.fit.clearances)
    EXPECT_THAT(text, HasSubstr(fmt::format("  {:<19} {:>18}", c.name, fine_text(c.distance_mm, PaperUnits::inches))));
  for (const BudgetLine& line : report.budget.lines)
    if (line.contribution_mm > 0.05) {
      EXPECT_THAT(text, HasSubstr(fine_text(line.contribution_mm, PaperUnits::inches, 2)));
    }
  // Every millimetre and metre stands in brackets, after its inches, but in the words of keys and rules.
  for (const std::string unit : {" mm", " m "})
    for (std::size_t at = text.find(unit); at != std::string::npos; at = text.find(unit, at + 1)) {
      const std::size_t open = text.rfind('(', at), close = text.rfind(')', at);
      EXPECT_TRUE(open != std::string::npos && (close == std::string::npos || close < open))
          << text.substr(at - std::min<std::size_t>(at, 60), 70);
    }
  // The metric report and the JSON say what they always said.
  EXPECT_THAT(report_text(report, PaperUnits::millimetres), HasSubstr("DO NOT SHOOT at 64.01 m and beyond"));
  EXPECT_THAT(report_json(report), HasSubstr("DO NOT SHOOT at 64.01 m and beyond with"));
}

TEST(Verification, InchesComeFirstWhereTheyAreWanted) {
  Verification v;
  v.move_mm = 2.03;
  v.move_uncertainty_mm = 1.27;
  v.wanted_height_before_mm = v.wanted_height_mm = 88.9;
  const std::string text = verification_text(v, PaperUnits::inches);
  EXPECT_THAT(text, HasSubstr("correction      +0.08 in (+2.0 mm), give or take 0.05 in (1.3 mm)"));
  EXPECT_THAT(text, HasSubstr("the face wants above the arrow  3 1/2 in (88.9 mm) before"));
  EXPECT_THAT(verification_text(v, PaperUnits::millimetres), HasSubstr("+2.0 mm, give or take 1.3 mm"));
}

TEST(Report, TellsTwoBoresApartAndAGivenOneFromAnAssumed) {
  FitReport report = make_report(test::shop_spec(), std::nullopt);
  report.fit.framing_bore_mm = 4.33;
  report.fit.nearest_bore = Length::in(5.0 / 32);
  const std::string text = report_text(report, PaperUnits::millimetres);
  EXPECT_THAT(text, HasSubstr("housing 4.33 mm (0.170 in); nearest on the list 3.97 mm (5/32 in)"));
  EXPECT_THAT(report_text(report, PaperUnits::inches),
              HasSubstr("housing 0.170 in (4.33 mm); nearest on the list 5/32 in"));
  EXPECT_THAT(text, HasSubstr("the bore assumed, 4.76 mm (3/16 in), looks"));
  Spec given = test::shop_spec();
  given.give(Key::peep_bore, 4);
  EXPECT_THAT(report_text(make_report(given, std::nullopt), PaperUnits::millimetres),
              HasSubstr("the bore given, 4.00 mm (0.157 in), looks"));
}

TEST(Report, NothingIsNotANumber) {
  const std::string text = report_text(make_report(test::shop_spec(), std::nullopt), PaperUnits::millimetres);
  for (const char* word : {"nan", "inf ", "-0.0 "}) EXPECT_THAT(text, ::testing::Not(HasSubstr(word)));
}

// A tied peep that told the string's angle: its mark is in the better mark, too, and counts once.
TEST(Report, TheMovesGiveOrTakeCountsTheTiedMarkOnce) {
  Spec spec = test::shop_spec();
  spec.give(Key::tied_mark, 120);
  spec.give(Key::tied_height_full_draw, 82);
  spec.forget(Key::full_draw_string_angle);
  const FitReport report = make_report(spec, std::nullopt);
  ASSERT_EQ(report.fit.core.legs.source, LegSource::tied_peep);
  const double u = spec[Key::tied_mark].uncertainty;
  const auto move = [&](double by) {
    Spec moved = spec;
    moved.nudge(Key::tied_mark, by);
    return make_report(moved, std::nullopt).tied_move_mm;
  };
  double squares = std::pow((move(u) - move(-u)) / 2, 2);
  for (const BudgetLine& line : report.budget.lines)
    if (line.input != "peep.tied.mark") squares += line.contribution_mm * line.contribution_mm;
  EXPECT_NEAR(report.tied_move_uncertainty_mm, 2 * std::sqrt(squares), 0.01);
}

TEST(Cautions, SayWhatTheyMust) {
  std::string all;
  for (const std::string& caution : cautions()) all += caution + "\n";
  for (const char* word : {"without an arrow", "backstop", "dry fire", "bow press", "trained", "Inspect", "limits",
                           "eye protection", "Range rules", "law", "qualified technician", "full draw"})
    EXPECT_THAT(all, HasSubstr(word));
}

}  // namespace
}  // namespace peepwright
