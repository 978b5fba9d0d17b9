// SPDX-License-Identifier: GPL-3.0-or-later
// Every drawing's PDF as poppler reads it, and the fit sheet's numbers against fit.json.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "engine/quantity/quantity.hpp"
#include "exporters/report/report.hpp"
#include "exporters/sheet/fit_sheet.hpp"
#include "tests/exporters/drawing_samples.hpp"
#include "tests/exporters/pdf_reader.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright::test {
namespace {

using testing::HasSubstr;

class Document : public testing::TestWithParam<DrawingSample> {};

TEST_P(Document, OpensHasTheExactPageAndItsFonts) {
  const Canvas canvas = GetParam().draw();
  const ScratchFile file(canvas.pdf({"title", "peepwright"}), ".pdf");
  const std::string info = run("pdfinfo -box -l 99 '" + file.path() + "'");
  EXPECT_THAT(info, HasSubstr("Title:           title"));
  std::istringstream lines(info);
  int boxes = 0;
  for (std::string line; std::getline(lines, line);) {
    if (line.find("MediaBox:") == std::string::npos) continue;
    std::istringstream numbers(line.substr(line.find(':') + 1));
    double x0 = -1, y0 = -1, x1 = -1, y1 = -1;
    numbers >> x0 >> y0 >> x1 >> y1;
    const PageSize size = canvas.page_size(boxes++);
    EXPECT_EQ(x0, 0);
    EXPECT_EQ(y0, 0);
    EXPECT_NEAR(x1 * unit::inch_mm / 72, size.width_mm, 0.002);  // pdfinfo gives hundredths of a point
    EXPECT_NEAR(y1 * unit::inch_mm / 72, size.height_mm, 0.002);
  }
  EXPECT_EQ(boxes, canvas.page_count());

  std::istringstream fonts(run("pdffonts '" + file.path() + "' | tail -n +3"));
  int count = 0;
  for (std::string line; std::getline(fonts, line); ++count)
    EXPECT_THAT(line, HasSubstr(" yes yes yes ")) << "embedded, subset, Unicode";
  EXPECT_GE(count, 1);

  // What was drawn can be found and copied.
  const auto pages = read_pdf(canvas.pdf({}));
  std::size_t words = 0;
  for (const auto& page : pages) words += page.words.size();
  EXPECT_GT(words, 20U);
}

INSTANTIATE_TEST_SUITE_P(Drawings, Document, testing::ValuesIn(drawing_samples()), test_name);

TEST(FitSheetNumbers, AreThoseOfFitJson) {
  for (const char* more : {"", "[archer.face]\neye_to_arrow = \"97.3 mm\"\n[peep.tied]\nmark = \"118 mm\""}) {
    const FitReport report = make_report(first_fit_spec(more), std::nullopt);
    const auto json = nlohmann::json::parse(report_json(report));
    const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"a4", PaperUnits::millimetres, "", ""});
    std::string text = "\n";
    for (const TextBox& box : sheet.texts(0)) text += box.text + "\n";
    const auto one = [](const nlohmann::json& value) { return number_text(value.get<double>(), 1); };
    EXPECT_THAT(text, HasSubstr("\n" + one(json["peep"]["mark_from_nock_top_mm"]) + " mm\n"));
    EXPECT_THAT(text, HasSubstr("give or take " + one(json["peep"]["mark_uncertainty_mm"]) + " mm"));
    EXPECT_THAT(text, HasSubstr("peep above the arrow " + one(json["peep"]["height_full_draw_mm"]) + " mm"));
    EXPECT_THAT(text, HasSubstr("peep from the eye " + one(json["peep"]["eye_to_peep_mm"]) + " mm"));
    const auto& marks = json["sight"]["marks"];
    ASSERT_GT(marks.size(), 3U);
    for (const auto& mark : marks) {
      const std::string from_first =
          mark == marks.front() ? "" : one(mark["from_first_uncertainty_mm"]) + "\n";  // the first has none to it
      EXPECT_THAT(text, HasSubstr("\n" + distance_text(mark["distance_m"], PaperUnits::millimetres) + "\n" +
                                  one(mark["pin_height_mm"]) + "\n" + from_first + one(mark["clearance_mm"]) + "\n" +
                                  one(mark["eye_height_mm"]) + "\n"));
    }
    ASSERT_EQ(json["clearances"].size(), 6U);
    for (const auto& c : json["clearances"])
      EXPECT_THAT(text, HasSubstr("\n" + c["name"].get<std::string>() + "\n" + one(c["distance_mm"]) +
                                  (c.contains("uncertainty_mm") ? " ± " + one(c["uncertainty_mm"]) : "") + "\n"));
  }
}

}  // namespace
}  // namespace peepwright::test
