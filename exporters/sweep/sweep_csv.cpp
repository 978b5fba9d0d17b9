// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sweep/sweep_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <iterator>

#include "engine/quantity/format.hpp"

namespace peepwright {
namespace {

std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c == '\n' || c == '\r' ? ' ' : c;  // a row is a line
  }
  return out + '"';
}

/// Fields of one line, quotes undone.
void split(std::string_view line, std::vector<std::string>& out) {
  out.clear();
  std::size_t at = 0;
  while (true) {
    std::string& field = out.emplace_back();
    if (at < line.size() && line[at] == '"') {
      for (++at; at < line.size(); ++at) {
        if (line[at] != '"') field += line[at];
        else if (at + 1 < line.size() && line[at + 1] == '"') field += line[++at];
        else break;
      }
      if (at < line.size()) ++at;
    }
    const auto comma = std::min(line.find(',', at), line.size());
    field += line.substr(at, comma - at);
    if (comma == line.size()) return;
    at = comma + 1;
  }
}

}  // namespace

std::string column_name(std::string_view clearance) {
  std::string out(clearance);
  std::ranges::replace(out, '-', '_');
  return out;
}

std::vector<SweepColumn> sweep_columns(const std::vector<Key>& keys, bool uncertainty) {
  std::vector<SweepColumn> out{{"variant", "number of the variant, from 0"}};
  for (const Key key : keys) out.push_back({column_name(key), std::string(info_of(key).help)});
  out.push_back({"mark_mm", "top of the nock to the peep's centre, bow at rest"});
  if (uncertainty) out.push_back({"mark_uncertainty_mm", "its expanded uncertainty, k = 2"});
  out.push_back({"peep_height_mm", "peep's centre above the arrow's axis at full draw"});
  out.push_back({"leg_angle_deg", "upper string leg to the arrow at full draw"});
  out.push_back({"yaw_deg", "head turned off the target line toward the string"});
  out.push_back({"pitch_deg", "head nodded"});
  out.push_back({"roll_deg", "head tilted sideways"});
  out.push_back({"eye_to_arrow_mm", "aiming pupil above the arrow's axis"});
  out.push_back({"head_forward_mm", "head against the reference's, toward the target"});
  out.push_back({"head_up_mm", "head against the reference's, up"});
  out.push_back({"longest_m", "farthest distance at which sight and vanes keep the wanted room; 0: none"});
  for (const std::string_view name : clearance_names) {
    out.push_back({column_name(name) + "_mm", "clearance on solids; less than 0: pressed in"});
    out.push_back({column_name(name), "clear, tight or touching"});
  }
  out.push_back({"clears", "yes when every clearance is as wanted, else no"});
  out.push_back({"not_met", "clearances that are not as wanted, parted by semicolons"});
  out.push_back({"problem", "why this variant cannot be"});
  return out;
}

std::string csv_header(const std::vector<SweepColumn>& columns) {
  std::string out;
  for (const SweepColumn& column : columns) out += (out.empty() ? "" : ",") + column.name;
  return out + "\n";
}

std::string csv_rows(const std::vector<SweepRow>& rows, const std::vector<Key>& keys, bool uncertainty) {
  fmt::memory_buffer out;
  const auto add = [&](double value) { fmt::format_to(std::back_inserter(out), ",{}", to_billionth(value)); };
  const auto add_deg = [&](double rad) { add(degrees(rad)); };
  const auto add_text = [&](std::string_view text) { fmt::format_to(std::back_inserter(out), ",{}", text); };
  const std::size_t between = sweep_columns({}, uncertainty).size() - 2;  // all but the number and the problem
  for (const SweepRow& row : rows) {
    fmt::format_to(std::back_inserter(out), "{}", row.index);
    for (std::size_t k = 0; k < keys.size(); ++k)
      if (std::isnan(row.values[k])) add_text("");
      else add(shown_value(row.values[k], info_of(keys[k]).dimension));
    if (!row.outcome) {
      for (std::size_t i = 0; i < between; ++i) add_text("");
      add_text(quoted(row.problem));
      out.push_back('\n');
      continue;
    }
    const SweepOutcome& o = *row.outcome;
    add(o.mark_mm);
    if (uncertainty) add(o.expanded_mm.value_or(0));
    add(o.peep_height_mm);
    add_deg(o.leg_angle_rad);
    add_deg(o.yaw_rad);
    add_deg(o.pitch_rad);
    add_deg(o.roll_rad);
    add(o.eye_to_arrow_mm);
    add(o.shift.forward_mm);
    add(o.shift.up_mm);
    add(o.longest_m);
    std::string not_met;
    for (std::size_t i = 0; i < clearance_names.size(); ++i) {
      add(o.gap_mm[i]);
      add_text(text_of(o.verdict[i]));
      if (!o.met[i]) not_met += (not_met.empty() ? "" : ";") + std::string(clearance_names[i]);
    }
    add_text(not_met.empty() ? "yes" : "no");
    add_text(not_met);
    add_text("");
    out.push_back('\n');
  }
  return fmt::to_string(out);
}

SweepReader::SweepReader(const std::string& path) : path_(path), in_(path, std::ios::binary), piece_(longest_line + 1) {
  if (!in_) throw Error(ErrorCode::input, path + ": cannot be opened for reading");
  if (!read_line() || !whole_) throw Error(ErrorCode::input, path + ": has no header; it is no table of a sweep");
  header_ = line_;
  split(header_, names_);
}

bool SweepReader::read_line() {
  in_.getline(piece_.data(), static_cast<std::streamsize>(piece_.size()));
  const auto count = static_cast<std::size_t>(in_.gcount());  // with the line's end, where it has one
  if (count == 0) return false;
  if (in_.fail() && !in_.eof())
    throw Error(ErrorCode::input, fmt::format("{}:{}: is longer than {} bytes; this is no table of a sweep", path_,
                                              lines_ + 1, longest_line));
  whole_ = !in_.eof();
  line_.assign(piece_.data(), whole_ ? count - 1 : count);
  offset_ += line_.size() + (whole_ ? 1 : 0);
  ++lines_;
  return true;
}

std::size_t SweepReader::column(std::string_view name) const {
  const auto found = std::ranges::find(names_, name);
  return found == names_.end() ? npos : static_cast<std::size_t>(found - names_.begin());
}

bool SweepReader::next() {
  if (!read_line()) return false;
  split(line_, fields_);
  if (fields_.size() != names_.size() && whole_)
    throw Error(ErrorCode::input,
                fmt::format("{}:{}: has {} fields, the header {}", path_, lines_, fields_.size(), names_.size()));
  return true;
}

std::optional<double> SweepReader::number(std::size_t column) const {
  const std::string& text = fields_[column];
  if (text.empty()) return std::nullopt;
  double value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  constexpr double largest = 1e12;  // beyond what any column holds
  if (status != std::errc{} || end != text.data() + text.size() || !(std::abs(value) <= largest))
    throw Error(ErrorCode::input, fmt::format("{}:{}: \"{}\" is no number", path_, lines_, text.substr(0, 40)));
  return value;
}

}  // namespace peepwright
