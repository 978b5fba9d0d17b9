// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "engine/face/face.hpp"
#include "engine/face/survey.hpp"
#include "engine/sweep/plan.hpp"
#include "engine/sweep/random.hpp"
#include "tests/shared/refusal.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::refusal;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::StartsWith;

TEST(Variation, ReadsRangesWithUnitsAndFractions) {
  const Variation v = parse_variation("bow.axle_to_axle=28 in..36 1/4 in/1/2 in");
  EXPECT_EQ(v.key, Key::bow_axle_to_axle);
  EXPECT_DOUBLE_EQ(v.from, 28 * 25.4);
  EXPECT_DOUBLE_EQ(v.to, 36.25 * 25.4);
  EXPECT_DOUBLE_EQ(v.step, 12.7);
  EXPECT_EQ(v.count, 17u);  // 28, 28.5 … 36
  EXPECT_EQ(parse_variation("bow.let_off=65 %..85 %/5 %").count, 5u);
  EXPECT_EQ(parse_variation("bow.let_off=0.65..0.85/0.05").count, 5u);
  EXPECT_EQ(parse_variation("arrow.speed=250 ft/s..300 ft/s/10 ft/s").count, 6u);
  EXPECT_EQ(parse_variation("bow.axle_to_axle=800 mm..800 mm/1 mm").count, 1u);
}

TEST(Variation, LastValueIsTheEndItself) {
  const Variation v = parse_variation("bow.let_off=0.6..0.9/0.1");
  ASSERT_EQ(v.count, 4u);
  EXPECT_EQ(v.grid_value(3), 0.9);
}

TEST(Variation, RefusesInWords) {
  const auto said = [](const std::string& text) { return refusal([&] { parse_variation(text); }); };
  EXPECT_THAT(said("bow.axle_to_axel=28 in..36 in/1 in"), HasSubstr("did you mean bow.axle_to_axle?"));
  EXPECT_THAT(said("bow.label=1..2/1"), HasSubstr("no number"));
  EXPECT_THAT(said("archer.face.spread.nose_up=1 mm..2 mm/1 mm"), HasSubstr("unknown key"));
  EXPECT_THAT(said("bow.axle_to_axle=36 in..28 in/1 in"), HasSubstr("is empty"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in..36 in/0 in"), HasSubstr("more than 0"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in..36 in/-1 in"), HasSubstr("more than 0"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in..360 in/1 in"), HasSubstr("accepts"));
  EXPECT_THAT(said("bow.axle_to_axle=28..36/1"), HasSubstr("unit"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in..36 in"), HasSubstr("end and step"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in"), HasSubstr(".."));
  EXPECT_THAT(said("bow.axle_to_axle"), HasSubstr("="));
  EXPECT_THAT(said("bow.let_off=0.5..1/2/3"), HasSubstr("two ways"));
  EXPECT_THAT(said("bow.axle_to_axle=28 in..36 in/0.000001 mm"), HasSubstr("at most 1000000"));
}

TEST(SweepPlan, GridGoesThroughEveryCombinationLastKeyFastest) {
  const SweepPlan plan(
      test::shop_spec(),
      {parse_variation("bow.axle_to_axle=30 in..32 in/1 in"), parse_variation("bow.let_off=0.7..0.8/0.1")},
      std::nullopt);
  ASSERT_EQ(plan.size(), 6u);
  std::set<std::pair<double, double>> seen;
  for (std::uint64_t i = 0; i < plan.size(); ++i) {
    const Spec spec = plan.spec_at(i);
    seen.emplace(spec.value(Key::bow_axle_to_axle), spec.value(Key::bow_let_off));
  }
  EXPECT_EQ(seen.size(), 6u);
  EXPECT_EQ(plan.spec_at(0).value(Key::bow_axle_to_axle), plan.spec_at(1).value(Key::bow_axle_to_axle));
  EXPECT_NE(plan.spec_at(0).value(Key::bow_let_off), plan.spec_at(1).value(Key::bow_let_off));
}

TEST(SweepPlan, VariedKeyKeepsTheUncertaintyOfTheFiles) {
  Spec spec = test::shop_spec();
  spec.set_uncertainty(Key::bow_axle_to_axle, 7, true);
  const SweepPlan plan(spec, {parse_variation("bow.axle_to_axle=30 in..32 in/1 in")}, std::nullopt);
  EXPECT_EQ(plan.spec_at(1)[Key::bow_axle_to_axle].uncertainty, 7);
}

TEST(SweepPlan, LatinHypercubeMeetsEveryPartOfEveryRangeOnce) {
  const SweepPlan plan(
      test::shop_spec(),
      {parse_variation("bow.axle_to_axle=700 mm..900 mm/1 mm"), parse_variation("bow.let_off=0.6..0.9/0.1")},
      std::nullopt, {97, 5});
  ASSERT_EQ(plan.size(), 97u);
  std::set<int> lengths, let_offs;
  for (std::uint64_t i = 0; i < plan.size(); ++i) {
    const Spec spec = plan.spec_at(i);
    lengths.insert(static_cast<int>((spec.value(Key::bow_axle_to_axle) - 700) / 200 * 97));
    let_offs.insert(static_cast<int>((spec.value(Key::bow_let_off) - 0.6) / 0.3 * 97));
  }
  EXPECT_EQ(lengths.size(), 97u);
  EXPECT_EQ(let_offs.size(), 97u);
}

TEST(SweepPlan, ShuffleIsAPermutation) {
  for (const std::uint64_t count : {1, 2, 3, 5, 64, 1000}) {
    std::set<std::uint64_t> seen;
    for (std::uint64_t i = 0; i < count; ++i) seen.insert(shuffled(i, count, 42));
    EXPECT_EQ(seen.size(), count);
    EXPECT_EQ(*seen.rbegin(), count - 1);
  }
}

TEST(SweepPlan, FingerprintKnowsWhatRowsDependOn) {
  const auto vary = [](const char* text) { return std::vector{parse_variation(text)}; };
  const char* range = "bow.axle_to_axle=30 in..32 in/1 in";
  const std::string one = SweepPlan(test::shop_spec(), vary(range), std::nullopt).fingerprint("");
  EXPECT_EQ(SweepPlan(test::shop_spec(), vary(range), std::nullopt).fingerprint(""), one);
  EXPECT_NE(SweepPlan(test::shop_spec(), vary(range), std::nullopt).fingerprint("x"), one);
  EXPECT_NE(SweepPlan(test::shop_spec(), vary("bow.axle_to_axle=30 in..32 in/2 in"), std::nullopt).fingerprint(""),
            one);
  EXPECT_NE(SweepPlan(test::shop_spec(), vary(range), Population("adult-male:1")).fingerprint(""), one);
  Spec other = test::shop_spec();
  other.give(Key::bow_let_off, 0.7);
  EXPECT_NE(SweepPlan(other, vary(range), std::nullopt).fingerprint(""), one);
  // Depths that a scan's picks give and no key holds.
  Spec scanned = test::shop_spec();
  scanned.placed_marks = {{"sublabiale", {11, 0, -88}}};
  const std::string with_scan = SweepPlan(scanned, vary(range), std::nullopt).fingerprint("");
  EXPECT_NE(with_scan, one);
  scanned.placed_marks[0].place_mm[0] = 11.5;
  EXPECT_NE(SweepPlan(scanned, vary(range), std::nullopt).fingerprint(""), with_scan);
}

TEST(SweepPlan, RefusesInWords) {
  const Variation length = parse_variation("bow.axle_to_axle=30 in..32 in/1 in");
  EXPECT_THAT(refusal([&] { SweepPlan(test::shop_spec(), {}, std::nullopt); }), HasSubstr("nothing is varied"));
  EXPECT_THAT(refusal([&] {
                SweepPlan(test::shop_spec(), {length, length}, std::nullopt);
              }),
              HasSubstr("varied twice"));
  EXPECT_THAT(refusal([&] {
                SweepPlan(test::shop_spec(), {parse_variation("archer.face.face_length=110 mm..120 mm/1 mm")},
                          Population("adult-male:5"));
              }),
              HasSubstr("by --vary and by --population"));
  Spec measured = test::shop_spec();
  measured.give(Key::face_eye_to_arrow, 90);
  EXPECT_THAT(refusal([&] { SweepPlan(measured, {}, Population("adult-male:5")); }), HasSubstr("eye_to_arrow"));
  const Variation fine = parse_variation("bow.axle_to_axle=700 mm..900 mm/0.001 mm");
  EXPECT_THAT(
      refusal([&] {
        SweepPlan(test::shop_spec(), {fine, parse_variation("bow.brace_height=150 mm..200 mm/0.001 mm")}, std::nullopt);
      }),
      HasSubstr("more than 1000000000 variants"));
  EXPECT_THAT(refusal([] { Population("adult-male"); }), HasSubstr("NAME:N"));
  EXPECT_THAT(refusal([] { Population("adult-male:0"); }), HasSubstr("accepted are 1 to"));
  EXPECT_THAT(refusal([] { Population("adult-male:-3"); }), HasSubstr("whole number"));
  EXPECT_THAT(refusal([] { Population("children:10"); }), HasSubstr("children"));
  EXPECT_THAT(refusal([] { Population("survey-male:5000"); }), HasSubstr("1 to 4082"));
}

// A sweep places the peep anew, so a mark that is tied changes a row only by the string's angle that it tells.
TEST(SweepPlan, ATiedMarkIsVariedOnlyWhereItSaysTheAngle) {
  const auto said = [](const std::string& more, const char* vary) {
    return refusal([&] {
      const std::string text =
          "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 1/2 in\"\n" + more;
      SweepPlan(parse_spec({{"bow.toml", text}}), {parse_variation(vary)}, std::nullopt);
    });
  };
  const char* const marks = "peep.tied.mark=120 mm..130 mm/10 mm";
  const std::string pair = "[peep.tied]\nmark = \"125 mm\"\nheight_full_draw = \"85 mm\"\n";
  EXPECT_THAT(said("", marks), HasSubstr("all rows would be the same"));
  EXPECT_THAT(said("[peep.tied]\nmark = \"125 mm\"\n", marks), HasSubstr("verify --mark"));
  EXPECT_THAT(said("full_draw.string_angle = \"84 deg\"\n" + pair, marks), HasSubstr("all rows would be the same"));
  EXPECT_EQ(said(pair, marks), "accepted");
  EXPECT_EQ(said(pair, "peep.tied.height_full_draw=80 mm..90 mm/5 mm"), "accepted");
}

// The clearances of a scanned archer are to the scan's skin, which no key moves.
TEST(SweepPlan, AFaceIsNotVariedBesideItsScan) {
  Spec scanned = test::shop_spec();
  scanned.scan = ScanSource{"head.ply", "head.ply", 1, {}, {"archer.toml", 2, 8}};
  const auto said = [](const Spec& spec, const char* vary) {
    return refusal([&] { SweepPlan(spec, {parse_variation(vary)}, std::nullopt); });
  };
  for (const char* vary : {"archer.face.nose_tip_below_eye=30 mm..40 mm/5 mm", "archer.face.percentile=10..90/40",
                           "archer.face.pupil_distance=60 mm..66 mm/3 mm"}) {
    EXPECT_THAT(said(scanned, vary), AllOf(StartsWith("archer.toml:2:8: archer.face.scan"),
                                           HasSubstr(std::string(vary).substr(0, std::string(vary).find('='))),
                                           HasSubstr("leave the scan out")));
    EXPECT_EQ(said(test::shop_spec(), vary), "accepted");
  }
  EXPECT_EQ(said(scanned, "archer.face.eye_to_arrow=80 mm..100 mm/10 mm"), "accepted");
  EXPECT_EQ(said(scanned, "bow.axle_to_axle=30 in..32 in/1 in"), "accepted");
  EXPECT_THAT(refusal([&] { SweepPlan(scanned, {}, Population("adult-male:5")); }),
              HasSubstr("one person's head and --population other people's"));
}

// An angle read on one bow would stand in every row of another and hide what the varied key does.
TEST(SweepPlan, ReadingsOfOneBowAreNotKeptForOthers) {
  const auto said = [](const std::string& more, const std::vector<const char*>& vary) {
    return refusal([&] {
      const std::string text =
          "[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 1/2 in\"\n" + more;
      std::vector<Variation> variations;
      for (const char* range : vary) variations.push_back(parse_variation(range));
      SweepPlan(parse_spec({{"bow.toml", text}}), variations, std::nullopt);
    });
  };
  const std::string angle = "full_draw.string_angle = \"84 deg\"\n", spread = "full_draw.axle_to_axle = \"29 in\"\n";
  const std::string pair = "[peep.tied]\nmark = \"125 mm\"\nheight_full_draw = \"85 mm\"\n";
  std::string table = "force_draw = [";
  for (int inches = 9; inches <= 29; ++inches) table += "[\"" + std::to_string(inches) + " in\", \"40 lbf\"], ";
  table += "]\n";
  const char *axles = "bow.axle_to_axle=30 in..36 in/1 in", *angles = "bow.full_draw.string_angle=70 deg..80 deg/5 deg";
  for (const char* key : {axles, "bow.brace_height=6 in..7 in/1 in", "bow.draw_length=27 in..30 in/1 in"}) {
    for (const std::string& reading : {angle, spread, pair, table})
      EXPECT_THAT(said(reading, {key}), HasSubstr("measured on that of the files (bow.toml:")) << key << reading;
    EXPECT_EQ(said("", {key}), "accepted");
  }
  EXPECT_THAT(said(angle, {axles}), HasSubstr("bow.full_draw.string_angle, measured"));
  EXPECT_THAT(said(angle, {"bow.cam.string_radius=40 mm..50 mm/5 mm"}), HasSubstr("vary it too"));
  EXPECT_THAT(said(pair, {"bow.assumed.axle_travel=40 mm..50 mm/5 mm"}), HasSubstr("vary it too"));
  EXPECT_EQ(said(angle, {angles}), "accepted");
  EXPECT_EQ(said(angle, {angles, axles}), "accepted");
  EXPECT_EQ(said(pair, {"peep.tied.mark=120 mm..130 mm/10 mm", axles}), "accepted");
  EXPECT_EQ(said(angle, {"bow.peak_weight=40 lbf..60 lbf/10 lbf"}), "accepted");
  EXPECT_EQ(said(spread, {"bow.assumed.axle_travel=40 mm..50 mm/5 mm"}), "accepted");  // says what was not measured
}

// A face without its scan's skin is a fault of ours, not one more draw that made no head: drawn on, it had no end.
TEST(Population, AFaultOfOursIsPassedOn) {
  Spec spec;
  spec.scan = ScanSource{};
  EXPECT_THAT(refusal([&] { Population("adult-male:1:1").give_face(0, spec); }, ErrorCode::internal),
              HasSubstr("before its scan"));
}

/// Means within three standard errors and correlations within 0.05 of ANSUR II (Gordon et al. 2014), whose
/// statistics are those of the public release's rows.
TEST(Population, DrawnFacesReproduceTheSurvey) {
  constexpr std::uint64_t n = 4000;
  for (const Build build : {Build::adult_male, Build::adult_female}) {
    const Survey& survey = survey_of(build);
    const Population people(std::string(text_of(build)) + ":4000:3");
    Sizes sum{};
    std::array<Sizes, surveyed_sizes> products{};
    for (std::uint64_t i = 0; i < n; ++i) {
      Spec spec;
      people.give_face(i, spec);
      for (std::size_t a = 0; a < surveyed_sizes; ++a) {
        const double off = spec.value(face_measures[a]) - survey.mean_mm[a];
        EXPECT_GE(spec.value(face_measures[a]), survey.least_mm[a]);
        EXPECT_LE(spec.value(face_measures[a]), survey.most_mm[a]);
        sum[a] += off;
        for (std::size_t b = 0; b < surveyed_sizes; ++b)
          products[a][b] += off * (spec.value(face_measures[b]) - survey.mean_mm[b]);
      }
    }
    const auto covariance = [&](std::size_t a, std::size_t b) { return products[a][b] / n - sum[a] * sum[b] / n / n; };
    for (std::size_t a = 0; a < surveyed_sizes; ++a) {
      EXPECT_LT(std::abs(sum[a] / n), 3 * survey.sd_mm[a] / std::sqrt(n)) << text_of(build) << a;
      EXPECT_NEAR(std::sqrt(covariance(a, a)) / survey.sd_mm[a], 1, 0.05);
      for (std::size_t b = 0; b < a; ++b)
        EXPECT_NEAR(covariance(a, b) / std::sqrt(covariance(a, a) * covariance(b, b)), survey.correlation[a][b], 0.05);
    }
  }
}

/// Chins differ in depth as much as the statistics say: the headboard survey's 7.3 mm in men and 6.9 in women, less
/// what face and head length explain (7.15 of the 1967 survey's total), and the hollow's own judgement (half-width 2.95
/// mm over √3). No draw is beyond 3 deviations, which takes 1.3 % off a spread.
TEST(Population, DrawnFacesDifferInTheDepthOfMouthAndChin) {
  constexpr std::uint64_t n = 4000;
  for (const Build build : {Build::adult_male, Build::adult_female}) {
    SCOPED_TRACE(text_of(build));
    const Population people(std::string(text_of(build)) + ":4000:1");
    double sum[2]{}, squares[2]{}, product = 0;
    Spec sized;
    for (std::uint64_t i = 0; i < n; ++i) {
      Spec spec;
      people.give_face(i, spec);
      const double at[2]{spec.value(Key::spread_mouth_ahead), spec.value(Key::spread_hollow_ahead)};
      for (int k : {0, 1}) sum[k] += at[k], squares[k] += at[k] * at[k];
      product += at[0] * at[1];
      if (i == 0) sized = spec;
      Spec flat = spec;
      flat.give(Key::spread_hollow_ahead, 0);
      EXPECT_NEAR(make_face(spec).at(Landmark::pogonion).x - make_face(flat).at(Landmark::pogonion).x, at[1], 1e-9);
    }
    set_face_spreads(sized);
    const double total = build == Build::adult_male ? 7.3 : 6.9;
    EXPECT_NEAR(sized[Key::spread_hollow_ahead].uncertainty, std::hypot(total, 2.95 / std::sqrt(3.0)), 0.25);
    double sd[2];
    for (int k : {0, 1}) {
      const double wanted = sized[k == 0 ? Key::spread_mouth_ahead : Key::spread_hollow_ahead].uncertainty;
      const double mean = sum[k] / n;
      EXPECT_LT(std::abs(mean), 3 * wanted / std::sqrt(n));
      sd[k] = std::sqrt(squares[k] / n - mean * mean);
      EXPECT_NEAR(sd[k] / wanted, 0.987, 0.035);
    }
    EXPECT_NEAR(product / n / (sd[0] * sd[1]), 0, 0.05);  // drawn independently
    EXPECT_EQ(people.missing(), "");
  }
}

TEST(Population, TheSurveysPersonsSayWhatTheyDoNotDifferIn) {
  for (const char* name : {"survey-male", "survey-female"}) {
    const Population people(std::string(name) + ":10");
    EXPECT_THAT(people.missing(), ::testing::AllOf(HasSubstr(name), HasSubstr("chins"), HasSubstr("more of them clear"),
                                                   HasSubstr("adult-" + std::string(name).substr(7) + " draws")));
  }
}

/// The statistics table and the rows are two files of the same survey.
TEST(Population, SurveyRowsHaveTheSurveysMeans) {
  for (const Build build : {Build::adult_male, Build::adult_female}) {
    const Survey& survey = survey_of(build);
    EXPECT_EQ(survey.persons.size(), build == Build::adult_male ? 4082u : 1986u);
    for (std::size_t a = 0; a < surveyed_sizes; ++a) {
      double sum = 0;
      for (const Sizes& person : survey.persons) sum += person[a];
      EXPECT_NEAR(sum / static_cast<double>(survey.persons.size()), survey.mean_mm[a], 0.006);
    }
  }
  Spec spec;
  Population("survey-male:2").give_face(1, spec);
  EXPECT_EQ(spec.value(Key::face_head_length), survey_of(Build::adult_male).persons[1][0]);
  EXPECT_FALSE(spec.given(Key::face_hollow_below_eye));
}

TEST(SweepPlan, AnArrowThatNobodyMeasuredIsLongEnoughForEveryDraw) {
  Spec base = test::shop_spec();
  const std::vector<Variation> draws{parse_variation("bow.draw_length=27 in..32 in/1 in")};
  const SweepPlan plan(base, draws, std::nullopt);
  for (std::uint64_t i = 0; i < plan.size(); ++i) {
    const Spec spec = plan.spec_at(i);
    EXPECT_GE(spec.value(Key::arrow_length), spec.pivot_x().mm() + 25) << i;
  }
  base.give(Key::arrow_length, 700);
  EXPECT_EQ(SweepPlan(base, draws, std::nullopt).spec_at(plan.size() - 1).value(Key::arrow_length), 700);
}

}  // namespace
}  // namespace peepwright
