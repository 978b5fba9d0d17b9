// SPDX-License-Identifier: GPL-3.0-or-later
// Where the passing vanes strike the sight, may strike it or clear it, how far, and what speed that rests on.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "exporters/report/report.hpp"
#include "tests/shared/shop_bow.hpp"

namespace peepwright {
namespace {

using test::measured_bow;
using ::testing::AllOf;
using ::testing::AnyOf;
using ::testing::HasSubstr;
using ::testing::Not;

std::string notes_of(const FitReport& report) {
  std::string out;
  for (const std::string& note : notes_in(report, PaperUnits::millimetres)) out += note + "\n";
  return out;
}

std::string notes_of(const Spec& spec) { return notes_of(make_report(spec, std::nullopt)); }

TEST(SightNotes, EveryDistanceThatIsStruckIsNamed) {
  Spec spec = measured_bow();
  spec.give(Key::arrow_speed, 75);
  spec.mark_distances = {Length::m(18), Length::m(30), Length::m(50), Length::m(70), Length::m(90)};
  spec.give(Key::distances_far, 90000);
  const auto clearances = [&](double drop_mm) {
    spec.give(Key::sight_bar_drop, drop_mm);
    return make_report(spec, std::nullopt);
  };
  int beyond = 0, all_marks = 0;
  for (double drop = 30; drop <= 80; drop += 2) {
    const FitReport report = clearances(drop);
    const auto struck = [](const MarkRow& row) { return row.mark.clearance_mm <= 0; };
    const auto& marks = report.fit.marks;
    const std::string notes = notes_of(report);
    if (std::ranges::none_of(marks, struck)) {
      EXPECT_THAT(notes, Not(HasSubstr("DO NOT SHOOT"))) << drop;
    } else if (std::ranges::all_of(marks, struck) &&
               longest_distance(shot_of(spec, report.fit.core.drag_coefficient),
                                geometry_of(spec, report.fit.core.peep), body_of(spec), 0)
                       .longest_m == 0) {
      EXPECT_THAT(notes, HasSubstr("DO NOT SHOOT at any distance with this sight")) << drop;
    } else if (std::ranges::none_of(std::ranges::find_if(marks, struck), marks.end(),
                                    [&](const MarkRow& row) { return !struck(row); })) {
      ++beyond;
      all_marks += struck(marks.front()) ? 1 : 0;
      const double from_m = std::ranges::find_if(marks, struck)->mark.distance_m;
      EXPECT_THAT(notes, HasSubstr(fmt::format("DO NOT SHOOT at {:.4g} m and beyond", from_m))) << drop;
      // Between the marks: the whole metre that is named still clears, the next one does not.
      const std::size_t at = notes.find("this begins past ");
      ASSERT_NE(at, std::string::npos) << notes;
      const double last_m = std::stod(notes.substr(at + 17));
      const auto clearance = [&](double distance_m) {
        return sight_mark(shot_of(spec, report.fit.core.drag_coefficient), geometry_of(spec, report.fit.core.peep),
                          body_of(spec), distance_m)
            .clearance_mm;
      };
      EXPECT_GE(clearance(last_m), 0) << drop;
      EXPECT_LT(clearance(last_m + 1), 0) << drop;
      EXPECT_LT(last_m, from_m) << drop;
      ASSERT_TRUE(report.sight.strikes_past_m);
      EXPECT_THAT(notes, HasSubstr(fmt::format("this begins past {:.0f} m, give or take {:.0f} m (k = 2)", last_m,
                                               std::ceil(*report.sight.strikes_past_m))));
    }
  }
  EXPECT_GT(beyond, 3);
  EXPECT_GT(all_marks, 0);  // all of them struck, though a nearer target would not be
}

// What is forbidden far away hides nothing of what is doubtful nearer by.
TEST(SightNotes, DistancesThatMayBeStruckAreNamedBesideThoseThatAre) {
  Spec spec = measured_bow();
  spec.give(Key::arrow_speed, 75);
  for (double m = 10; m <= 90; m += 5) spec.mark_distances.push_back(Length::m(m));
  spec.give(Key::distances_far, 90000);
  int both = 0, several = 0;
  for (double drop = 20; drop <= 70; drop += 5) {
    spec.give(Key::sight_bar_drop, drop);
    const FitReport report = make_report(spec, std::nullopt);
    std::vector<double> doubtful_m;
    double least_mm = 1e9, its_give_mm = 0;
    for (std::size_t i = 0; i < report.fit.marks.size(); ++i) {
      const SightMark& mark = report.fit.marks[i].mark;
      const double give_mm = report.sight.pins[i].clearance_mm;
      EXPECT_GT(give_mm, 0.5);
      if (!(mark.clearance_mm > 0 && mark.clearance_mm < give_mm)) continue;
      doubtful_m.push_back(mark.distance_m);
      if (mark.clearance_mm < least_mm) least_mm = mark.clearance_mm, its_give_mm = give_mm;
    }
    const std::string notes = notes_of(report);
    EXPECT_EQ(notes.find("may strike the sight") != std::string::npos, !doubtful_m.empty()) << drop;
    if (doubtful_m.empty()) continue;
    both += notes.find("DO NOT SHOOT") != std::string::npos ? 1 : 0;
    several += doubtful_m.size() > 1 ? 1 : 0;
    const std::string places = doubtful_m.size() == 1
                                   ? fmt::format("at {:.4g} m: they clear it by ", doubtful_m[0])
                                   : fmt::format("from {:.4g} m to {:.4g} m: they clear it by as little as ",
                                                 doubtful_m.front(), doubtful_m.back());
    EXPECT_THAT(notes, HasSubstr("may strike the sight " + places +
                                 fmt::format("{:.1f} mm, give or take {:.1f} mm (k = 2)", least_mm, its_give_mm)))
        << drop;
  }
  EXPECT_GT(both, 2);
  EXPECT_GT(several, 2);
}

TEST(SightNotes, ASightThatIsStruckWithThePeepAsItIsTiedIsForbidden) {
  Spec spec = measured_bow();
  spec.give(Key::distances_far, 60000);
  const double mark_mm = solve_core(spec).mark_mm;
  const auto tied = [&](double off_mm) {
    spec.give(Key::tied_mark, mark_mm + off_mm);
    return notes_of(spec);
  };
  int struck_as_tied = 0, both = 0;
  for (double off = -50; off <= 0; off += 2) {
    const std::string notes = tied(off);
    const FitReport report = make_report(spec, std::nullopt);
    const bool now = report.tied->lowest.clearance_mm <= 0, later = report.fit.lowest.clearance_mm <= 0;
    EXPECT_EQ(notes.find("DO NOT SHOOT") != std::string::npos, now || later) << off;
    if (now && !later) {
      ++struck_as_tied;
      EXPECT_THAT(notes, AllOf(HasSubstr("with the peep as it is tied now: the passing vanes would strike the sight"),
                               Not(HasSubstr("with this sight"))))
          << off;
    }
  }
  EXPECT_GT(struck_as_tied, 3);
  // One that both strike is forbidden once, or each at its distances.
  spec.give(Key::sight_bar_drop, 90);
  for (double off = -50; off <= 0; off += 10) {
    const std::string notes = tied(off);
    both += notes.find("with this sight") != std::string::npos ? 1 : 0;
    EXPECT_THAT(notes, AnyOf(HasSubstr("DO NOT SHOOT at any distance with this sight"),
                             AllOf(HasSubstr("with the peep as it is tied now"),
                                   HasSubstr("with the peep where it should be"))))
        << off;
  }
  EXPECT_GT(both, 0);
}

TEST(SightNotes, ASightThatMayBeStruckIsToBeLookedAt) {
  Spec spec = measured_bow();
  spec.give(Key::arrow_speed, 75);
  spec.mark_distances = {Length::m(18), Length::m(50)};
  int doubtful = 0;
  for (double drop = 20; drop <= 70; drop += 1) {
    spec.give(Key::sight_bar_drop, drop);
    const FitReport report = make_report(spec, std::nullopt);
    const double clear_mm = report.fit.lowest.clearance_mm, give_mm = report.sight.lowest_clearance_mm;
    EXPECT_NEAR(report.sight.pins.back().clearance_mm, give_mm, 1e-9);  // at 50 m it is lowest
    const std::string notes = notes_of(report);
    if (clear_mm > 0 && clear_mm < give_mm) {
      ++doubtful;
      EXPECT_THAT(notes, AllOf(HasSubstr(fmt::format("with this sight the passing vanes may strike the sight at 50 m: "
                                                     "they clear it by {:.1f} mm, give or take {:.1f} mm (k = 2)",
                                                     clear_mm, give_mm)),
                               Not(HasSubstr("DO NOT")), Not(HasSubstr("makes it surer"))))
          << drop;
    } else {
      EXPECT_THAT(notes, Not(HasSubstr("may strike the sight at 50 m"))) << drop;
      EXPECT_EQ(notes.find("DO NOT SHOOT") != std::string::npos, clear_mm <= 0) << drop;
    }
  }
  EXPECT_GT(doubtful, 5);
}

TEST(SightNotes, ASightThatMayBeStruckIsSaidOfTheTiedPeepToo) {
  Spec spec = measured_bow();
  const double mark_mm = solve_core(spec).mark_mm;
  int as_tied = 0;
  for (double off = -50; off <= 0; off += 2) {
    spec.give(Key::tied_mark, mark_mm + off);
    const FitReport report = make_report(spec, std::nullopt);
    bool doubtful = false;
    for (std::size_t i = 0; i < report.tied->marks.size(); ++i) {
      const double clear_mm = report.tied->marks[i].mark.clearance_mm;
      doubtful = doubtful || (clear_mm > 0 && clear_mm < report.tied_sight.pins[i].clearance_mm);
    }
    as_tied += doubtful ? 1 : 0;
    const std::string notes = notes_of(report), said = "with the peep as it is tied now the passing vanes may strike";
    EXPECT_EQ(notes.find(said) != std::string::npos, doubtful) << off;
  }
  EXPECT_GT(as_tied, 3);
}

// An arrow that a bow of 25 lbf gives 45 m/s would strike a sight that one of 82 m/s clears.
TEST(SightNotes, ASlowBowsArrowStrikesTheSightThoughNobodyMeasuredIt) {
  Spec spec = parse_spec({{"a.toml",
                           "[bow]\naxle_to_axle = \"28 in\"\nbrace_height = \"6 in\"\ndraw_length = \"22 in\"\n"
                           "peak_weight = \"25 lbf\"\nlet_off = \"70 %\"\n"}});
  spec.give(Key::distances_far, 50000);
  EXPECT_THAT(notes_of(spec), HasSubstr("DO NOT SHOOT"));
  spec.give(Key::arrow_speed, 82);
  EXPECT_THAT(notes_of(spec), AllOf(Not(HasSubstr("DO NOT SHOOT")), Not(HasSubstr("may strike"))));
}

TEST(Reach, IsToldInWholeUnitsWithItsGiveOrTake) {
  const FitReport report = make_report(measured_bow(), std::nullopt);
  ASSERT_TRUE(report.sight.longest_m);
  const double longest_m = report.fit.reach.longest_m, give_m = *report.sight.longest_m;
  EXPECT_GT(give_m, 1);
  const auto said = [&](double unit_m, std::string_view unit) {
    return fmt::format("of the vanes: {:.0f} {}, give or take {:.0f} {}.", std::floor(longest_m / unit_m), unit,
                       std::ceil(give_m / unit_m), unit);
  };
  const auto flat = [](std::string text) {  // whatever the lines' ends
    for (std::size_t at = 0; (at = text.find("\n    ", at)) != std::string::npos;) text.replace(at, 5, " ");
    return text;
  };
  EXPECT_THAT(flat(report_text(report, PaperUnits::millimetres)), HasSubstr(said(1, "m")));
  EXPECT_THAT(flat(report_text(report, PaperUnits::inches)), HasSubstr(said(0.9144, "yd")));
  const auto sight = nlohmann::json::parse(report_json(report))["sight"];
  EXPECT_NEAR(sight["longest_distance_m"].get<double>(), longest_m, 1e-6);
  EXPECT_NEAR(sight["longest_distance_uncertainty_m"].get<double>(), give_m, 1e-6);
  EXPECT_NEAR(sight["lowest_clearance_uncertainty_mm"].get<double>(), report.sight.lowest_clearance_mm, 1e-6);
  EXPECT_EQ(reach_text({0, false}, {}, PaperUnits::millimetres), "none");
  EXPECT_EQ(reach_text({250, true}, {}, PaperUnits::millimetres), "over 250 m");
}

TEST(MarksAdvice, NamesWhatNobodyMeasured) {
  Spec spec = measured_bow();
  EXPECT_THAT(marks_advice(make_report(spec, std::nullopt), PaperUnits::millimetres),
              AllOf(HasSubstr("Shoot the first in"), HasSubstr("nobody measured: arrow as it leaves the bow")));
  spec.give(Key::arrow_speed, 82);
  spec.give(Key::arrow_mass, 0.025);
  spec.give(Key::sight_extension, 230);
  EXPECT_THAT(marks_advice(make_report(spec, std::nullopt), PaperUnits::millimetres), Not(HasSubstr("nobody")));
}

TEST(MarksAdvice, SaysWhatSpeedIsTakenAndWhy) {
  Spec spec = measured_bow();
  const FitReport report = make_report(spec, std::nullopt);
  const Input& speed = report.fit.spec[Key::arrow_speed];
  EXPECT_THAT(
      marks_advice(report, PaperUnits::millimetres),
      HasSubstr(fmt::format("The arrow's speed is taken for {:.1f} m/s ({:.0f} ft/s), give or take {:.0f} m/s (k "
                            "= 2): stored energy by the draw cycle, cams as usual.",
                            speed.value, speed.value / 0.3048, 2 * speed.uncertainty)));
  spec.give(Key::arrow_speed, 82);
  EXPECT_THAT(marks_advice(make_report(spec, std::nullopt), PaperUnits::millimetres), Not(HasSubstr("taken for")));
}

}  // namespace
}  // namespace peepwright
