// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

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

TEST(FitJson, LeftHandedDiffersOnlyInTheSignOfSideways) {
  Spec left = test::shop_spec();
  left.hand = Hand::left;
  json r = json::parse(report_json(make_report(test::shop_spec(), std::nullopt))),
       l = json::parse(report_json(make_report(left, std::nullopt)));
  EXPECT_NE(r["clearances"], l["clearances"]);
  const auto mirror = [](json& points) {
    for (json& p : points) p[1] = p[1].get<double>() == 0 ? 0.0 : -p[1].get<double>();
  };
  for (json& clearance : l["clearances"]) mirror(clearance["points_mm"]);
  json pupil = json::array({l["posture"]["pupil_mm"]});
  mirror(pupil);
  l["posture"]["pupil_mm"] = pupil[0];
  l["inputs"]["archer.hand"] = "right";
  EXPECT_EQ(r, l);
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

TEST(Report, NothingIsNotANumber) {
  const std::string text = report_text(make_report(test::shop_spec(), std::nullopt), PaperUnits::millimetres);
  for (const char* word : {"nan", "inf ", "-0.0 "}) EXPECT_THAT(text, ::testing::Not(HasSubstr(word)));
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
