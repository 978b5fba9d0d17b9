// SPDX-License-Identifier: GPL-3.0-or-later
// The fit sheet and the comparison: everything is there, nothing lies on anything else, two pages at most, same bytes.
#include "exporters/sheet/fit_sheet.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <stdexcept>

#include "engine/quantity/paper_text.hpp"
#include "exporters/drawing/segment.hpp"
#include "exporters/print/sheet.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/view/compare.hpp"
#include "tests/exporters/pdf_reader.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright {
namespace {

using test::drawn_fit;
using test::first_fit_spec;
using ::testing::HasSubstr;

std::string all_text(const Canvas& canvas, int page = 0) {
  std::string out;
  for (const TextBox& text : canvas.texts(page)) out += text.text + "\n";
  const std::string unbreakable = "\u00A0";
  for (std::size_t at = 0; (at = out.find(unbreakable, at)) != std::string::npos;)
    out.replace(at, unbreakable.size(), " ");
  return out;
}

void expect_texts_apart(const Canvas& canvas, int page, double margin_mm) {
  const auto& texts = canvas.texts(page);
  const PageSize size = canvas.page_size(page);
  ASSERT_FALSE(texts.empty());
  for (std::size_t i = 0; i < texts.size(); ++i) {
    EXPECT_TRUE(
        (Box{margin_mm, margin_mm, size.width_mm - margin_mm, size.height_mm - margin_mm}.contains(texts[i].box, 0.01)))
        << texts[i].text;
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_FALSE(texts[i].box.overlaps(texts[j].box, 0.3)) << texts[i].text << " / " << texts[j].text;
  }
}

/// "0.06 ± 0.22": what is between, and how sure that is where it is told.
std::string cell_of(const Clearance& c, PaperUnits units) {
  const auto shown = [&](double mm) {
    return units == PaperUnits::inches ? number_text(Length::mm(mm).in(), 2) : number_text(mm, 1);
  };
  return shown(c.distance_mm) + (c.expanded_mm ? " ± " + shown(*c.expanded_mm) : "");
}

TEST(FitSheet, OnePageWithEverything) {
  for (const char* paper : {"a4", "letter"})
    for (const PaperUnits units : {PaperUnits::millimetres, PaperUnits::inches}) {
      const FitReport report = make_report(
          first_fit_spec(units == PaperUnits::inches ? "[archer]\nhand = \"left\"\n[peep.tied]\nmark = \"118 mm\""
                                                     : ""),
          std::nullopt);
      const Canvas sheet = fit_sheet(report, side_scene(report.fit), {paper, units, "2 May", "peepwright 0"});
      ASSERT_EQ(sheet.page_count(), 1);
      expect_texts_apart(sheet, 0, 9.5);
      const std::string text = all_text(sheet);
      const Length mark = Length::mm(report.fit.core.mark_mm);
      EXPECT_THAT(text, HasSubstr("\n" + (units == PaperUnits::inches ? inches_text(mark) : mm_text(mark)) + "\n"));
      EXPECT_THAT(text, HasSubstr(both_text(Length::mm(report.budget.expanded_mm()), units)));
      for (const std::string& caution : cautions()) EXPECT_THAT(text, HasSubstr(caution));
      for (const Clearance& c : report.fit.clearances)
        EXPECT_THAT(text, HasSubstr(c.name + "\n" + cell_of(c, units) + "\n"));
      for (const MarkRow& row : report.fit.marks)
        EXPECT_THAT(text,
                    HasSubstr(distance_text(row.mark.distance_m, units) + "\n" +
                              (units == PaperUnits::inches ? number_text(Length::mm(row.mark.pin_height_mm).in(), 2)
                                                           : number_text(row.mark.pin_height_mm, 1))));
      for (const char* word : {"verify", "Measured after tying", "Draw force", "Measure next", "Assumed", "2 May"})
        EXPECT_THAT(text, HasSubstr(word));
      EXPECT_EQ(text.find("Tied now") != std::string::npos, report.tied.has_value());
      const auto pages = test::read_pdf(sheet.pdf({}));
      EXPECT_NEAR(pages.at(0).width, paper == std::string("a4") ? 210 : 8.5 * 25.4, 0.01);
      EXPECT_NEAR(pages.at(0).height, paper == std::string("a4") ? 297 : 11 * 25.4, 0.01);
    }
}

const Box& box_of(const Canvas& canvas, const std::string& begins) {
  for (const TextBox& text : canvas.texts(0))
    if (text.text.starts_with(begins)) return text.box;
  throw std::runtime_error("not on the sheet: " + begins);
}

TEST(FitSheet, CautionsStandByTheMarkAndNothingOverlaps) {
  std::string marks = "[distances]\nmarks = [";
  for (int d = 10; d <= 70; d += 2) marks += (d > 10 ? ", \"" : "\"") + std::to_string(d) + " m\"";
  for (const char* paper : {"a4", "letter"})
    for (const bool long_table : {false, true}) {
      FitReport report = make_report(
          first_fit_spec("[peep.tied]\nmark = \"118 mm\"\n" + (long_table ? marks + "]" : "")), std::nullopt);
      const SideScene scene = side_scene(report.fit);
      for (const int count : {1, 3, 6, 12}) {
        report.notes.clear();
        for (int i = 0; i < count; ++i)
          report.notes.emplace_back(
              "caution " + std::string(1, char('a' + i)) +
              " says that two sources disagree on the upper leg's angle by more than both allow, and what to "
              "measure again before anything is tied or served in");
        report.notes.back() = std::string("DO NOT SHOOT at 70 m with this sight: the passing vanes would strike it");
        const Canvas sheet = fit_sheet(report, scene, {paper, PaperUnits::millimetres, "", "peepwright"});
        SCOPED_TRACE(paper + std::string(", notes ") + std::to_string(count));
        ASSERT_LE(sheet.page_count(), 2);
        std::string text;
        for (int page = 0; page < sheet.page_count(); ++page) {
          expect_texts_apart(sheet, page, 9.5);
          text += all_text(sheet, page);
        }
        for (const Note& note : report.notes)
          if (!note.metric.starts_with("DO NOT")) {
            EXPECT_THAT(text, HasSubstr(note.metric.substr(1) + "."));
          }
        EXPECT_EQ(text.find("on page 2") != std::string::npos, text.find("Mind") != text.rfind("Mind"));
        // The gravest at the head, the others between the mark and the steps.
        EXPECT_LT(box_of(sheet, "DO NOT SHOOT").y1, box_of(sheet, "MARK").y0);
        if (count > 1) {
          EXPECT_LT(box_of(sheet, "MARK").y1, box_of(sheet, "Mind").y0);
          EXPECT_LT(box_of(sheet, "Mind").y1, box_of(sheet, "At the bench").y0);
        }
        // Letters for reading at a bench: 2.7 mm an em and a little less (ISO 3098's least height is 1.8 mm).
        EXPECT_GT(box_of(sheet, "arrow-chin").height(), 0.88 * 2.7 * 1.3);
      }
    }
}

TEST(FitSheet, TellsHowSureTheChinIsAndAsksForAnEyeThatSettledClosed) {
  for (const PaperUnits units : {PaperUnits::millimetres, PaperUnits::inches}) {
    FitReport report = make_report(first_fit_spec(), std::nullopt);
    Clearance& chin = report.fit.clearances.front();
    ASSERT_EQ(chin.name, "arrow-chin");
    ASSERT_TRUE(chin.expanded_mm);
    const auto shown = [&](double mm) {
      return units == PaperUnits::inches ? number_text(Length::mm(mm).in(), 2) : number_text(mm, 1);
    };
    const std::string beside = shown(chin.distance_mm) + " ± " + shown(*chin.expanded_mm),
                      because = "how far mouth and chin stand ahead is from statistics";
    const SideScene scene = side_scene(report.fit);
    const std::string text = all_text(fit_sheet(report, scene, {"a4", units, "", ""}));
    EXPECT_THAT(text, ::testing::AllOf(HasSubstr("\n" + beside + "\n"), HasSubstr(because)));
    EXPECT_THAT(text, HasSubstr("eye above arrow, settled eyes closed"));
    chin.expanded_mm.reset();  // as of a scan
    EXPECT_THAT(all_text(fit_sheet(report, scene, {"a4", units, "", ""})), ::testing::Not(HasSubstr(because)));
  }
}

TEST(FitSheet, LongTablesTakeASecondPage) {
  std::string marks = "[distances]\nmarks = [";
  for (int d = 10; d <= 70; d += 2) marks += (d > 10 ? ", \"" : "\"") + std::to_string(d) + " m\"";
  const FitReport report = make_report(first_fit_spec(marks + "]"), std::nullopt);
  const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"letter", PaperUnits::millimetres, "", ""});
  ASSERT_EQ(sheet.page_count(), 2);
  expect_texts_apart(sheet, 0, 9.5);
  expect_texts_apart(sheet, 1, 9.5);
  EXPECT_THAT(all_text(sheet, 1), HasSubstr("\n68 m\n"));
}

TEST(FitSheet, TheLongestVerdictStaysInItsColumn) {
  const FitReport report = make_report(first_fit_spec("[distances]\nfar = \"110 m\""), std::nullopt);
  const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"a4", PaperUnits::millimetres, "", ""});
  EXPECT_LE(box_of(sheet, "touching – NOT MET").x1, box_of(sheet, "Longest distance").x0 - 5);
  EXPECT_LE(box_of(sheet, "touching, as wanted").x1, box_of(sheet, "Longest distance").x0 - 5);
}

TEST(FitSheet, SaysInPlainWordsWhatAKeyIs) {
  // Too high a peep, so that a note names a key as well.
  const FitReport report = make_report(first_fit_spec("[archer.face]\neye_to_arrow = \"130 mm\""), std::nullopt);
  ASSERT_THAT(notes_in(report, PaperUnits::millimetres), ::testing::Contains(HasSubstr("archer.face.eye_to_arrow")));
  const FitReport survey = make_report(parse_spec({{"archer.toml", test::example_text("survey-face/archer.toml")},
                                                   {"bow.toml", test::example_text("survey-face/bow.toml")}}),
                                       std::nullopt);
  for (const FitReport* one : {&report, &survey}) {
    const Canvas sheet = fit_sheet(*one, side_scene(one->fit), {"a4", PaperUnits::millimetres, "", "peepwright"});
    std::string text;
    for (int page = 0; page < sheet.page_count(); ++page) text += all_text(sheet, page);
    for (const KeyInfo& key : all_keys()) EXPECT_EQ(text.find(key.path), std::string::npos) << key.path;
    for (std::size_t i = 0; i < std::min<std::size_t>(3, one->next.size()); ++i)
      EXPECT_THAT(text, HasSubstr(one->next[i].help));
  }
  EXPECT_EQ(without_keys("archer.face.eye_to_arrow puts it off; see bow.label."),
            "eye to arrow puts it off; see bow label.");
}

TEST(FitSheet, InchesComeFirstWhereTheyAreWanted) {
  const FitReport report = make_report(
      first_fit_spec("[sight]\nextension = \"3 in\"\nhousing_diameter = \"60 mm\"\n[distances]\nfar = \"100 yd\"\n"
                     "marks = [\"20 yd\", \"100 yd\"]"),
      std::nullopt);
  ASSERT_LT(report.fit.lowest.clearance_mm, 0);
  const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"letter", PaperUnits::inches, "", "peepwright"});
  expect_texts_apart(sheet, 0, 9.5);
  const std::string text = all_text(sheet);
  EXPECT_THAT(text, HasSubstr("DO NOT SHOOT at 100 yd (91.44 m) and beyond with this sight"));
  EXPECT_THAT(strip_of(report, PaperUnits::inches, "").warnings.at(0).headline,
              HasSubstr("DO NOT SHOOT at 100 yd (91.44 m)"));
  EXPECT_THAT(strip_of(report, PaperUnits::millimetres, "").warnings.at(0).headline,
              HasSubstr("DO NOT SHOOT at 91.44 m"));
  for (const Clearance& c : report.fit.clearances)
    EXPECT_THAT(text, HasSubstr(c.name + "\n" + cell_of(c, PaperUnits::inches) + "\n"));
  const auto& worst =
      std::ranges::max_element(report.assumed, {}, [](const Assumption& a) { return std::abs(a.moves_mark_mm); });
  EXPECT_THAT(text, HasSubstr(": mark ± " + fine_text(std::abs(worst->moves_mark_mm), PaperUnits::inches)));
}

TEST(FitSheet, TellsWhatWasAssumedFromWhatThatDoesToTheMark) {
  const FitReport report =
      make_report(parse_spec({{"bow.toml",
                               "[bow]\naxle_to_axle = \"32 in\"\nbrace_height = \"6 3/4 in\"\ndraw_length = \"29 in\"\n"
                               "[archer.face]\neye_to_arrow = \"90 mm\"\n"}}),
                  std::nullopt);
  const auto moves = [&](const std::string& key) {
    return std::abs(std::ranges::find(report.assumed, key, &Assumption::key)->moves_mark_mm);
  };
  const SideScene scene = side_scene(report.fit);
  const std::string metric = all_text(fit_sheet(report, scene, {"a4", PaperUnits::millimetres, "", "peepwright"})),
                    inches = all_text(fit_sheet(report, scene, {"a4", PaperUnits::inches, "", "peepwright"}));
  EXPECT_THAT(metric,
              HasSubstr(", assumed 7.0 mm: mark ± " + number_text(moves("bow.string.nock_height"), 2) + " mm\n"));
  EXPECT_THAT(metric, HasSubstr(", assumed 0 mm: mark ± " + number_text(moves("bow.nock_above_centre"), 1) + " mm\n"));
  EXPECT_THAT(inches, HasSubstr(", assumed 0.28 in (7.0 mm): mark ± 0.020 in (0.50 mm)\n"));
  EXPECT_THAT(inches, HasSubstr(", assumed 0 in: mark ± "));
}

TEST(FitSheet, SaysOfEveryClearanceWhetherItIsAsWanted) {
  const FitReport report = make_report(first_fit_spec(), std::nullopt);
  const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"a4", PaperUnits::millimetres, "", ""});
  std::size_t said = 0, met = 0;
  for (const Clearance& c : report.fit.clearances) met += c.met ? 1 : 0;
  for (const TextBox& text : sheet.texts(0))
    for (const char* verdict : {"clear", "tight", "touching"})
      said += text.text == verdict + std::string(", as wanted") ? 1 : 0;
  EXPECT_GT(met, 2U);
  EXPECT_EQ(said, met);
}

TEST(FitSheet, CountsTheStripsBarsAsTheStripDoes) {
  const FitReport report = make_report(first_fit_spec(), std::nullopt);
  const Canvas sheet = fit_sheet(report, side_scene(report.fit), {"a4", PaperUnits::millimetres, "", ""});
  const Canvas strip =
      print::draw_sheets(print::strip_layout(), strip_of(report, PaperUnits::millimetres, ""), "a4", {});
  const auto words = [](const Canvas& canvas) {
    std::string out = all_text(canvas);
    std::ranges::replace(out, '\n', ' ');
    return out;
  };
  EXPECT_THAT(words(strip), HasSubstr("Check the four bars"));
  EXPECT_THAT(words(sheet), HasSubstr("check its four bars"));
}

TEST(FitSheet, SameBytes) {
  const FitReport report = make_report(first_fit_spec(), std::nullopt);
  const SideViewOptions options{"a4", PaperUnits::millimetres, "", "peepwright"};
  EXPECT_EQ(fit_sheet(report, side_scene(report.fit), options).pdf({}),
            fit_sheet(report, side_scene(report.fit), options).pdf({}));
}

TEST(Comparison, NumbersAreTheDifferences) {
  const Fit a = drawn_fit(first_fit_spec()),
            b = drawn_fit(first_fit_spec("[bow.full_draw]\nstring_angle = \"80 deg\""));
  int seen = 0;
  for (const ComparedRow& row : compared(a, b, PaperUnits::millimetres)) {
    if (row.name == "mark, string at rest") {
      EXPECT_DOUBLE_EQ(row.b - row.a, b.core.mark_mm - a.core.mark_mm);
      ++seen;
    }
    if (row.name == "head forward") {
      EXPECT_DOUBLE_EQ(row.b, head_shift(b.core, a.core).forward_mm);
      ++seen;
    }
    if (row.name == "arrow below the eye") {
      EXPECT_DOUBLE_EQ(row.a, a.core.posture.pupil.z);
      ++seen;
    }
    if (row.name == "string angle") {
      EXPECT_NEAR(row.b, 80, 1e-9);
      ++seen;
    }
  }
  EXPECT_EQ(seen, 4);
  // A flatter string angle leaves the peep farther along the string (s = H / sin).
  EXPECT_GT(b.core.mark_mm, a.core.mark_mm);
}

TEST(Comparison, LabelsKeepClearAndLinesAreToldApartWithoutColour) {
  const Spec tied = parse_spec({{"fit.toml", test::example_text("tied-too-low/fit.toml")}});
  const std::vector<std::pair<Fit, Fit>> pairs{
      {drawn_fit(tied, Peep::tied), drawn_fit(tied)},
      {drawn_fit(first_fit_spec("[archer]\nhand = \"left\"")),
       drawn_fit(first_fit_spec("[archer]\nhand = \"left\"\n[bow.full_draw]\nstring_angle = \"80 deg\""))}};
  for (const auto& [a, b] : pairs) {
    const SideViewOptions options{"letter", PaperUnits::millimetres, "", "peepwright"};
    const Canvas sheet = comparison_sheet(a, side_scene(a), b, side_scene(b), options);
    expect_texts_apart(sheet, 0, 9);
    const auto page = test::read_pdf(sheet.pdf({})).at(0);
    std::size_t dashed = 0, whole = 0;
    for (const test::Painted& path : page.paths) {
      if (!path.stroked) continue;
      ++(path.dashed ? dashed : whole);
      for (const TextBox& text : sheet.texts(0)) {
        const Box inner{text.box.x0 + 0.1, text.box.y0 + 0.1, text.box.x1 - 0.1, text.box.y1 - 0.1};
        for (std::size_t i = 1; i < path.points.size(); ++i) {
          const auto& p = path.points[i - 1];
          const auto& q = path.points[i];
          EXPECT_FALSE(meets({{p.x, page.height - p.y}, {q.x, page.height - q.y}}, inner)) << text.text;
        }
      }
    }
    EXPECT_GT(dashed, 20U);
    EXPECT_GT(whole, 20U);
    EXPECT_EQ(sheet.pdf({}), comparison_sheet(a, side_scene(a), b, side_scene(b), options).pdf({}));
  }
}

TEST(Comparison, DifferentHandsAreRefused) {
  const Fit a = drawn_fit(first_fit_spec()), b = drawn_fit(first_fit_spec("[archer]\nhand = \"left\""));
  EXPECT_THROW((void)comparison_sheet(a, side_scene(a), b, side_scene(b), {}), Error);
}

}  // namespace
}  // namespace peepwright
