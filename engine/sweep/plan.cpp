// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/sweep/plan.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "engine/sweep/random.hpp"

namespace peepwright {
namespace {

bool of_the_face(Key key) { return info_of(key).path.starts_with("archer.face."); }

[[noreturn]] void refuse(const std::string& message) { throw Error(ErrorCode::input, message); }

std::uint64_t times(std::uint64_t a, std::uint64_t b) {
  if (a > SweepPlan::most_variants / std::max<std::uint64_t>(b, 1))
    refuse(fmt::format("the sweep has more than {} variants; take longer steps, fewer faces or a Latin hypercube",
                       SweepPlan::most_variants));
  return a * b;
}

/// FNV-1a, 64 bits.
class Digest {
 public:
  void add(std::string_view text) {
    for (const char c : text) state_ = (state_ ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    state_ = (state_ ^ 0xffu) * 0x100000001b3u;  // no text has this byte: "ab", "c" is not "a", "bc"
  }
  template <class... Values>
  void numbers(Values... values) {
    (add(fmt::format("{}", values)), ...);
  }
  [[nodiscard]] std::string text() const { return fmt::format("{:016x}", state_); }

 private:
  std::uint64_t state_ = 0xcbf29ce484222325u;
};

}  // namespace

SweepPlan::SweepPlan(Spec base, std::vector<Variation> variations, std::optional<Population> population,
                     Sampling sampling)
    : base_(std::move(base)),
      variations_(std::move(variations)),
      population_(std::move(population)),
      sampling_(sampling) {
  if (variations_.empty() && !population_)
    refuse("nothing is varied; give --vary KEY=FROM..TO/STEP or --population NAME:N");
  if (variations_.empty() && sampling_.latin_points > 0) refuse("a Latin hypercube needs a --vary");
  if (sampling_.latin_points > most_variants)
    refuse(fmt::format("a Latin hypercube of {} points; at most {} are taken", sampling_.latin_points, most_variants));
  if (population_ && base_.scan)
    throw Error(ErrorCode::input, base_.scan->where,
                "archer.face.scan is one person's head and --population other people's; give one of them");
  if (population_) {
    for (const KeyInfo& row : all_keys())
      if (of_the_face(row.key) && base_.given(row.key))
        throw Error(
            ErrorCode::input, base_[row.key].where,
            fmt::format("{} is given, but --population gives every archer a face of his own; leave one of them out",
                        row.path));
    keys_.assign(population_->measures().begin(), population_->measures().end());
    size_ = population_->size();
  }
  for (const Variation& v : variations_) {
    const std::string_view path = info_of(v.key).path;
    if (std::ranges::find(keys_, v.key) != keys_.end())
      refuse(fmt::format("{} is varied twice{}", path,
                         population_ && of_the_face(v.key) ? ", by --vary and by --population" : ""));
    keys_.push_back(v.key);
    // How high a head comes to the arrow is no measure of its skin.
    if (base_.scan && of_the_face(v.key) && v.key != Key::face_eye_to_arrow)
      throw Error(ErrorCode::input, base_.scan->where,
                  fmt::format("archer.face.scan gives every variant the same skin, which --vary {} would not move: all "
                              "clearances would be to that one face; leave the scan out, or do not vary the face",
                              path));
    if ((v.key == Key::tied_mark || v.key == Key::tied_height_full_draw) && !tied_pair_decides())
      refuse(
          fmt::format("--vary {}: a sweep places the peep anew in every variant, wherever it is tied, so all rows "
                      "would be the same. "
                      "For a peep that is tied take verify --mark, or compare --a with peep.tied.mark in the files",
                      path));
    if (sampling_.latin_points == 0) points_ = times(points_, v.count);
  }
  refuse_readings_of_another_bow();
  if (sampling_.latin_points > 0) points_ = sampling_.latin_points;
  size_ = times(size_, points_);
}

bool SweepPlan::varied(Key key) const {
  return std::ranges::find(variations_, key, &Variation::key) != variations_.end();
}

bool SweepPlan::tied_pair_decides() const {
  using enum Key;
  const auto known = [&](Key key) { return base_.has(key) || varied(key); };
  return known(tied_mark) && known(tied_height_full_draw) && !known(full_draw_string_angle);
}

void SweepPlan::refuse_readings_of_another_bow() const {
  using enum Key;
  // What was read on the bow of the files and says, for all or part, how its string stands at full draw.
  std::vector<std::string> readings;
  std::string where;
  const auto takes = [&](std::string_view path, const Location& place) {
    readings.emplace_back(path);
    if (where.empty()) where = place.text();
  };
  const auto read = [&](Key key) {
    if (base_.has(key) && !varied(key)) takes(info_of(key).path, base_[key].where);
  };
  const bool pair = tied_pair_decides();
  const bool angle_alone = pair || base_.has(full_draw_string_angle) || varied(full_draw_string_angle);
  if (pair ? varied(tied_mark) || varied(tied_height_full_draw) : varied(full_draw_string_angle)) return;
  read(full_draw_string_angle);
  if (base_.has(tied_mark) && base_.has(tied_height_full_draw)) read(tied_height_full_draw);
  for (const Key key : {full_draw_axle_to_axle, full_draw_axle_set_back}) read(key);
  if (!base_.force_draw.empty()) takes("bow.force_draw", base_.force_draw.front().where);
  if (readings.empty()) return;

  for (const Variation& v : variations_) {
    const std::string_view path = info_of(v.key).path;
    const bool catalogue = v.key == bow_axle_to_axle || v.key == bow_brace_height || v.key == bow_draw_length;
    // Beside an angle that was read these say nothing at all; beside axle positions they say the rest.
    const bool inside = std::ranges::any_of(
        std::initializer_list<std::string_view>{"bow.full_draw.", "bow.limb.", "bow.cam.", "bow.assumed."},
        [&](std::string_view table) { return path.starts_with(table); });
    if (!catalogue && !(angle_alone && inside)) continue;
    refuse(
        fmt::format("--vary {}: every variant is another bow, but {}, measured on that of the files{}, would give "
                    "them all its string's angle; leave that reading out of a sweep, or vary it too",
                    path, fmt::join(readings, ", "), where.empty() ? "" : " (" + where + ")"));
  }
}

bool SweepPlan::faces_differ() const { return std::ranges::any_of(keys_, of_the_face); }

double SweepPlan::value_at(std::size_t variation, std::uint64_t point) const {
  const Variation& v = variations_[variation];
  if (sampling_.latin_points > 0) {
    const std::uint64_t seed = scrambled(sampling_.seed) ^ scrambled(variation + 1);
    const std::uint64_t part = shuffled(point, points_, seed);
    const double share = (static_cast<double>(part) + uniform(seed, point, 0)) / static_cast<double>(points_);
    return std::clamp(v.from + (v.to - v.from) * share, v.from, v.to);
  }
  for (std::size_t later = variations_.size() - 1; later > variation; --later) point /= variations_[later].count;
  return v.grid_value(point % v.count);
}

Spec SweepPlan::spec_at(std::uint64_t index) const {
  Spec spec = base_;
  if (population_) population_->give_face(index / points_, spec);
  for (std::size_t k = 0; k < variations_.size(); ++k) {
    const Input before = base_[variations_[k].key];
    spec.give(variations_[k].key, value_at(k, index % points_));
    if (before.uncertainty_given) spec.set_uncertainty(variations_[k].key, before.uncertainty, true);
  }
  spec.suit_assumptions();
  return spec;
}

std::string fingerprint_of(const Spec& spec) {
  Digest digest;
  for (const KeyInfo& row : all_keys()) {
    const Input& input = spec[row.key];
    digest.numbers(static_cast<int>(input.status), input.status == Status::absent ? 0 : input.value, input.uncertainty);
  }
  digest.numbers(static_cast<int>(spec.hand), static_cast<int>(spec.build), spec.draw_length_includes_offset);
  for (const ForceReading& r : spec.force_draw) digest.numbers(r.draw.mm(), r.force.n());
  if (spec.force_draw_uncertainty) digest.numbers(spec.force_draw_uncertainty->n());
  digest.add("bores");
  for (const Length length : spec.peep_bores) digest.numbers(length.mm());
  digest.add("distances");
  for (const Length length : spec.mark_distances) digest.numbers(length.mm());
  for (const GapRange& range : {spec.wanted_string_nose, spec.wanted_string_mouth})
    digest.numbers(range.least.mm(), range.most.mm());
  digest.add("landmarks of a scan");
  for (const PlacedMark& mark : spec.placed_marks) {
    digest.add(mark.name);
    for (const double mm : mark.place_mm) digest.numbers(mm);
  }
  return digest.text();
}

std::string fingerprint_of(const solid::TriangleMesh& mesh) {
  Digest digest;
  for (const Point3& v : mesh.vertices) digest.numbers(v.x, v.y, v.z);
  for (const auto& t : mesh.triangles) digest.numbers(t[0], t[1], t[2]);
  return digest.text();
}

std::string SweepPlan::fingerprint(std::string_view more) const {
  Digest digest;
  digest.add(more);
  digest.add(fingerprint_of(base_));
  for (const Variation& v : variations_) {
    digest.add(info_of(v.key).path);
    digest.numbers(v.from, v.to, v.step);
  }
  digest.add(population_ ? population_->text() : "no population");
  if (population_)
    for (const Key key : population_->measures()) digest.add(info_of(key).path);
  digest.numbers(sampling_.latin_points, sampling_.latin_points > 0 ? sampling_.seed : 0);
  return digest.text();
}

}  // namespace peepwright
