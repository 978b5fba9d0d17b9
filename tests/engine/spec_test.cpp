// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/spec/spec.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "engine/quantity/format.hpp"
#include "tests/engine/spec_text.hpp"

namespace peepwright {
namespace {

using test::parse;
using test::refusal_of;
using test::whole_bow;
using testing::AllOf;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

TEST(ReadSpec, MergesFilesLeftToRightKeyByKey) {
  const Spec spec =
      parse_spec({{"archer.toml", "[archer]\nlabel = \"Ada\"\nhand = \"left\"\n[bow]\naxle_to_axle = \"30 in\"\n"},
                  {"bow.toml", std::string(whole_bow)},
                  {"arrow.toml", "[arrow]\nmass = \"400 gr\"\nspeed = \"280 ft/s\"\n"}});
  EXPECT_EQ(spec.archer_label, "Ada");
  EXPECT_EQ(spec.hand, Hand::left);
  EXPECT_DOUBLE_EQ(spec.value(Key::bow_axle_to_axle), 33.25 * 25.4);
  EXPECT_DOUBLE_EQ(spec.value(Key::arrow_mass), 400 * 64.79891e-6);
  EXPECT_TRUE(spec.given(Key::arrow_speed));
  EXPECT_EQ(spec[Key::bow_axle_to_axle].where.text(), "bow.toml:2:16");
}

TEST(ReadSpec, WhatIsNotGivenIsAssumedChosenOrAbsent) {
  const Spec spec = parse(std::string(whole_bow));
  EXPECT_EQ(spec[Key::arrow_mass].status, Status::assumed);
  EXPECT_GT(spec[Key::arrow_mass].uncertainty, 0);
  EXPECT_EQ(spec[Key::distances_far].status, Status::chosen);
  EXPECT_FALSE(spec.has(Key::face_eye_to_arrow));
}

TEST(ReadSpec, AMeasuredValueIsSurerThanAnAssumedOne) {
  int compared = 0;
  for (const KeyInfo& row : all_keys()) {
    if (row.absence != Absence::assumed) continue;
    EXPECT_LT(row.measured_uncertainty, row.assumed_uncertainty) << row.path;
    ++compared;
  }
  EXPECT_GT(compared, 20);
}

TEST(ReadSpec, EveryKeyMisspeltIsNamedWithItsPlaceAndTheRightOne) {
  int tried = 0;
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    const auto dot = row.path.rfind('.');
    const std::string table(row.path.substr(0, dot)), key(row.path.substr(dot + 1));
    const std::string wrong = key.substr(0, key.size() - 1) + "x" + key.substr(key.size() - 1);
    const std::string message = refusal_of(fmt::format("{}[{}]\n{} = \"1 mm\"\n", "", table, wrong));
    EXPECT_THAT(message, StartsWith(fmt::format("a.toml:2:1: {}.{}: unknown key", table, wrong)));
    if (key.size() > 3) {
      EXPECT_THAT(message, HasSubstr(fmt::format("did you mean {}?", row.path)));
    }
    ++tried;
  }
  EXPECT_GT(tried, 60);
}

TEST(ReadSpec, EveryUnitWrongIsRefusedWithWhatIsAccepted) {
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    const auto dot = row.path.rfind('.');
    const std::string_view wrong = row.dimension == Dimension::length ? "5 kg" : "5 mm";
    const std::string message =
        refusal_of(fmt::format("[{}]\n{} = \"{}\"\n", row.path.substr(0, dot), row.path.substr(dot + 1), wrong));
    EXPECT_THAT(message, AllOf(StartsWith(fmt::format("a.toml:2:")), HasSubstr(std::string(row.path)),
                               HasSubstr("unit that does not fit"), HasSubstr("for example")));
  }
}

TEST(ReadSpec, BareNumbersAreRefusedWhereAUnitIsNeeded) {
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden || row.dimension == Dimension::ratio || row.dimension == Dimension::number)
      continue;
    const auto dot = row.path.rfind('.');
    const std::string message =
        refusal_of(fmt::format("[{}]\n{} = 33\n", row.path.substr(0, dot), row.path.substr(dot + 1)));
    EXPECT_THAT(message, AllOf(HasSubstr("is a bare number"), HasSubstr(std::string(accepted_units(row.dimension)))));
  }
}

TEST(ReadSpec, EveryValueBeyondItsRangeIsRefusedWithTheRange) {
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    const auto dot = row.path.rfind('.');
    for (const double beyond : {row.most + 0.01 * (row.most - row.least), row.least - 0.01 * (row.most - row.least)}) {
      const std::string message = refusal_of(fmt::format("[{}]\n{} = \"{}\"\n", row.path.substr(0, dot),
                                                         row.path.substr(dot + 1), exact_text(beyond, row.dimension)));
      EXPECT_THAT(message, AllOf(HasSubstr("cannot be; accepted is"), StartsWith("a.toml:2:"))) << row.path;
    }
  }
}

TEST(ReadSpec, ValuesAtTheEdgeOfTheirRangeAreRead) {
  for (const KeyInfo& row : all_keys()) {
    if (row.absence == Absence::hidden) continue;
    Spec spec;
    EXPECT_NO_THROW(spec.give(row.key, row.least)) << row.path;
    EXPECT_NO_THROW(spec.give(row.key, row.most)) << row.path;
    EXPECT_THROW(spec.give(row.key, std::nan("")), Error) << row.path;
  }
}

TEST(ReadSpec, RefusesWhatIsNoSpecAtAll) {
  EXPECT_THAT(refusal_of("[bow\naxle"), StartsWith("a.toml:1:"));
  EXPECT_THAT(refusal_of("[bow\naxle"), HasSubstr("not valid TOML"));
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = \"33 in\"\naxle_to_axle = \"33 in\"\n"), HasSubstr("not valid TOML"));
  EXPECT_THAT(refusal_of(std::string("\xfe\xed\x00 binary", 10)), HasSubstr("not valid TOML"));
  EXPECT_THAT(refusal_of(std::string(largest_spec_bytes + 1, '#')), HasSubstr("input files of up to"));
  EXPECT_THAT(refusal_of(""), HasSubstr("bow.draw_length is missing"));
  EXPECT_THAT(refusal_of("[quiver]\nsize = 3\n"), StartsWith("a.toml:1:2: quiver: unknown key"));
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = { value = 3 }\n"), HasSubstr("a.toml:2:"));
  EXPECT_THAT(refusal_of("[[bow]]\naxle_to_axle = \"33 in\"\n"), HasSubstr("bow"));
  EXPECT_THAT(refusal_of("[archer.face.spread]\nhollow_up = \"3 mm\"\n"), HasSubstr("unknown key"));
  std::string dotted;
  for (int i = 0; i < 60000; ++i) dotted += "a.";
  EXPECT_THAT(refusal_of(dotted + "a = 1\n"), HasSubstr("far too many parts"));
  EXPECT_THAT(refusal_of("[" + dotted + "a]\n"), HasSubstr("far too many parts"));
  EXPECT_THAT(refusal_of("x = { " + dotted + "a = 1 }\n"), HasSubstr("far too many parts"));
  EXPECT_NO_THROW(parse(std::string(whole_bow) + "[archer]\nlabel = \"" + std::string(300, '.') + "\"\n"));
  std::string deep = "[bow]\naxle_to_axle = ";
  deep += std::string(5000, '[');
  EXPECT_THAT(refusal_of(deep), HasSubstr("not valid TOML"));
}

TEST(ReadSpec, TextAndListsAreChecked) {
  const std::string bow(whole_bow);
  EXPECT_THAT(refusal_of(bow + "[archer]\nhand = \"both\"\n"), HasSubstr("accepted is \"right\" or \"left\""));
  EXPECT_THAT(refusal_of(bow + "[archer]\nlabel = 3\n"), HasSubstr("write text in quotes"));
  EXPECT_THAT(refusal_of(bow + "[archer]\nlabel = \"a\\nb\"\n"), HasSubstr("control character"));
  EXPECT_THAT(refusal_of(bow + "[archer]\nlabel = \"" + std::string(2000, 'x') + "\"\n"), HasSubstr("at most 1000"));
  EXPECT_THAT(refusal_of(bow + "[distances]\nmarks = \"18 m\"\n"), HasSubstr("write a list of lengths"));
  EXPECT_THAT(refusal_of(bow + "[distances]\nmarks = []\n"), HasSubstr("0 entries"));
  EXPECT_THAT(refusal_of(bow + "[distances]\nmarks = [\"18 m\", 30]\n"), HasSubstr("a.toml:6:18"));
  EXPECT_THAT(refusal_of(bow + "[wanted]\nstring_nose = [\"3 mm\", \"-1 mm\"]\n"), HasSubstr("least and most"));
  const Spec spec = parse(bow + "[wanted]\nstring_nose = [\"-2 mm\", \"1/8 in\"]\n");
  EXPECT_DOUBLE_EQ(spec.wanted_string_nose.least.mm(), -2);
  EXPECT_DOUBLE_EQ(spec.wanted_string_nose.most.in(), 0.125);
}

TEST(ReadSpec, ImpossibleTogetherIsRefusedAtOneOfThem) {
  const auto with = [](std::string_view more) { return refusal_of(std::string(whole_bow) + std::string(more)); };
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"12 in\"\ndraw_length = \"13 in\"\n"),
              AllOf(StartsWith("a.toml:3:16: bow.brace_height"), HasSubstr("must be less than the draw to the pivot")));
  EXPECT_THAT(with("[distances]\nnear = \"60 m\"\n"), HasSubstr("distances.near = 60 m (60000 mm) must be at most"));
  EXPECT_THAT(with("[peep]\nbore = \"10 mm\"\n"), HasSubstr("peep.bore = 10 mm must be less than"));
  EXPECT_THAT(with("[bow.full_draw]\naxle_to_axle = \"34 in\"\n"), HasSubstr("must be less than bow.axle_to_axle"));
  EXPECT_THAT(with("[archer.face]\nhollow_below_eye = \"80 mm\"\nmouth_corner_below_eye = \"85 mm\"\n"),
              HasSubstr("archer.face.mouth_corner_below_eye"));
  EXPECT_THAT(with("[arrow.slowed]\nspeed = \"70 m/s\"\n"), HasSubstr("give both or neither"));
  EXPECT_THAT(with("[arrow]\ndrag_coefficient = 2\n[arrow.slowed]\nspeed = \"70 m/s\"\ndistance = \"40 m\"\n"),
              HasSubstr("give one of them"));
  EXPECT_THAT(with("[arrow.slowed]\nspeed = \"70 m/s\"\ndistance = \"40 m\"\n[sight.two_marks]\nnear = \"20 m\"\n"
                   "far = \"60 m\"\nmoved = \"20 mm\"\n"),
              HasSubstr("sight.two_marks and arrow.slowed both fix the drag"));
  EXPECT_THAT(with("[arrow.slowed]\nspeed = \"70 m/s\"\ndistance = \"40 m\"\n"), HasSubstr("give arrow.speed too"));
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = \"33 in\"\nbrace_height = \"6 in\"\ndraw_length = \"18 in\"\n"
                         "[bow.full_draw]\naxle_to_axle = \"30 in\"\naxle_set_back = \"430 mm\"\n"),
              HasSubstr("must be less than the draw to the pivot, 412.8 mm (16 1/4 in)"));
  EXPECT_THAT(with("[peep.tied]\nheight_full_draw = \"85 mm\"\n"), HasSubstr("without peep.tied.mark"));
  EXPECT_THAT(with("[peep.tied]\nmark = \"95 mm\"\nheight_full_draw = \"150 mm\"\n"), HasSubstr("no angle"));
}

TEST(ReadSpec, RefusalsSpeakInTheUnitThatWasWritten) {
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = \"60 in\"\n"),
              HasSubstr("60 in (1524 mm) cannot be; accepted is 20 in to 55 in (508 mm to 1397 mm)"));
  EXPECT_THAT(refusal_of("[bow]\naxle_to_axle = \"95 mm\"\n"),
              HasSubstr("95 mm cannot be; accepted is 508 mm to 1397 mm"));
  EXPECT_THAT(refusal_of("[distances]\nmarks = [\"500 yd\"]\n"), HasSubstr("500 yd (457200 mm) cannot be"));
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[distances]\nnear = \"60 yd\"\nfit = \"30 yd\"\n"),
              HasSubstr("distances.near = 60 yd (54864 mm) must be at most distances.fit = 30 yd (27432 mm)"));
  EXPECT_THAT(refusal_of("[bow]\npeak_weight = \"500 lb\"\n"), HasSubstr("500 lbf (2224.11 N) cannot be"));
}

TEST(ReadSpec, TheEndsOfARangeAreAcceptedInEveryUnit) {
  // 12 in is 304.79999999999995 mm to the machine.
  EXPECT_EQ(parse(std::string(whole_bow) + "full_draw.axle_to_axle = \"381 mm\"\n").value(Key::full_draw_axle_to_axle),
            381);
  EXPECT_EQ(refusal_of("[bow]\ndraw_length = \"36 in\"\naxle_to_axle = \"1397 mm\"\nbrace_height = \"304.8 mm\"\n"),
            "accepted");
}

TEST(ReadSpec, ATableIsNoUnknownKey) {
  EXPECT_THAT(refusal_of("peep.tied = \"5 in\"\n"),
              HasSubstr("a.toml:1:6: peep.tied: is a table; its keys are mark, height_full_draw"));
  EXPECT_THAT(refusal_of("bow = 5\n"), AllOf(HasSubstr("bow: is a table; its keys are label, "),
                                             HasSubstr("axle_to_axle"), HasSubstr("full_draw")));
  EXPECT_THAT(refusal_of("uncertainty = 5\n"), HasSubstr("uncertainty: is a table"));
  EXPECT_THAT(refusal_of("uncertainty.bow = 5\n"), HasSubstr("uncertainty.bow: is a table"));
  EXPECT_THAT(refusal_of("[uncertainty.bow]\nbrace_hieght = \"1 mm\"\n"),
              HasSubstr("did you mean uncertainty.bow.brace_height?"));
}

TEST(ReadSpec, ExamplesFitTheKey) {
  EXPECT_THAT(refusal_of("[wanted]\nstring_nose = \"3 mm\"\n"), HasSubstr("[\"-1 mm\", \"3 mm\"]"));
  EXPECT_THAT(refusal_of("[peep]\nbores = \"3 mm\"\n"), HasSubstr("[\"1/8 in\", \"3/16 in\"]"));
  EXPECT_THAT(refusal_of("[distances]\nmarks = \"18 m\"\n"), HasSubstr("[\"18 m\", \"30 m\"]"));
}

TEST(ReadSpec, VanesAreCounted) {
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[arrow]\nvane_count = 3.5\n"), HasSubstr("write a whole number"));
  EXPECT_EQ(parse(std::string(whole_bow) + "[arrow]\nvane_count = 4\n").value(Key::arrow_vane_count), 4);
}

TEST(ReadSpec, ReadingsChangedOverAreAskedAbout) {
  const auto said = [](const char* mark, const char* height) {
    return refusal_of(std::string(whole_bow) +
                      fmt::format("[peep.tied]\nmark = \"{}\"\nheight_full_draw = \"{}\"\n", mark, height));
  };
  EXPECT_THAT(said("90 mm", "126 mm"), AllOf(HasSubstr("no angle"), HasSubstr("were the two swapped?")));
  EXPECT_THAT(said("25 mm", "280 mm"), AllOf(HasSubstr("no angle"), testing::Not(HasSubstr("swapped"))));
  EXPECT_EQ(said("126 mm", "90 mm"), "accepted");
}

TEST(ReadSpec, ChoicesAreReadInCapitalsToo) {
  EXPECT_EQ(parse_spec({{"a.toml", "[archer]\nhand = \"Left\"\n" + std::string(whole_bow)}}).hand, Hand::left);
}

TEST(ReadSpec, OneLegsAngleIsAskedAbout) {
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[bow.full_draw]\nstring_angle = \"39 deg\"\n"),
              AllOf(HasSubstr("39 deg cannot be"), HasSubstr("one leg's angle"), HasSubstr("78 deg")));
  EXPECT_THAT(refusal_of(std::string(whole_bow) + "[bow.full_draw]\nstring_angle = \"140 deg\"\n"),
              Not(HasSubstr("one leg")));
}

TEST(ReadSpec, Utf16IsNamed) {
  using namespace std::string_literals;
  EXPECT_THAT(refusal_of("\xff\xfe[\0b\0o\0w\0]\0"s), HasSubstr("save it as UTF-8"));
  EXPECT_THAT(refusal_of("\xfe\xff\0[\0b\0o\0w\0]"s), HasSubstr("save it as UTF-8"));
  EXPECT_THAT(refusal_of("[\0b\0o\0w\0]\0"s), HasSubstr("save it as UTF-8"));
  EXPECT_EQ(refusal_of("\xef\xbb\xbf" + std::string(whole_bow)), "accepted");
}

TEST(ReadSpec, TwoBowsAreNotMixed) {
  const std::string read_bow = std::string(whole_bow) + "[bow.full_draw]\nstring_angle = \"80 deg\"\n";
  EXPECT_THAT(refusal_of({{"first.toml", read_bow}, {"second.toml", "[bow]\naxle_to_axle = \"31 in\"\n"}}),
              AllOf(StartsWith("second.toml:2:1: bow.axle_to_axle replaces that of first.toml"),
                    HasSubstr("bow.full_draw.string_angle")));
  std::string table = "force_draw = [";
  for (int inches = 9; inches <= 29; ++inches) table += "[\"" + std::to_string(inches) + " in\", \"40 lbf\"], ";
  // Whatever a sweep over bows refuses to keep, and the cams.
  const std::pair<const char*, std::string> readings[] = {
      {"bow.force_draw", table + "]\n"},
      {"bow.full_draw.axle_to_axle", "[bow.full_draw]\naxle_to_axle = \"29 in\"\n"},
      {"bow.full_draw.axle_set_back", "[bow.full_draw]\naxle_set_back = \"100 mm\"\n"},
      {"peep.tied.height_full_draw", "[peep.tied]\nheight_full_draw = \"85 mm\"\n"},
      {"bow.cam.string_radius", "[bow.cam]\nstring_radius = \"40 mm\"\n"}};
  for (const auto& [key, text] : readings)
    for (const char* number : {"axle_to_axle = \"31 in\"", "brace_height = \"6 in\"", "draw_length = \"28 in\""})
      EXPECT_THAT(refusal_of({{"first.toml", std::string(whole_bow) + text},
                              {"second.toml", std::string("[bow]\n") + number + "\n"}}),
                  HasSubstr("replaces that of first.toml, whose " + std::string(key) + " was measured on that bow"));
  // Readings in a file of their own are meant for whatever bow comes with them.
  EXPECT_EQ(refusal_of({{"bow.toml", std::string(whole_bow)},
                        {"reading.toml", "[bow.full_draw]\nstring_angle = \"80 deg\"\n"}}),
            "accepted");
}

TEST(ReadSpec, OfTwoBowsTheLaterCountsAndThatIsSaid) {
  const auto said = [](const std::string& first, const std::string& second) {
    return parse_spec({{"first.toml", first}, {"second.toml", second}}).two_bows;
  };
  const std::string whole(whole_bow);
  EXPECT_EQ(said(whole + "[bow.string]\nserving_diameter = \"3 mm\"\n", whole),
            "bow.axle_to_axle is of second.toml, which came after first.toml; of that one's bow there remain "
            "bow.string.serving_diameter: if these are two bows, give the files of one");
  EXPECT_THAT(said(whole, whole), HasSubstr("nothing of that one's bow is left"));
  EXPECT_EQ(said(whole, "[arrow]\nmass = \"400 gr\"\n"), "");
  EXPECT_EQ(said("[arrow]\nmass = \"400 gr\"\n", "[arrow]\nmass = \"300 gr\"\n" + whole), "");
}

TEST(ReadSpec, WhatIsNoTomlComesWithWhatToDo) {
  EXPECT_THAT(refusal_of("[bow]\nbrace_height = \"3.5\"\"\n"), HasSubstr("with no inch sign inside them"));
  EXPECT_THAT(refusal_of("[bow]\nlabel = my bow\n"), HasSubstr("stands in quotes"));
  EXPECT_THAT(refusal_of("[bow]\nbrace_height = 6 3/4 in\n"), HasSubstr("stands in quotes"));
  EXPECT_THAT(refusal_of("[bow]\nbrace_height = \"6 in\n"), HasSubstr("ends with the quote"));
  EXPECT_THAT(refusal_of("[bow]\nlabel = \"M\xe9\"\n"), HasSubstr("save the file as UTF-8"));
  EXPECT_THAT(refusal_of("[bow\n"), HasSubstr("in brackets"));
  EXPECT_THAT(refusal_of("[bow]\nbrace_height : \"6 in\"\n"), HasSubstr("a key, =, and its value"));
  EXPECT_THAT(refusal_of("[bow]\nlabel = \"a\"\nlabel = \"b\"\n"), HasSubstr("once in a file"));
}

// The same range of a leg's angle as the legs themselves have, before anything is reckoned from the pair.
TEST(ReadSpec, ATiedPairThatNoStringMakesIsRefusedAtItsPlace) {
  const auto pair = [](std::string_view height) {
    return fmt::format(
        "bow.draw_length = \"29 1/2 in\"\npeep.tied.mark = \"130 mm\"\npeep.tied.height_full_draw = \"{}\"\n", height);
  };
  EXPECT_EQ(refusal_of(pair("50 mm")),
            "a.toml:3:30: peep.tied.height_full_draw = 50 mm and peep.tied.mark = 130 mm do not go together: they put "
            "the string's upper leg at 20.3 deg to the arrow; 24 to 68 deg can be. Measure both again, to the peep's "
            "centre");
  EXPECT_EQ(refusal_of(pair("58 mm")), "accepted");  // 24.2 deg
  EXPECT_THAT(refusal_of(pair("125 mm")), HasSubstr("at 69.0 deg to the arrow; 24 to 68 deg can be"));
  // The string's stretch counts, as it does for the legs: it takes these 24.1 deg down to 23.5.
  EXPECT_EQ(refusal_of(pair("57.8 mm")), "accepted");
  EXPECT_THAT(refusal_of(pair("57.8 mm") + "bow.string.stretch_at_mark = \"3 mm\"\n"), HasSubstr("at 23.5 deg"));
}

TEST(ReadSpec, FilesThatCannotBeReachedAreNotSaidToBeMissing) {
  const auto said = [](const std::string& file) { return test::refusal([&] { (void)read_spec({file}); }); };
  const std::string link = testing::TempDir() + "peepwright-leads-to-itself.toml";
  std::filesystem::remove(link);
  std::filesystem::create_symlink(link, link);
  EXPECT_EQ(said(link), link + ": cannot be reached: Too many levels of symbolic links");
  std::filesystem::remove(link);
  const std::string lengthy = std::string(300, 'x') + ".toml";
  EXPECT_EQ(said(lengthy), lengthy + ": cannot be reached: File name too long");
  EXPECT_EQ(said(link), link + ": there is no such file");
}

TEST(ReadSpec, FilesThatAreNone) {
  EXPECT_THROW(read_spec({"/nonexistent/bow.toml"}), Error);
  EXPECT_THROW(read_spec({"/"}), Error);
  EXPECT_THROW(read_spec({"/dev/zero"}), Error);
  EXPECT_THROW(read_spec({}), Error);
}

}  // namespace
}  // namespace peepwright
