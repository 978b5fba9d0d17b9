// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/draw_report.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "exporters/report/report.hpp"
#include "exporters/sheet/draw_chart.hpp"
#include "tests/exporters/schema_errors.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

/// The shop's bow with readings of its own curve, 1 N off this way and that.
Spec with_table() {
  Spec spec = test::shop_spec();
  const FullDraw drawn = draw_cycle_of(spec);
  for (const ForceDrawPoint& p : drawn.curve(25)) {
    const double noise = spec.force_draw.size() % 2 == 0 ? 1 : -1;
    spec.force_draw.push_back({spec.from_pivot(Length::mm(p.draw_mm)), Force::n(std::max(0.0, p.force_n + noise)), {}});
  }
  return spec;
}

std::vector<std::vector<double>> rows_of(const std::string& csv) {
  std::vector<std::vector<double>> rows;
  std::istringstream in(csv);
  std::string line, cell;
  std::getline(in, line);
  while (std::getline(in, line)) {
    rows.emplace_back();
    std::istringstream cells(line);
    while (std::getline(cells, cell, ',')) rows.back().push_back(std::stod(cell));
  }
  return rows;
}

TEST(DrawCsv, RowsAreFineHoldTogetherAndAreNamed) {
  const DrawReport report = make_draw_report(test::shop_spec(), PaperUnits::inches);
  const std::string csv = draw_csv(report);
  EXPECT_TRUE(csv.starts_with("draw_to_pivot_mm,draw_length_mm,force_N,upper_leg_deg,lower_leg_deg,closing_mm,"));
  const auto rows = rows_of(csv);
  ASSERT_GT(rows.size(), 100U);
  double work = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    ASSERT_EQ(rows[i].size(), draw_columns().size());
    // Draw force is the two legs' pull along the arrow: T (cos upper + cos lower).
    const double legs = std::cos(Angle::deg(rows[i][3]).rad()) + std::cos(Angle::deg(rows[i][4]).rad());
    EXPECT_NEAR(rows[i][2], rows[i][9] * legs, 0.02) << i;
    if (i == 0) continue;
    const double step = rows[i][0] - rows[i - 1][0];
    EXPECT_GT(step, 0);
    EXPECT_LE(step, 5 + 1e-9);
    work += (rows[i][2] + rows[i - 1][2]) / 2 * step / 1000;
  }
  // Stored energy is the area under the curve; trapezoids of 5 mm.
  EXPECT_NEAR(rows.back()[11], work, 0.02);
  EXPECT_NEAR(rows.front()[0], Length::in(6.75).mm(), 1e-4);
  EXPECT_NEAR(rows.back()[1], Length::in(29.5).mm(), 1e-4);
}

TEST(DrawTable, StepsAreAtMostAnInch) {
  // ASTM F1832: readings in steps of at most one inch.
  for (const PaperUnits units : {PaperUnits::inches, PaperUnits::millimetres})
    for (const double draw_in : {24.0, 26.3, 28.9999, 29.0, 31.75}) {
      Spec spec = test::shop_spec();
      spec.give(Key::bow_draw_length, Length::in(draw_in).mm());
      const DrawReport report = make_draw_report(spec, units);
      ASSERT_GT(report.short_table.size(), 12U);
      for (std::size_t i = 1; i < report.short_table.size(); ++i) {
        const double step = report.short_table[i].draw_mm - report.short_table[i - 1].draw_mm;
        EXPECT_GT(step, 0.01);
        EXPECT_LE(step, unit::inch_mm * 1.011);
      }
      EXPECT_EQ(report.short_table.front().draw_mm, report.bow.rest().draw_mm);
      EXPECT_EQ(report.short_table.back().draw_mm, report.bow.full_draw.draw_mm);
    }
}

TEST(DrawJson, KeepsToItsSchemaAndSaysWhatTheReportSays) {
  Spec fast = test::shop_spec();
  fast.give(Key::arrow_speed, 80);
  fast.bow_label = "Å \"quoted\" 弓";
  for (const Spec& spec : {test::shop_spec(), fast, with_table()}) {
    const DrawReport report = make_draw_report(spec, PaperUnits::inches);
    json document = json::parse(draw_json(report));
    EXPECT_EQ(test::schema_errors(document, draw_schema()), "");
    EXPECT_NEAR(document["force"]["peak_N"].get<double>(), report.bow.peak.force_n, 1e-8);
    EXPECT_EQ(document["curve"].size(), report.table.size());
    EXPECT_EQ(document["columns"].size(), document["curve"][0].size());
    EXPECT_EQ(document["found_by"], spec.force_draw.empty() ? "catalogue" : "force_draw");
    document["force"].erase("let_off");
    EXPECT_NE(test::schema_errors(document, draw_schema()), "");
  }
}

TEST(DrawText, SaysEveryNumberAndEndsWithCautions) {
  const DrawReport report = make_draw_report(test::shop_spec(), PaperUnits::inches);
  const std::string text = draw_text(report, PaperUnits::inches);
  for (const char* word :
       {"peak            60.0 lbf (266.9 N)", "let-off 80.0 %", "stored energy", "string legs", "closing",
        "axle set-back", "take-off radius", "cam turn", "string          ", "cable           ", "stretch",
        "from stored energy", "hand follows", "hand stays", "the shot is off the aim", "The curve"})
    EXPECT_THAT(text, HasSubstr(word));
  for (const char* word : {"nan", "inf ", "-0.0 ", "given  "}) EXPECT_THAT(text, Not(HasSubstr(word)));
  const std::size_t cautions_at = text.find("\nCautions\n");
  ASSERT_NE(cautions_at, std::string::npos);
  for (const std::string& caution : cautions())
    EXPECT_NE(text.find(caution.substr(0, 40), cautions_at), std::string::npos);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 100U) << line;
}

TEST(DrawText, InInchesMillimetresAndNewtonsStandInParenthesesOnly) {
  for (const Spec& spec : {test::shop_spec(), with_table()}) {
    const std::string text = draw_text(make_draw_report(spec, PaperUnits::inches), PaperUnits::inches);
    const std::string told = text.substr(0, text.find("\nMind\n"));
    static const std::regex metric_first(R"(\d (mm|m/s|m|N|g|J)(?![)/\w]))");
    std::smatch found;
    EXPECT_FALSE(std::regex_search(told, found, metric_first)) << found.prefix().str().substr(0, 2000) << found.str();
  }
}

// A curve with a flat top, which no round cam has: what was read stays what was read.
TEST(DrawReport, ATableIsToldAsReadBesideTheBowFittedToIt) {
  Spec spec = test::shop_spec();
  spec.give(Key::bow_axle_to_axle, Length::in(30).mm());
  spec.give(Key::bow_brace_height, Length::in(6.5).mm());
  spec.give(Key::bow_draw_length, Length::in(28).mm());
  spec.give(Key::bow_peak_weight, Force::lbf(60).n());
  spec.give(Key::bow_let_off, 0.8);
  double draw_in = 9;
  for (const double lbf : {8, 20, 33, 44, 52, 57, 60, 60, 60, 59, 58, 57, 55, 52, 47, 40, 31, 21, 14, 12})
    spec.force_draw.push_back({Length::in(draw_in++), Force::lbf(lbf), {}});
  const DrawReport report = make_draw_report(spec, PaperUnits::inches);
  ASSERT_TRUE(report.read && report.read->holding_n);
  EXPECT_NEAR(Force::n(report.read->peak.force.n()).lbf(), 60, 1e-9);
  EXPECT_NEAR(report.read->peak.draw.in(), 15, 1e-9);
  EXPECT_GT(Force::n(report.bow.peak.force_n).lbf(), 61);
  const std::string text = draw_text(report, PaperUnits::inches);
  EXPECT_THAT(text,
              AllOf(HasSubstr("peak, read      60.0 lbf (266.9 N), at a draw of 15 in"),
                    HasSubstr("holding, read   12.0 lbf (53.4 N), let-off 80.0 %"), HasSubstr("peak, fitted "),
                    HasSubstr("comes no nearer to the draw-force table than"), Not(HasSubstr("bow.peak_weight is"))));
  const json force = json::parse(draw_json(report))["force"];
  EXPECT_NEAR(force["peak_read_N"].get<double>(), Force::lbf(60).n(), 1e-8);
  EXPECT_EQ(test::schema_errors(json::parse(draw_json(report)), draw_schema()), "");

  spec.give(Key::bow_peak_weight, Force::lbf(70).n());
  EXPECT_THAT(draw_text(make_draw_report(spec, PaperUnits::inches), PaperUnits::inches),
              HasSubstr("bow.peak_weight is 70.0 lbf (311.4 N), the draw-force table's highest reading 60.0 lbf"));
  spec.force_draw.pop_back();  // not read up to full draw
  EXPECT_FALSE(make_draw_report(spec, PaperUnits::inches).read->holding_n);
}

TEST(DrawText, SetsTheSpeedAgainstTheOneGiven) {
  Spec spec = test::shop_spec();
  spec.give(Key::arrow_speed, 75);
  spec.give(Key::arrow_mass, 0.0255);
  const DrawReport report = make_draw_report(spec, PaperUnits::millimetres);
  ASSERT_TRUE(report.speed.virtual_mass_kg);
  // E = (m + m_v) v² / 2, solved for the virtual mass.
  EXPECT_NEAR(*report.speed.virtual_mass_kg, 2 * report.speed.energy_j / (75.0 * 75.0) - 0.0255, 1e-9);
  EXPECT_THAT(draw_text(report, PaperUnits::millimetres), HasSubstr("given           75.0 m/s (246 ft/s)"));
  spec.give(Key::arrow_speed, 130);
  const DrawReport fast = make_draw_report(spec, PaperUnits::millimetres);
  EXPECT_FALSE(fast.speed.virtual_mass_kg);
  EXPECT_THAT(draw_text(fast, PaperUnits::millimetres),
              HasSubstr("carries 215.5 J"));  // 0.0255 · 130² / 2
}

// What a draw says of the arrow's speed a fit assumes, and where it comes from both say.
TEST(DrawText, SpeedIsTheOneThatAFitAssumes) {
  for (Spec spec : {test::shop_spec(), with_table()}) {
    const DrawReport draw = make_draw_report(spec, PaperUnits::millimetres);
    const FitReport fit = make_report(spec, std::nullopt);
    EXPECT_EQ(draw.speed.m_s, fit.fit.spec.value(Key::arrow_speed));
    EXPECT_EQ(draw.speed.deviation_m_s, fit.fit.spec[Key::arrow_speed].uncertainty);
    const bool table = !spec.force_draw.empty();
    EXPECT_NEAR(draw.speed.energy_j / draw.bow.full_draw.stored_j, table ? 1 : stored_by_usual_cams, 1e-12);
    const bool corrected =
        draw_text(draw, PaperUnits::millimetres).find("usual cams store 1.23 times as much") != std::string::npos;
    EXPECT_NE(corrected, table);
    EXPECT_THAT(report_text(fit, PaperUnits::millimetres),
                HasSubstr(table ? "stored energy by the draw-force table" : "stored energy by the draw cycle"));
  }
}

TEST(DrawReport, SidewaysGiveReachesTheTargetByTriangles) {
  Spec spec = test::shop_spec();
  spec.give(Key::distances_far, 50000);
  const DrawReport report = make_draw_report(spec, PaperUnits::millimetres);
  for (const FacePresses* hand : {&report.hand_follows, &report.hand_stays})
    for (const FacePress* press : {&hand->at_nock, &hand->at_peep}) {
      EXPECT_NEAR(press->arrow_on_target_mm, press->tail_mm * 50000 / spec.pivot_x().mm(), 1e-6);
      const double peep_x = (report.peep_along_mm - 5.5) * std::cos(report.bow.full_draw.upper.leg_angle_rad);
      const double pin_x = spec.pivot_x().mm() + spec.value(Key::sight_extension);
      EXPECT_NEAR(press->sight_on_target_mm,
                  press->peep_mm * (50000 - spec.value(Key::sight_extension)) / (pin_x - peep_x), 1e-6);
    }
  EXPECT_GT(report.hand_follows.at_nock.tail_mm, report.hand_stays.at_nock.tail_mm);
}

TEST(DrawReport, PeepIsWhereItIsTied) {
  Spec spec = test::shop_spec();
  spec.give(Key::tied_mark, 140);
  const DrawReport report = make_draw_report(spec, PaperUnits::millimetres);
  EXPECT_NEAR(report.peep_along_mm, 140 + spec.value(Key::string_nock_height) / 2, 1);
  EXPECT_GT(std::abs(make_draw_report(test::shop_spec(), PaperUnits::millimetres).peep_along_mm - report.peep_along_mm),
            1);
}

TEST(DrawReport, SaysThatTheTableWasUsed) {
  Spec spec = with_table();
  EXPECT_THAT(draw_text(make_draw_report(spec, PaperUnits::inches), PaperUnits::inches),
              HasSubstr("fitted to bow.force_draw"));
  spec.give(Key::bow_peak_weight, 200);
  EXPECT_THAT(draw_text(make_draw_report(spec, PaperUnits::inches), PaperUnits::inches),
              HasSubstr("bow.peak_weight is 45.0 lbf (200.0 N)"));
  spec.forget(Key::bow_peak_weight);
  const FitReport fit = make_report(spec, std::nullopt);
  EXPECT_EQ(fit.fit.core.legs.source, LegSource::force_draw);
  EXPECT_THAT(report_text(fit, PaperUnits::inches),
              HasSubstr("string angle: by the draw cycle, from the measured draw-force table"));
  EXPECT_LT(fit.budget.expanded_mm(), make_report(test::shop_spec(), std::nullopt).budget.expanded_mm());
}

TEST(FitJson, KeepsItsSchemaWithADrawForceTable) {
  Spec spec = with_table();
  spec.force_draw_uncertainty = Force::n(3);
  const json document = json::parse(report_json(make_report(spec, std::nullopt)));
  EXPECT_EQ(test::schema_errors(document, fit_schema()), "");
  EXPECT_EQ(document["inputs"]["bow.force_draw"].size(), spec.force_draw.size());
  EXPECT_EQ(document["inputs"]["uncertainty.bow.force_draw"], 3);
}

TEST(DrawReport, RefusesWhatIsNoBow) {
  Spec spec = test::shop_spec();
  spec.give(Key::bow_brace_height, Length::in(12).mm());
  spec.give(Key::bow_draw_length, Length::in(16).mm());
  EXPECT_THROW(make_draw_report(spec, PaperUnits::inches), Error);
  Spec less;
  less.give(Key::bow_draw_length, Length::in(29).mm());
  EXPECT_THROW(make_draw_report(less, PaperUnits::inches), Error);
}

TEST(FitReport, HasABlockOnTheBow) {
  const std::string text = report_text(make_report(test::shop_spec(), std::nullopt), PaperUnits::inches);
  EXPECT_THAT(text, HasSubstr("\nThe bow\n  peak 60.0 lbf (266.9 N), holding 12.0 lbf (53.4 N), stored "));
  EXPECT_THAT(text, HasSubstr("1 lbf (4.4 N) of face pressure moves the arrow's tail"));
  FitReport without = make_report(test::shop_spec(), std::nullopt);
  without.draw.bow.reset();
  EXPECT_THAT(report_text(without, PaperUnits::inches), Not(HasSubstr("\nThe bow\n")));
}

TEST(DrawChart, IsTheSameEachTimeAndInEveryFormat) {
  for (const Spec& spec : {test::shop_spec(), with_table()})
    for (const PaperUnits units : {PaperUnits::inches, PaperUnits::millimetres}) {
      const DrawReport report = make_draw_report(spec, units);
      const Canvas a = draw_force_chart(report, units), b = draw_force_chart(report, units);
      EXPECT_TRUE(a.pdf({}).starts_with("%PDF"));
      EXPECT_THAT(a.svg(0), HasSubstr("<svg"));
      EXPECT_EQ(a.png(0, 60).substr(1, 3), "PNG");
      EXPECT_EQ(a.pdf({}), b.pdf({}));
      EXPECT_EQ(a.svg(0), b.svg(0));
      EXPECT_EQ(a.svg(0, SvgLetters::text), b.svg(0, SvgLetters::text));
      EXPECT_EQ(a.png(0, 60), b.png(0, 60));
    }
}

}  // namespace
}  // namespace peepwright
