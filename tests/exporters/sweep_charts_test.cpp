// SPDX-License-Identifier: GPL-3.0-or-later
// What a sweep's charts say: units, and that noise is not drawn as a trend.
#include "exporters/sheet/sweep_charts.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

/// A sweep of peak weight and far distance, three values each, whose marks differ by up to `span_mm`.
SweepSummary summary_of(double span_mm) {
  SweepSummary s;
  s.manifest = manifest_of(
      {test::shop_spec(),
       {parse_variation("bow.peak_weight=40 lbf..60 lbf/10 lbf"), parse_variation("distances.far=40 yd..60 yd/10 yd")},
       std::nullopt},
      "0", 1, 1);
  s.by_axis.resize(2);
  for (std::int64_t weight = 0; weight < 3; ++weight)
    for (std::int64_t far = 0; far < 3; ++far) {
      const auto variant = static_cast<std::uint64_t>(3 * weight + far);
      const double mark = 133.8 + span_mm * static_cast<double>(variant) / 8;
      const auto add = [&](SweepGroup& group, double key) {
        group.key_sum += key;
        ++group.tried, ++group.clear;
        group.mark.add(mark, variant);
      };
      add(s.by_axis[0][weight], s.manifest.axes[0].from + s.manifest.axes[0].step * static_cast<double>(weight));
      add(s.by_axis[1][far], s.manifest.axes[1].from + s.manifest.axes[1].step * static_cast<double>(far));
      add(s.by_two[{weight, far}], 0);
      s.mark.add(mark, variant);
      for (const std::int64_t height : {std::int64_t{95}, std::int64_t{97}})
        s.longest_by_height[height].add(60 + static_cast<double>(variant), variant);
      ++s.rows, ++s.solved, ++s.clear;
    }
  return s;
}

std::vector<std::string> words_of(const SweepSummary& s, PaperUnits units, const std::string& name) {
  std::vector<std::string> out;
  for (const NamedChart& chart : sweep_charts(s, units))
    if (chart.name == name)
      for (const TextBox& box : chart.page.texts(0)) out.push_back(box.text);
  return out;
}

constexpr auto inches = PaperUnits::inches;

TEST(SweepCharts, SpeakTheUnitsThatGoWithInches) {
  const SweepSummary s = summary_of(30);
  EXPECT_THAT(words_of(s, inches, "sweep-mark-bow-peak-weight"), Contains("peak weight, lbf"));
  EXPECT_THAT(words_of(s, inches, "sweep-mark-bow-peak-weight"), Contains("60"));
  EXPECT_THAT(words_of(s, inches, "sweep-clear-distances-far"), Contains("far, yd"));
  EXPECT_THAT(words_of(s, PaperUnits::millimetres, "sweep-clear-distances-far"), Contains("far, m"));
  EXPECT_THAT(words_of(s, inches, "sweep-longest"), Contains("longest distance, yd"));
  const auto map = words_of(s, inches, "sweep-map");
  for (const char* word : {"peak weight, lbf", "far, yd", "mean mark, in", "40", "50", "60"})
    EXPECT_THAT(map, Contains(word));
}

TEST(SweepCharts, NoiseIsNoTrend) {
  for (const PaperUnits units : {inches, PaperUnits::millimetres}) {
    const SweepSummary noise = summary_of(0.06), trend = summary_of(30);
    EXPECT_THAT(words_of(noise, units, "sweep-map"), Contains(HasSubstr("hardly changes")));
    EXPECT_THAT(words_of(trend, units, "sweep-map"), Not(Contains(HasSubstr("hardly changes"))));
    EXPECT_THAT(words_of(noise, units, "sweep-mark-distances-far"), Contains("hardly changes"));
    EXPECT_THAT(words_of(trend, units, "sweep-mark-distances-far"), Not(Contains("hardly changes")));
  }
  // The axis spans a millimetre at least: 0.06 mm of noise lies between two of its ticks.
  const auto axis = words_of(summary_of(0.06), PaperUnits::millimetres, "sweep-mark-distances-far");
  EXPECT_THAT(axis, Contains("133.4"));
  EXPECT_THAT(axis, Contains("134.2"));
}

}  // namespace
}  // namespace peepwright
