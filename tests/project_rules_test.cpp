// SPDX-License-Identifier: GPL-3.0-or-later
// Mistakes that this project makes easily, looked for in its own sources.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

namespace {
namespace fs = std::filesystem;

struct Source {
  std::string path;  ///< inside the project
  std::vector<std::string> lines;
};

std::vector<Source> sources_in(std::initializer_list<const char*> folders) {
  std::vector<Source> out;
  for (const char* folder : folders)
    for (const auto& entry : fs::recursive_directory_iterator(fs::path(PEEPWRIGHT_SOURCE_DIR) / folder)) {
      if (entry.path().extension() != ".cpp" && entry.path().extension() != ".hpp") continue;
      Source source{fs::relative(entry.path(), PEEPWRIGHT_SOURCE_DIR).string(), {}};
      std::ifstream in(entry.path());
      for (std::string line; std::getline(in, line);) source.lines.push_back(line);
      out.push_back(std::move(source));
    }
  return out;
}

/// Every line of `sources` that `pattern` is found in, but for files whose path starts with one of `except`.
void expect_none(const std::vector<Source>& sources, const std::string& pattern,
                 std::initializer_list<const char*> except) {
  ASSERT_GT(sources.size(), 5U);
  const std::regex wrong(pattern);
  for (const Source& source : sources) {
    bool excused = false;
    for (const char* prefix : except) excused = excused || source.path.starts_with(prefix);
    if (excused) continue;
    for (std::size_t i = 0; i < source.lines.size(); ++i)
      EXPECT_FALSE(std::regex_search(source.lines[i], wrong)) << source.path << ':' << i + 1 << ": " << source.lines[i];
  }
}

TEST(ProjectRules, InchesAreConvertedInOnePlace) {
  expect_none(sources_in({"engine", "exporters", "cli"}), R"([*/]\s*25\.4\b|\b25\.4\s*[*/])", {"engine/quantity/"});
}

TEST(ProjectRules, NumbersAreWrittenWithoutALocale) {
  expect_none(sources_in({"engine", "exporters", "cli"}), R"(std::to_string|[^a-z_]s?n?printf\()",
              {"engine/quantity/error.cpp"});
}

TEST(ProjectRules, KernelUnitsAreTouchedInTheStepExporterOnly) {
  expect_none(sources_in({"engine", "exporters", "cli"}), R"(Interface_Static)", {"exporters/step/"});
}

TEST(ProjectRules, PublicHeadersShowNoKernelTypes) {
  std::vector<Source> headers;
  for (Source& source : sources_in({"engine", "exporters"}))
    if (source.path.ends_with(".hpp") && !source.path.ends_with("kernel.hpp") && !source.path.ends_with("_session.hpp"))
      headers.push_back(std::move(source));
  expect_none(headers, R"(\b(TopoDS_|Handle\(|opencascade::|gp_Pnt|CGAL::|cairo_t|PangoLayout))",
              {"exporters/drawing/fonts.hpp", "exporters/drawing/record.hpp"});
}

TEST(ProjectRules, NumericRoomsKnowNoSolidsAndNoPaper) {
  expect_none(
      sources_in({"engine/quantity", "engine/spec", "engine/face", "engine/bow", "engine/flight", "engine/fit"}),
      R"(#include\s+["<](engine/(solid|clearance)|exporters|cairo|pango|CGAL|TopoDS))", {});
}

TEST(ProjectRules, EveryFileSaysItsLicenceAndStaysShort) {
  constexpr std::size_t longest = 400;
  for (const Source& source : sources_in({"engine", "exporters", "cli", "tests"})) {
    ASSERT_FALSE(source.lines.empty()) << source.path;
    EXPECT_EQ(source.lines.front(), "// SPDX-License-Identifier: GPL-3.0-or-later") << source.path;
    EXPECT_LE(source.lines.size(), longest) << source.path << " wants a split";
  }
}

TEST(ProjectRules, EveryFileIsFormatted) {
  if (std::system("command -v clang-format >/dev/null") != 0) GTEST_SKIP() << "no clang-format here";
  // The script, so that what a contributor runs by hand and what is tested cannot differ.
  EXPECT_EQ(std::system("sh '" PEEPWRIGHT_SOURCE_DIR "/tests/style.sh'"), 0) << "clang-format -i FILE mends it";
}

}  // namespace
