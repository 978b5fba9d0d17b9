// SPDX-License-Identifier: GPL-3.0-or-later
// What is written is read back by ncdump, which knows nothing of us.
#include "exporters/sweep/sweep_netcdf.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cstdio>
#include <map>

#include "exporters/sweep/netcdf_file.hpp"
#include "tests/exporters/sweep_sample.hpp"

namespace peepwright {
namespace {

using ::testing::HasSubstr;

std::string ncdump(const std::string& options, const fs::path& file) {
  const std::string command = "LC_ALL=C ncdump " + options + " '" + file.string() + "' 2>&1";
  std::string out;
  FILE* pipe = ::popen(command.c_str(), "r");
  char some[4096];
  while (const std::size_t count = std::fread(some, 1, sizeof some, pipe)) out.append(some, count);
  EXPECT_EQ(::pclose(pipe), 0) << out;
  return out;
}

/// The data section, value by value: "name = a, b, c ;".
std::map<std::string, std::vector<std::string>> values_in(const std::string& dump) {
  std::map<std::string, std::vector<std::string>> out;
  std::stringstream data(dump.substr(dump.find("\ndata:") + 6));
  std::string word, name;
  while (data >> word) {
    if (word == ";" || word == "=" || word == "}") continue;
    const bool named = !word.ends_with(',') && data >> std::ws && data.peek() == '=';
    if (named) {
      name = word;
      continue;
    }
    if (word.ends_with(',')) word.pop_back();
    out[name].push_back(word);
  }
  return out;
}

class SweepNetcdf : public SweepFiles {};

TEST_F(SweepNetcdf, HoldsEveryValueOfTheTable) {
  const std::string csv = write_part(1, 1);
  EXPECT_EQ(write_sweep_netcdf(csv, manifest()), "sweep.nc");
  const fs::path file = folder / "sweep.nc";
  EXPECT_EQ(ncdump("-k", file), "64-bit offset\n");
  const auto values = values_in(ncdump("-p 9,17 -l 100000", file));
  SweepReader reader(csv);
  std::size_t row = 0, problems = 0;
  for (; reader.next(); ++row) {
    const bool solved = reader.field(reader.column("problem")).empty();
    problems += !solved;
    for (std::size_t k = 0; k < reader.names().size(); ++k) {
      const std::string& name = reader.names()[k];
      ASSERT_TRUE(values.contains(name)) << name;
      ASSERT_EQ(values.at(name).size(), rows().size()) << name;
      const std::string& read = values.at(name)[row];
      const std::string_view field = reader.field(k);
      if (name == "problem") {
        EXPECT_EQ(read == "_", solved);
      } else if (name == "not_met" && solved) {
        int mask = 0;
        for (std::size_t i = 0; i < clearance_names.size(); ++i)
          mask |= field.find(clearance_names[i]) != std::string_view::npos ? 1 << i : 0;
        EXPECT_EQ(read, fmt::format("{}", mask));
      } else if (field.empty()) {
        EXPECT_TRUE(read == "_" || read == "NaN") << name << ' ' << read;
      } else if (name == "clears") {
        EXPECT_EQ(read, field == "yes" ? "1" : "0");
      } else if (field == "clear" || field == "tight" || field == "touching") {
        EXPECT_EQ(read, field == "clear" ? "0" : field == "tight" ? "1" : "2") << name;
      } else {
        EXPECT_EQ(std::stod(read), *reader.number(k)) << name;
      }
    }
  }
  EXPECT_EQ(row, rows().size());
  EXPECT_GT(problems, 2u);
  EXPECT_LT(problems, row - 2);
}

TEST_F(SweepNetcdf, SaysWhatItsColumnsMean) {
  write_sweep_netcdf(write_part(1, 1), manifest());
  const std::string head = ncdump("-h", folder / "sweep.nc");
  for (const char* line :
       {"variant = 20 ;", "problem_kind = ", "double bow.draw_length_mm(variant) ;",
        "bow.draw_length_mm:units = \"mm\" ;", "leg_angle_deg:units = \"deg\" ;", "longest_m:units = \"m\" ;",
        "nock_face:flag_meanings = \"clear tight touching\" ;", "nock_face:flag_values = 0b, 1b, 2b ;",
        "not_met:flag_masks = 1b, 2b, 4b, 8b, 16b, 32b ;", ":fingerprint = \"0\" ;"})
    EXPECT_THAT(head, HasSubstr(line));
  // The words of a problem, behind its number.
  EXPECT_THAT(ncdump("-v problem_text", folder / "sweep.nc"), HasSubstr("deg"));
}

TEST_F(SweepNetcdf, IsTheSameToTheByteAndLeavesNothingBeside) {
  const std::string csv = write_part(1, 1);
  write_sweep_netcdf(csv, manifest());
  const std::string first = read(folder / "sweep.nc");
  write_sweep_netcdf(csv, manifest());
  EXPECT_EQ(read(folder / "sweep.nc"), first);
  EXPECT_FALSE(fs::exists(folder / "sweep.nc.partial"));
}

TEST_F(SweepNetcdf, RefusesADamagedTableAndLeavesNoFile) {
  const std::string csv = write_part(1, 1);
  fs::resize_file(csv, fs::file_size(csv) - 5);
  EXPECT_THAT(refusal([&] { write_sweep_netcdf(csv, manifest()); }), HasSubstr("damaged"));
  EXPECT_FALSE(fs::exists(folder / "sweep.nc"));
  EXPECT_FALSE(fs::exists(folder / "sweep.nc.partial"));
}

// 600 million values of eight bytes do not fit the offsets of the plain format. The file is a hole but for its header.
TEST_F(SweepNetcdf, ColumnsOfFourGigabytesTakeTheWideFormat) {
  NetcdfLayout layout;
  layout.dimensions = {{"variant", 600'000'000}};
  layout.variables = {{"mark_mm", NetcdfType::float64, {0}, {{"units", std::string("mm")}}, 0},
                      {"clears", NetcdfType::int8, {0}, {}, 0}};
  const std::string header = netcdf_header(layout);
  EXPECT_EQ(layout.file_size, header.size() + 9 * 600'000'000ull);
  const fs::path file = folder / "wide.nc";
  std::ofstream(file, std::ios::binary) << header;
  fs::resize_file(file, layout.file_size);
  EXPECT_EQ(ncdump("-k", file), "cdf5\n");
  EXPECT_THAT(ncdump("-h", file), HasSubstr("double mark_mm(variant) ;"));
}

}  // namespace
}  // namespace peepwright
