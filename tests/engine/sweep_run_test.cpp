// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/bow/draw_estimate.hpp"
#include "engine/face/face.hpp"
#include "engine/fit/budget.hpp"
#include "engine/sweep/run.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using ::testing::HasSubstr;

std::vector<SweepRow> all_rows(const SweepPlan& plan, EvaluateOptions options = {}) {
  return Evaluator(plan, plan.base(), options).rows(0, plan.size());
}

TEST(Sweep, MarksEqualSingleFitsToTheLastDigit) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.axle_to_axle=30 in..36 in/2 in")}, std::nullopt);
  for (const SweepRow& row : all_rows(plan)) {
    ASSERT_TRUE(row.outcome) << row.problem;
    Spec spec = test::shop_spec();
    spec.give(Key::bow_axle_to_axle, row.values[0]);
    spec.suit_assumptions();  // as reading it from a file does
    use_draw_cycle(spec);     // with the spread of families, which the sweep leaves out
    const Fit fit = solve_fit(spec);
    EXPECT_EQ(row.outcome->mark_mm, fit.core.mark_mm);
    EXPECT_EQ(row.outcome->leg_angle_rad, fit.core.legs.upper_rad);
    EXPECT_EQ(row.outcome->longest_m, fit.reach.longest_m);
    const auto clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face));
    ASSERT_EQ(clearances.size(), clearance_names.size());
    for (std::size_t i = 0; i < clearances.size(); ++i) {
      EXPECT_EQ(clearances[i].name, clearance_names[i]);
      EXPECT_EQ(row.outcome->gap_mm[i], clearances[i].distance_mm);
      EXPECT_EQ(row.outcome->verdict[i], clearances[i].verdict);
    }
  }
}

// One bow, and the speed that it gives each arrow.
TEST(Sweep, AssumedSpeedsFollowTheArrowsMass) {
  Spec base = test::shop_spec();
  base.give(Key::bow_peak_weight, Force::lbf(40).n());
  const SweepPlan plan(base, {parse_variation("arrow.mass=18 g..34 g/4 g")}, std::nullopt);
  double before = 1e9;
  for (const SweepRow& row : all_rows(plan)) {
    ASSERT_TRUE(row.outcome) << row.problem;
    Spec spec = base;
    spec.give(Key::arrow_mass, row.values[0]);
    use_draw_cycle(spec);
    const Fit fit = solve_fit(spec);
    EXPECT_EQ(row.outcome->longest_m, fit.reach.longest_m);
    EXPECT_EQ(row.outcome->mark_mm, fit.core.mark_mm);
    EXPECT_LT(row.outcome->longest_m, before);
    before = row.outcome->longest_m;
  }
}

TEST(Sweep, FacesOfAPopulationEqualSingleFitsToo) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.brace_height=6 in..7 in/1 in")},
                       Population("adult-female:3:9"));
  for (const SweepRow& row : all_rows(plan)) {
    ASSERT_TRUE(row.outcome) << row.problem;
    Spec spec = test::shop_spec();
    spec.build = Build::adult_female;
    for (std::size_t k = 0; k < plan.keys().size(); ++k) spec.give(plan.keys()[k], row.values[k]);
    use_draw_cycle(spec);
    EXPECT_EQ(row.outcome->mark_mm, solve_core(spec).mark_mm);
  }
}

// Without their chins' depth drawn faces would have nearly the same room at the shaft, and too many would clear.
TEST(Sweep, ChinsThatDifferInDepthHaveMoreAndLessRoom) {
  const SweepPlan plan(test::shop_spec(), {}, Population("adult-male:300:5"));
  double sum[2]{}, squares[2]{};
  for (const SweepRow& row : all_rows(plan)) {
    ASSERT_TRUE(row.outcome) << row.problem;
    Spec spec = plan.spec_at(row.index);
    for (const Key depth : {Key::spread_mouth_ahead, Key::spread_hollow_ahead}) spec.give(depth, 0);
    use_draw_cycle(spec);
    const Fit fit = solve_fit(spec);
    const double room[2]{row.outcome->gap_mm[0],
                         clearances_on_solids(fit, solid::HeadModel(fit.core.face))[0].distance_mm};
    for (int k : {0, 1}) sum[k] += room[k], squares[k] += room[k] * room[k];
  }
  const auto n = static_cast<double>(plan.size());
  const auto sd = [&](int k) { return std::sqrt(squares[k] / n - sum[k] * sum[k] / n / n); };
  EXPECT_GT(sd(0), 1.5 * sd(1));
}

/// A skin that lies a millimetre inside the parametric one.
class LeanSkin : public solid::HeadSurface {
 public:
  explicit LeanSkin(const Face& face) : head_(face) { mesh_.vertices.push_back(face.at(Landmark::pronasale)); }
  [[nodiscard]] solid::Contact to(const solid::Rod& rod, solid::FacePatch patch) const override {
    solid::Contact contact = head_.to(rod, patch);
    contact.distance_mm += 1;
    return contact;
  }
  [[nodiscard]] const solid::TriangleMesh& mesh() const override { return mesh_; }

 private:
  solid::HeadModel head_;
  solid::TriangleMesh mesh_;
};

// As in a single fit, the clearances of a scanned archer are to the scan's own skin, and another scan is another sweep.
TEST(Sweep, ClearancesOfAScanAreToItsOwnSkin) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.axle_to_axle=30 in..34 in/2 in")}, std::nullopt);
  const auto skin = std::make_shared<const LeanSkin>(make_face(plan.base()));
  const auto without = all_rows(plan), with = all_rows(plan, {false, skin});
  ASSERT_EQ(with.size(), 3U);
  for (std::size_t i = 0; i < with.size(); ++i) {
    EXPECT_NEAR(with[i].outcome->gap_mm[0], without[i].outcome->gap_mm[0] + 1, 1e-9);  // arrow-chin
    EXPECT_NEAR(with[i].outcome->gap_mm[1], without[i].outcome->gap_mm[1] + 1, 1e-9);  // string-nose
    EXPECT_EQ(with[i].outcome->gap_mm[3], without[i].outcome->gap_mm[3]);              // sight-arrow: no skin in it
    EXPECT_EQ(with[i].outcome->mark_mm, without[i].outcome->mark_mm);
  }
  solid::TriangleMesh other = skin->mesh();
  other.vertices[0].x += 1e-6;
  EXPECT_NE(fingerprint_of(other), fingerprint_of(skin->mesh()));
}

TEST(Sweep, UncertaintyIsThatOfASingleFit) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.axle_to_axle=33 in..34 in/1 in")}, std::nullopt);
  const SweepRow row = all_rows(plan, {true}).front();
  ASSERT_TRUE(row.outcome && row.outcome->expanded_mm);
  Spec spec = plan.spec_at(0);
  use_draw_cycle(spec);
  EXPECT_EQ(*row.outcome->expanded_mm, mark_budget(spec, solve_core(spec)).expanded_mm());
}

/// Common practice, no source: a longer bow has the flatter string at full draw, so the same height above the arrow is
/// met nearer to the nock; and the head goes back from the target with a string that is less steep.
TEST(Sweep, LongerBowsHaveShorterMarks) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.axle_to_axle=29 in..38 in/1 in")}, std::nullopt);
  const auto rows = all_rows(plan);
  ASSERT_EQ(rows.size(), 10u);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    ASSERT_TRUE(rows[i].outcome) << rows[i].problem;
    EXPECT_LT(rows[i].outcome->mark_mm, rows[i - 1].outcome->mark_mm - 0.3);
    EXPECT_GT(rows[i].outcome->leg_angle_rad, rows[i - 1].outcome->leg_angle_rad);
    EXPECT_LT(rows[i].outcome->shift.forward_mm, rows[i - 1].outcome->shift.forward_mm);
  }
}

TEST(Sweep, ReferenceHasNoShiftAgainstItself) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.axle_to_axle=33 in..33 in/1 in")}, std::nullopt);
  const SweepRow row = all_rows(plan).front();
  ASSERT_TRUE(row.outcome);
  EXPECT_EQ(row.outcome->shift.forward_mm, 0);
  EXPECT_EQ(row.outcome->shift.up_mm, 0);
}

/// The shop's bow with the readings of one that has its catalogue numbers, but other limbs.
Spec shop_spec_with_a_table() {
  Spec other = test::shop_spec();
  other.give(Key::limb_angle, 62 * unit::degree_rad);
  other.give(Key::limb_length, 300);
  other.give(Key::limb_preload, 38 * unit::degree_rad);
  std::vector<double> draws;
  for (double inches = 7; inches < 28; ++inches) draws.push_back(Length::in(inches).mm());
  draws.back() = other.pivot_x().mm();
  Spec spec = test::shop_spec();
  for (const ElasticState& s : draw_cycle_of(other).states(draws))
    spec.force_draw.push_back({spec.from_pivot(Length::mm(s.draw_mm)), Force::n(std::max(0.0, s.force_n)), {}});
  return spec;
}

// Both have the numbers by which a sweep tells its bows apart; only the table is one's alone.
TEST(Sweep, ATableOfTheReferenceOrItsLackIsNotTheVariants) {
  const Spec plain = test::shop_spec(), read = shop_spec_with_a_table();
  const auto drawn = [](Spec spec) {
    use_draw_cycle(spec);
    return solve_core(spec);
  };
  ASSERT_GT(std::abs(drawn(read).legs.upper_rad - drawn(plain).legs.upper_rad), 0.1 * unit::degree_rad);
  const struct {
    const Spec &base, &reference;
    const char* range;
  } pairs[] = {{read, plain, "arrow.mass=350 gr..450 gr/50 gr"}, {plain, read, "bow.axle_to_axle=32 in..34 in/1 in"}};
  for (const auto& [base, reference, range] : pairs) {
    const SweepPlan plan(base, {parse_variation(range)}, std::nullopt);
    const auto rows = Evaluator(plan, reference).rows(0, plan.size());
    ASSERT_EQ(rows.size(), 3u);
    for (const SweepRow& row : rows) {
      ASSERT_TRUE(row.outcome) << row.problem;
      const CoreFit fit = drawn(plan.spec_at(row.index));
      EXPECT_EQ(row.outcome->leg_angle_rad, fit.legs.upper_rad) << range << row.index;
      EXPECT_EQ(row.outcome->mark_mm, fit.mark_mm) << range << row.index;
      EXPECT_EQ(row.outcome->shift.forward_mm, head_shift(fit, drawn(reference)).forward_mm) << range << row.index;
    }
  }
}

TEST(Sweep, AVariantThatCannotBeIsARowWithItsReason) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.draw_length=12 in..30 in/9 in")}, std::nullopt);
  const auto rows = all_rows(plan);
  ASSERT_EQ(rows.size(), 3u);
  EXPECT_FALSE(rows[0].outcome);
  EXPECT_THAT(rows[0].problem, HasSubstr("deg"));
  EXPECT_TRUE(rows[2].outcome) << rows[2].problem;
}

std::string run_to_text(const SweepPlan& plan, Slice slice, unsigned threads) {
  const Evaluator evaluator(plan, plan.base());
  std::string out;
  std::uint64_t expected = slice.first;
  const auto text = [](const std::vector<SweepRow>& rows) {
    std::string part;
    for (const SweepRow& row : rows)
      part += std::to_string(row.index) + (row.outcome ? " " : "!") + std::to_string(row.values[0]) + "\n";
    return part;
  };
  const auto sink = [&](const std::string& part, std::uint64_t next) {
    EXPECT_GT(next, expected);
    expected = next;
    out += part;
  };
  EXPECT_EQ(run_sweep(evaluator, slice, text, sink, {threads, nullptr}), slice.last);
  EXPECT_EQ(expected, slice.last);
  return out;
}

TEST(Sweep, AnyNumberOfThreadsAndAnyPartsGiveTheSameRows) {
  const SweepPlan plan(test::shop_spec(), {parse_variation("bow.nock_above_centre=0 mm..20 mm/0.1 mm")}, std::nullopt);
  const std::string one = run_to_text(plan, {0, plan.size()}, 1);
  EXPECT_EQ(run_to_text(plan, {0, plan.size()}, 3), one);
  std::string joined;
  for (std::uint64_t part = 1; part <= 7; ++part) joined += run_to_text(plan, slice_of(plan.size(), part, 7), 2);
  EXPECT_EQ(joined, one);
}

TEST(Sweep, StopsWhenAsked) {
  const SweepPlan plan(test::shop_spec(), {}, Population("survey-male:4000"));
  const Evaluator evaluator(plan, plan.base());
  std::atomic<bool> stop{false};
  std::uint64_t handed_out = 0;
  const auto sink = [&](const std::string&, std::uint64_t next) {
    handed_out = next;
    stop = true;
  };
  const std::uint64_t done =
      run_sweep(evaluator, {0, plan.size()}, [](const auto&) { return std::string(); }, sink, {2, &stop});
  EXPECT_EQ(done, handed_out);
  EXPECT_GT(done, 0u);
  EXPECT_LT(done, plan.size());
}

TEST(Slice, PartsJoinWithoutGapOrOverlap) {
  for (const std::uint64_t total : {7, 64, 1000}) {
    std::uint64_t next = 0;
    for (std::uint64_t part = 1; part <= 7; ++part) {
      const Slice slice = slice_of(total, part, 7);
      EXPECT_EQ(slice.first, next);
      EXPECT_GE(slice.size(), total / 7);
      next = slice.last;
    }
    EXPECT_EQ(next, total);
  }
  EXPECT_THROW(slice_of(10, 0, 3), Error);
  EXPECT_THROW(slice_of(10, 4, 3), Error);
  EXPECT_THROW(slice_of(2, 1, 3), Error);
}

}  // namespace
}  // namespace peepwright
