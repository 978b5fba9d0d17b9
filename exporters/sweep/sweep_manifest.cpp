// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_manifest.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "engine/quantity/format.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {

namespace {
constexpr std::string_view schema = "peepwright-sweep-1";

/// A whole number of no more than the variants that a sweep can have; the library would turn any other into one.
std::uint64_t count_of(const nlohmann::json& json, const std::string& path, std::string_view name) {
  const auto& value = json.at(std::string(name));
  if (!value.is_number_unsigned() || value.get<std::uint64_t>() > SweepPlan::most_variants)
    throw Error(ErrorCode::input, fmt::format("{}: does not describe a sweep ({} is no whole number of up to {})", path,
                                              name, SweepPlan::most_variants));
  return value.get<std::uint64_t>();
}
}  // namespace

SweepManifest manifest_of(const SweepPlan& plan, const std::string& fingerprint, std::uint64_t part,
                          std::uint64_t parts) {
  SweepManifest out;
  out.version = version();
  out.fingerprint = fingerprint;
  out.bow_label = plan.base().bow_label;
  out.variants = plan.size();
  out.part = part;
  out.parts = parts;
  out.rows = slice_of(plan.size(), part, parts);
  for (const Variation& v : plan.variations()) {
    const KeyInfo& row = info_of(v.key);
    out.axes.push_back({std::string(row.path), column_name(v.key), std::string(shown_unit(row.dimension)),
                        shown_value(v.from, row.dimension), shown_value(v.to, row.dimension),
                        shown_value(v.step, row.dimension), v.count});
  }
  if (plan.population()) out.population = plan.population()->text();
  out.latin_points = plan.sampling().latin_points;
  return out;
}

std::string manifest_json(const SweepManifest& m) {
  nlohmann::ordered_json axes = nlohmann::ordered_json::array();
  for (const auto& a : m.axes)
    axes.push_back({{"key", a.key},
                    {"column", a.column},
                    {"unit", a.unit},
                    {"from", a.from},
                    {"to", a.to},
                    {"step", a.step},
                    {"values", a.values}});
  const nlohmann::ordered_json out{{"schema", schema},
                                   {"version", m.version},
                                   {"fingerprint", m.fingerprint},
                                   {"bow", m.bow_label},
                                   {"variants", m.variants},
                                   {"part", m.part},
                                   {"parts", m.parts},
                                   {"first", m.rows.first},
                                   {"rows", m.rows.size()},
                                   {"complete", m.complete},
                                   {"vary", axes},
                                   {"population", m.population},
                                   {"latin_hypercube", m.latin_points}};
  return out.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

SweepManifest read_manifest(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) throw Error(ErrorCode::input, path + ": cannot be opened for reading");
  constexpr std::uintmax_t largest = 1 << 20;
  std::error_code status;
  if (const auto size = std::filesystem::file_size(path, status); status || size > largest)
    throw Error(ErrorCode::input,
                fmt::format("{}: does not describe a sweep (no regular file of up to {} bytes)", path, largest));
  try {
    const auto json = nlohmann::json::parse(in);
    if (json.at("schema").get<std::string>() != schema)
      throw Error(ErrorCode::input, path + ": is of another schema than " + std::string(schema));
    SweepManifest out;
    json.at("version").get_to(out.version);
    json.at("fingerprint").get_to(out.fingerprint);
    json.at("bow").get_to(out.bow_label);
    out.variants = count_of(json, path, "variants");
    out.part = count_of(json, path, "part");
    out.parts = count_of(json, path, "parts");
    json.at("complete").get_to(out.complete);
    for (const auto& a : json.at("vary"))
      out.axes.push_back({a.at("key"), a.at("column"), a.at("unit"), a.at("from"), a.at("to"), a.at("step"),
                          count_of(a, path, "values")});
    json.at("population").get_to(out.population);
    out.latin_points = count_of(json, path, "latin_hypercube");
    out.rows = slice_of(out.variants, out.part, out.parts);
    return out;
  } catch (const nlohmann::json::exception& e) {
    throw Error(ErrorCode::input, fmt::format("{}: does not describe a sweep ({})", path, e.what()));
  }
}

std::string sweep_stem(std::uint64_t part, std::uint64_t parts) {
  return parts == 1 ? "sweep" : fmt::format("sweep-{}-of-{}", part, parts);
}

}  // namespace peepwright
