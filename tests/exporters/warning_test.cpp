// SPDX-License-Identifier: GPL-3.0-or-later
// What a fit forbids heads fit sheet, strip and side view, black on white; nobody is told to draw without it.
#include <gmock/gmock.h>

#include <algorithm>

#include "exporters/drawing/label_row.hpp"
#include "exporters/print/sheet.hpp"
#include "exporters/sheet/fit_sheet.hpp"
#include "exporters/sheet/fit_strip.hpp"
#include "exporters/sheet/warnings.hpp"
#include "exporters/view/compare.hpp"
#include "exporters/view/look.hpp"
#include "tests/exporters/pdf_reader.hpp"
#include "tests/exporters/view_samples.hpp"

namespace peepwright {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;

TEST(Warning, HeadlineEndsAtTheColon) {
  const auto warning = warning_of("DO NOT DRAW with this arrow: its end would stand behind the pivot. Check it");
  ASSERT_TRUE(warning);
  EXPECT_EQ(warning->headline, "DO NOT DRAW with this arrow");
  EXPECT_EQ(warning->why, "Its end would stand behind the pivot. Check it.");
  EXPECT_TRUE(forbids_drawing({*warning}));
  EXPECT_EQ(warning_of("DO NOT SHOOT at any distance")->headline, "DO NOT SHOOT at any distance");
  EXPECT_FALSE(forbids_drawing({*warning_of("DO NOT SHOOT at any distance")}));
  EXPECT_FALSE(warning_of("the nose is squashed: do not draw"));
}

TEST(Warning, WithoutAColonTheWholeSentenceIsKept) {
  const std::string text =
      "DO NOT SHOOT, as the passing vanes would strike the sight at every distance that was asked for";
  EXPECT_EQ(warning_of(text)->headline, "DO NOT SHOOT");
  EXPECT_EQ(warning_of(text)->why, text + ".");
}

TEST(Warning, KeysAreNamedSoThatTheSentenceReads) {
  FitReport report;
  report.notes = {
      std::string("the mouth is off; measure archer.face.eye_to_arrow"), std::string("DO NOT SHOOT: it breaks"),
      std::string("DO NOT DRAW this: it is short. Check arrow.length, bow.draw_length_to and bow.draw_length")};
  const auto warnings = warnings_of(report, PaperUnits::inches);
  ASSERT_EQ(warnings.size(), 2U);
  EXPECT_EQ(warnings[0].why, "It is short. Check arrow length, bow draw length to and bow draw length.");
  EXPECT_EQ(warnings[1].headline, "DO NOT SHOOT");
  const auto notes = plain_notes(report, PaperUnits::inches);
  ASSERT_EQ(notes.size(), 1U);
  EXPECT_THAT(notes[0], StartsWith("The mouth is off"));
}

struct Sheets {
  std::string what;
  Canvas canvas;
};

std::vector<Sheets> sheets_of(const FitReport& report, const SideScene& scene, const char* paper, PaperUnits units) {
  std::vector<Sheets> out;
  const auto warnings = warnings_of(report, units);
  out.push_back({"fit sheet", fit_sheet(report, scene, {paper, units, "2 May", "peepwright 0"})});
  out.push_back({"strip", print::draw_sheets(print::strip_layout(), strip_of(report, units, "2 May"), paper, {})});
  out.push_back({"side view", side_view(report.fit, scene, {paper, units, "2 May", "peepwright 0", warnings})});
  return out;
}

std::string all_text(const Canvas& canvas) {
  std::string out;
  for (int page = 0; page < canvas.page_count(); ++page)
    for (const TextBox& text : canvas.texts(page)) out += text.text + "\n";
  return out;
}

const TextBox& text_of_box(const Canvas& canvas, int page, const std::string& begins) {
  for (const TextBox& text : canvas.texts(page))
    if (text.text.starts_with(begins)) return text;
  throw std::runtime_error("not on the page: " + begins);
}

/// The heavy frame, in mm from the page's upper left corner.
Box frame_of(const test::PdfPage& page) {
  for (const test::Painted& path : page.paths)
    if (path.stroked && path.line_width > 1 && path.points.size() >= 4) {
      const test::Extent e = path.extent();
      return {e.x0, page.height - e.y1, e.x1, page.height - e.y0};
    }
  throw std::runtime_error("no heavy frame");
}

const std::string short_arrow =
    "DO NOT DRAW with this arrow: at full draw its end would stand 1 mm behind the grip's pivot, where the rest is; an "
    "arrow that slips off or behind the rest is shot into hand or arm. Check arrow.length and bow.draw_length";
const std::string light_arrow =
    "DO NOT SHOOT this arrow from this bow: 4.3 gr for each lbf of peak weight; bows are rated with no less than 5, a "
    "lighter arrow can break them like a shot without one. The bow maker's limit holds";
const std::string struck = "DO NOT SHOOT at 70 m and beyond: the passing vanes would strike the sight (3 mm too low)";

TEST(Warning, HeadsEverySheetAndNothingOverlaps) {
  FitReport report =
      make_report(test::first_fit_spec("[archer]\nlabel = \"" + std::string(150, 'm') + "\""), std::nullopt);
  const SideScene scene = side_scene(report.fit);
  const std::vector<std::vector<std::string>> cases{
      {short_arrow},
      {struck},
      {light_arrow, struck, short_arrow},
      {short_arrow + std::string(600, 'i'), light_arrow, struck, struck, struck}};
  for (const char* paper : {"a4", "letter"})
    for (const PaperUnits units : {PaperUnits::millimetres, PaperUnits::inches})
      for (const auto& forbidden : cases) {
        report.notes.assign(1, std::string("measure the string's angle again"));
        for (const std::string& note : forbidden) report.notes.emplace_back(note);
        for (const auto& [what, canvas] : sheets_of(report, scene, paper, units)) {
          SCOPED_TRACE(what + " " + paper + ", notes " + std::to_string(forbidden.size()));
          const Box frame = frame_of(test::read_pdf(canvas.pdf({})).at(0));
          EXPECT_LT(frame.y0, 11.5);
          for (const std::string& note : forbidden) {
            const std::string headline = note.substr(0, note.find(':'));
            const TextBox& text = text_of_box(canvas, 0, headline);
            EXPECT_TRUE(frame.contains(text.box)) << headline;
            // An em of 4.8 mm has capitals of 3.6: at an arm's length of 0.7 m more than the 1/200 that signs are
            // lettered by (common practice, no source).
            EXPECT_GT(text.box.height(), 4.8 * 1.1);
          }
          for (int page = 0; page < canvas.page_count(); ++page) {
            const auto& texts = canvas.texts(page);
            for (std::size_t i = 0; i < texts.size(); ++i) {
              if (page == 0 && !frame.contains(texts[i].box)) {
                EXPECT_FALSE(frame.overlaps(texts[i].box)) << texts[i].text;
              }
              for (std::size_t j = 0; j < i; ++j)
                EXPECT_FALSE(texts[i].box.overlaps(texts[j].box, 0.3)) << texts[i].text << " / " << texts[j].text;
            }
          }
          // Every reason is told, but for the side view where it would take the drawing's room.
          if (what == "side view" && forbidden.size() > 3) continue;
          for (const std::string& note : forbidden) {
            const std::string why = warning_of(note)->why;
            EXPECT_THAT(all_text(canvas), HasSubstr(why.substr(0, 40)));
          }
        }
      }
}

TEST(Warning, OfTwoFitsNamesItsFit) {
  const Warning draw{"DO NOT DRAW with this arrow", "Short."}, shoot{"DO NOT SHOOT at 70 m", "Low."},
      other{"DO NOT SHOOT at 70 m", "Lower."};
  const auto told = [](const std::vector<Warning>& a, const std::vector<Warning>& b) {
    std::vector<std::string> out;
    for (const Warning& w : warnings_of_two(a, b)) out.push_back(w.headline + " / " + w.why);
    return out;
  };
  EXPECT_THAT(told({shoot}, {other, draw}),
              ::testing::ElementsAre("B: DO NOT DRAW with this arrow / Short.", "A: DO NOT SHOOT at 70 m / Low.",
                                     "B: DO NOT SHOOT at 70 m / Lower."));
  EXPECT_THAT(told({shoot, draw}, {draw}), ::testing::ElementsAre("A and B: DO NOT DRAW with this arrow / Short.",
                                                                  "A: DO NOT SHOOT at 70 m / Low."));
  EXPECT_THAT(told({}, {}), IsEmpty());
}

// A peep that is tied too low has its sight too low: that forbids A, and B, moved up, may be shot.
TEST(Warning, OfATiedPeepIsTheTiedPeepsAlone) {
  const Spec spec = parse_spec({{"fit.toml", test::example_text("tied-too-low/fit.toml")},
                                {"sight.toml", "[sight]\nhousing_diameter = \"80 mm\"\n"}});
  const FitReport report = make_report(spec, std::nullopt);
  ASSERT_LT(report.tied->lowest.clearance_mm, 0);
  ASSERT_GT(report.fit.lowest.clearance_mm, 0);
  const auto tied = warnings_of(report_on_tied(report), PaperUnits::millimetres);
  ASSERT_EQ(tied.size(), 1U);
  EXPECT_THAT(tied[0].headline, StartsWith("DO NOT SHOOT at "));
  EXPECT_THAT(warnings_of(report_on_better(report), PaperUnits::millimetres), IsEmpty());
}

TEST(Warning, HeadsTheComparisonAndNothingOverlaps) {
  const Spec spec = parse_spec({{"fit.toml", test::example_text("tied-too-low/fit.toml")}});
  const Fit a = test::drawn_fit(spec, Peep::tied), b = test::drawn_fit(spec);
  const SideScene scene_a = side_scene(a), scene_b = side_scene(b);
  const std::vector<std::vector<std::string>> cases{
      {struck}, {short_arrow, struck}, {light_arrow, struck, short_arrow, struck + std::string(600, 'i')}};
  for (const char* paper : {"a4", "letter"})
    for (const PaperUnits units : {PaperUnits::millimetres, PaperUnits::inches})
      for (const auto& forbidden : cases) {
        SCOPED_TRACE(paper + std::string(", ") + std::to_string(forbidden.size()));
        std::vector<Warning> warnings;
        for (const std::string& note : forbidden) warnings.push_back(*warning_of(note));
        warnings = warnings_of_two(warnings, {*warning_of(short_arrow)});
        const Canvas sheet =
            comparison_sheet(a, scene_a, b, scene_b, {paper, units, "2 May", "peepwright 0", warnings});
        ASSERT_EQ(sheet.page_count(), 1);
        const Box frame = frame_of(test::read_pdf(sheet.pdf({})).at(0));
        EXPECT_LT(frame.y0, 11.5);
        for (const Warning& warning : warnings) {
          EXPECT_TRUE(frame.contains(text_of_box(sheet, 0, warning.headline).box)) << warning.headline;
          if (forbidden.size() < 3) {
            EXPECT_THAT(all_text(sheet), HasSubstr(warning.why));
          }
        }
        const auto& texts = sheet.texts(0);
        for (std::size_t i = 0; i < texts.size(); ++i) {
          EXPECT_TRUE(frame.contains(texts[i].box) || !frame.overlaps(texts[i].box)) << texts[i].text;
          for (std::size_t j = 0; j < i; ++j)
            EXPECT_FALSE(texts[i].box.overlaps(texts[j].box, 0.3)) << texts[i].text << " / " << texts[j].text;
        }
      }
  const Canvas plain = comparison_sheet(a, scene_a, b, scene_b, {"a4", PaperUnits::millimetres, "", ""});
  EXPECT_THROW(frame_of(test::read_pdf(plain.pdf({})).at(0)), std::runtime_error);
}

TEST(Warning, TheStepThatDrawsWaits) {
  FitReport report = make_report(test::first_fit_spec(), std::nullopt);
  const SideScene scene = side_scene(report.fit);
  const auto step = [&](const Canvas& canvas) {
    for (const TextBox& text : canvas.texts(0))
      if (text.text.find("Draw") != std::string::npos && text.text.find("with an arrow") != std::string::npos)
        return text.text;
    return std::string("no such step");
  };
  const struct {
    std::string note, begins;
  } cases[] = {{"the string's angle was read twice", "Draw"},
               {short_arrow, "NOT BEFORE what the box at the top names"},
               {struck, "DO NOT SHOOT before what the box at the top names"}};
  for (const auto& [note, begins] : cases) {
    report.notes.assign(1, note);
    const auto sheets = sheets_of(report, scene, "a4", PaperUnits::millimetres);
    EXPECT_THAT(step(sheets[0].canvas), StartsWith(begins));
    EXPECT_THAT(step(sheets[1].canvas), StartsWith(begins));
    for (const auto& [what, canvas] : sheets)
      if (begins == "Draw") {
        EXPECT_THAT(all_text(canvas), Not(HasSubstr("DO NOT"))) << what;
        EXPECT_THROW(frame_of(test::read_pdf(canvas.pdf({})).at(0)), std::runtime_error) << what;
      }
  }
}

TEST(Warning, StandsOnTheCutOutStrip) {
  FitReport report = make_report(test::first_fit_spec(), std::nullopt);
  report.notes.assign(1, short_arrow);
  const Canvas strip =
      print::draw_sheets(print::strip_layout(), strip_of(report, PaperUnits::millimetres, ""), "a4", {});
  const double edge = 10 + 40;  // margin and the strip's width
  EXPECT_LT(text_of_box(strip, 0, "DO NOT DRAW · ").box.x1, edge);
}

TEST(Warning, TheSecondPageSaysSoToo) {
  std::string marks = "[distances]\nmarks = [";
  for (int d = 10; d <= 70; d += 2) marks += (d > 10 ? ", \"" : "\"") + std::to_string(d) + " m\"";
  FitReport report = make_report(test::first_fit_spec("archer.hand = \"left\"\n" + marks + "]"), std::nullopt);
  report.notes.assign(1, short_arrow);
  const Canvas sheet =
      fit_sheet(report, side_scene(report.fit), {"a4", PaperUnits::millimetres, "2 May", "peepwright 0"});
  ASSERT_EQ(sheet.page_count(), 2);
  EXPECT_EQ(text_of_box(sheet, 0, "left-handed").text, "left-handed; 2 May; peepwright 0; page 1 of 2");
  EXPECT_EQ(text_of_box(sheet, 1, "left-handed").text, "left-handed; 2 May; peepwright 0; page 2 of 2");
  EXPECT_EQ(text_of_box(sheet, 1, "DO NOT").text, "DO NOT DRAW with this arrow: see page 1");
}

TEST(LabelRow, EachLabelKeepsItsBeginning) {
  const Canvas canvas = [] {
    Canvas made;
    made.new_page({210, 297});
    return made;
  }();
  TextStyle style;
  style.wrap_mm = 60;
  style.max_lines = 1;
  const auto row = [&](const std::vector<std::string>& labels) { return label_row(canvas, labels, "; ", style); };
  EXPECT_EQ(row({"Anna", "", "short bow"}), "Anna; short bow");
  EXPECT_THAT(row({}), IsEmpty());
  const std::string cut = row({"Jürgen Großmann-Ångström, Mitglied im Bogensportverein am Waldsee", "Jagdbogen"});
  EXPECT_THAT(cut, StartsWith("Jürgen Großmann"));
  EXPECT_THAT(cut, ::testing::EndsWith("…; Jagdbogen"));
  EXPECT_FALSE(canvas.measure(cut, style).shortened);
  const std::string both = row({std::string(300, 'a'), "Ж" + std::string(300, 'b')});
  EXPECT_THAT(both, HasSubstr("aaa…; Жbb"));
  EXPECT_FALSE(canvas.measure(both, style).shortened);
}

TEST(Strip, TellsBowAndHandWhateverTheArcherIsCalled) {
  for (const char* paper : {"a4", "letter"})
    for (const char* hand : {"left", "right"})
      for (const double mark : {45.0, 65.0, 135.0, 240.0}) {
        const std::string label(190, 'n');
        const FitReport report = make_report(test::first_fit_spec("archer.label = \"" + label + "\"\narcher.hand = \"" +
                                                                  hand + "\"\nbow.label = \"Short hunter, 28 in\""),
                                             std::nullopt);
        StripData data = strip_of(report, PaperUnits::inches, "");
        data.mark_mm = mark;
        const Canvas strip = print::draw_sheets(print::strip_layout(), data, paper, {});
        SCOPED_TRACE(std::string(paper) + " " + std::to_string(mark));
        // What is drawn: a text's record holds all of it, the page what was not cut off.
        const auto page = test::read_pdf(strip.pdf({})).at(0);
        const double edge = 10 + 40;  // margin and the strip's width
        const auto words = [&](const std::string& wanted, bool on_strip) {
          return std::ranges::count_if(page.words, [&](const test::Word& word) {
            return word.text == wanted && (word.box.x1 < edge) == on_strip;
          });
        };
        for (const bool on_strip : {true, false})
          for (const std::string& wanted : {std::string("hunter,"), std::string("28"), std::string(hand) + "-handed"})
            EXPECT_GE(words(wanted, on_strip), 1) << wanted << (on_strip ? " on the strip" : " beside it");
      }
}

}  // namespace
}  // namespace peepwright
