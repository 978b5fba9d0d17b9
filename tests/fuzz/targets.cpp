// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/fuzz/targets.hpp"

#include <unistd.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "engine/bow/draw_estimate.hpp"
#include "engine/bow/force_draw_fit.hpp"
#include "engine/fit/fit.hpp"
#include "engine/spec/spec.hpp"
#include "exporters/sweep/sweep_csv.hpp"
#include "exporters/sweep/sweep_file.hpp"
#include "exporters/sweep/sweep_merge.hpp"
#include "exporters/sweep/sweep_summary.hpp"
#include "tests/fuzz/promises.hpp"

namespace peepwright::fuzz {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view parting = "#----\n";

std::vector<std::string> parts_of(std::string_view bytes) {
  std::vector<std::string> out;
  while (true) {
    const auto at = bytes.find(parting);
    out.emplace_back(bytes.substr(0, at));
    if (at == std::string_view::npos) return out;
    bytes.remove_prefix(at + parting.size());
  }
}

void write(const fs::path& path, const std::string& bytes) {
  std::ofstream out(path, std::ios::binary);
  out << bytes;
}

/// Of this process; emptied for each run.
const fs::path& empty_folder() {
  static const fs::path folder = fs::temp_directory_path() / ("peepwright-fuzz-" + std::to_string(::getpid()));
  static const bool cleaned_up = std::atexit([] { fs::remove_all(folder); }) == 0;
  (void)cleaned_up;
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

/// Hands out the bytes as numbers between two bounds; zeros when they have run out.
class Numbers {
 public:
  explicit Numbers(std::string_view bytes) : bytes_(bytes) {}
  [[nodiscard]] bool empty() const { return bytes_.size() < 2; }
  double between(double low, double high) {
    if (empty()) return low;
    const unsigned number = static_cast<unsigned char>(bytes_[0]) << 8 | static_cast<unsigned char>(bytes_[1]);
    bytes_.remove_prefix(2);
    return low + (high - low) * number / 65535;
  }

 private:
  std::string_view bytes_;
};

}  // namespace

void quantity(std::string_view bytes) {
  if (bytes.empty()) return;
  constexpr Dimension all[] = {Dimension::length, Dimension::angle, Dimension::mass,  Dimension::speed,
                               Dimension::force,  Dimension::ratio, Dimension::number};
  const Dimension dimension = all[static_cast<unsigned char>(bytes.front()) % std::size(all)];
  accepted(
      [&] { require(std::isfinite(parse_quantity(bytes.substr(1), dimension)), "a quantity that is no number\n"); });
}

void spec(std::string_view bytes) {
  std::vector<std::pair<std::string, std::string>> texts;
  for (std::string& part : parts_of(bytes)) texts.emplace_back("part.toml", std::move(part));
  accepted([&] {
    Spec read = parse_spec(texts);
    for (const KeyInfo& row : all_keys())
      require(std::isfinite(read[row.key].value) && read[row.key].uncertainty >= 0, "a key without a number\n");
    if (read.scan) return;  // its file would have to be there
    if (const auto assumed = draw_assumptions(read, DrawDetail::angle_alone)) put(*assumed, read);
    const Fit fit = solve_fit(read);
    require(std::isfinite(fit.core.mark_mm) && std::isfinite(fit.reach.longest_m), "a fit without a mark\n");
    for (const Clearance& c : fit.clearances) require(std::isfinite(c.distance_mm), "a clearance without a number\n");
  });
}

void sweep_resume(std::string_view bytes) {
  const std::vector<std::string> parts = parts_of(bytes);
  const std::string& table = parts.size() > 1 ? parts[1] : parts[0];
  const fs::path& folder = empty_folder();
  write(folder / "sweep.partial.json", parts[0]);
  write(folder / "sweep.partial.csv", table);
  SweepManifest manifest;
  if (!accepted([&] { manifest = read_manifest((folder / "sweep.partial.json").string()); })) return;
  const bool resumed = accepted([&] {
    const std::string header = csv_header(sweep_columns({}, false));
    SweepFile file(folder.string(), manifest, header, SweepFile::Start::resume);
    require(file.next() <= manifest.rows.last, "a table that has more rows than its sweep\n");
  });
  if (resumed) return;
  write(folder / "a.json", parts[0]);
  write(folder / "a.csv", table);
  accepted([&] { merge_sweeps({(folder / "a.csv").string()}, (folder / "merged").string()); });
  accepted([&] { summary_json(summarise((folder / "a.csv").string(), manifest)); });
}

void force_draw(std::string_view bytes) {
  Numbers numbers(bytes);
  CatalogueBow bow;
  bow.axle_to_axle_mm = numbers.between(500, 1300);
  bow.brace_height_mm = numbers.between(100, 260);
  bow.draw_length_to_pivot_mm = numbers.between(350, 850);
  bow.peak_weight_n = numbers.between(40, 500);
  bow.let_off = numbers.between(0, 0.99);
  std::vector<ForceDrawPoint> table;
  constexpr std::size_t most = 40;
  double draw = bow.brace_height_mm + numbers.between(-30, 60);
  while (!numbers.empty() && table.size() < most) {
    table.push_back({draw, numbers.between(-5, 500)});
    draw += numbers.between(-2, 80);
  }
  accepted([&] {
    const ForceDrawFit fit = fit_force_draw(bow, table);
    require(std::isfinite(fit.limb_stiffness_n_mm) && std::isfinite(fit.holding_n) &&
                std::isfinite(fit.root_mean_square_n) && fit.leg_angle_uncertainty_rad >= 0,
            "a fitted bow without numbers\n");
  });
}

}  // namespace peepwright::fuzz
