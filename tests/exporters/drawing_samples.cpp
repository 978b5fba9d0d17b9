// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/exporters/drawing_samples.hpp"

#include "exporters/print/sheet.hpp"
#include "exporters/report/draw_report.hpp"
#include "exporters/sheet/chart_page.hpp"
#include "exporters/sheet/draw_chart.hpp"
#include "exporters/sheet/fit_sheet.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/sheet/heat_map.hpp"
#include "exporters/view/compare.hpp"
#include "tests/exporters/chart_sample.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright::test {
namespace {

constexpr auto mm = PaperUnits::millimetres;
constexpr auto in = PaperUnits::inches;

SideViewOptions options(const char* paper, PaperUnits units) { return {paper, units, "2 May", "peepwright"}; }

Spec example(const std::string& name) { return parse_spec({{"fit.toml", example_text(name + "/fit.toml")}}); }

Canvas view_of(const Spec& spec, const char* paper, PaperUnits units) {
  const Fit fit = drawn_fit(spec);
  return side_view(fit, side_scene(fit), options(paper, units));
}

Canvas sheet_of(const Spec& spec, const char* paper, PaperUnits units) {
  const FitReport report = make_report(spec, std::nullopt);
  return fit_sheet(report, side_scene(report.fit), options(paper, units));
}

Canvas compared_with_tied() {
  const Fit a = drawn_fit(example("tied-too-low"), Peep::tied), b = drawn_fit(example("tied-too-low"));
  return comparison_sheet(a, side_scene(a), b, side_scene(b), options("a4", mm));
}

Canvas strip_of_first_fit(const char* paper) {
  StripData strip = strip_of(make_report(first_fit_spec(), std::nullopt), mm, "2 May");
  strip.version = "peepwright";
  return print::draw_sheets(print::strip_layout(), strip, paper, {});
}

Canvas chart_of_many_kinds() {
  ChartSample sample;
  sample.lines = 3;
  sample.readings = sample.hatched = sample.area = true;
  sample.notes = 2;
  sample.rows = 4;
  return chart_page(chart_sample(sample));
}

Canvas map_of_marks() {
  HeatMap map;
  map.title = "Peep mark over draw length and axle to axle";
  map.x = {"draw length", "mm", false};
  map.y = {"axle to axle", "mm", false};
  map.value = {"mean mark", "mm", false};
  map.hatch_means = "less than half of the variants clear";
  for (int i = 0; i < 6; ++i) map.xs.push_back(680 + 10 * i);
  for (int j = 0; j < 5; ++j) map.ys.push_back(760 + 40 * j);
  for (int j = 0; j < 5; ++j)
    for (int i = 0; i < 6; ++i) map.cells.push_back({120 + 3.1 * i - 2.3 * j, i + j > 8});
  return chart_page([&](Canvas& canvas, const Box& frame) { draw_heat_map(canvas, map, frame); });
}

}  // namespace

const std::vector<DrawingSample>& drawing_samples() {
  static const std::vector<DrawingSample> all{
      {"side-view-right", [] { return view_of(first_fit_spec(), "a4", mm); }},
      {"side-view-left", [] { return view_of(example("left-handed"), "letter", in); }},
      {"compare-tied", compared_with_tied},
      {"fit-sheet-a4", [] { return sheet_of(first_fit_spec(), "a4", mm); }},
      {"fit-sheet-letter", [] { return sheet_of(example("tied-too-low"), "letter", in); }},
      {"draw-force", [] { return draw_force_chart(make_draw_report(first_fit_spec(), mm), mm); }},
      {"chart-kinds", chart_of_many_kinds},
      {"heat-map", map_of_marks},
      {"strip-a4", [] { return strip_of_first_fit("a4"); }},
      {"strip-letter", [] { return strip_of_first_fit("letter"); }},
  };
  return all;
}

std::string test_name(const testing::TestParamInfo<DrawingSample>& sample) {
  std::string name = sample.param.name;
  std::ranges::replace(name, '-', '_');
  return name;
}

}  // namespace peepwright::test
