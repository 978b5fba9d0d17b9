// SPDX-License-Identifier: GPL-3.0-or-later
// What a sweep goes through: numbered variants, each a spec that can be made from its number alone.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/solid/shape.hpp"
#include "engine/spec/spec.hpp"
#include "engine/sweep/population.hpp"
#include "engine/sweep/variation.hpp"

namespace peepwright {

/// How the varied keys are combined.
struct Sampling {
  /// 0: every combination of grid values. Else so many points of a Latin hypercube over the ranges: each key's range
  /// is cut into that many equal parts and each part is met once (McKay, Beckman & Conover 1979). Steps do not count.
  std::uint64_t latin_points = 0;
  std::uint64_t seed = 1;
};

/// Sixteen hexadecimal digits of every number in `spec`, the landmarks of a scan among them; labels do not count.
std::string fingerprint_of(const Spec& spec);
/// The same of every corner and triangle of a mesh.
std::string fingerprint_of(const solid::TriangleMesh& mesh);

/// Variants 0 … size() − 1. Persons change slowest and the key that was named last fastest, so that one head serves
/// its neighbours. Nothing but the base, the ranges and the population is held: memory does not grow with the size.
class SweepPlan {
 public:
  static constexpr std::uint64_t most_variants = 1'000'000'000;

  /// Throws Error(input): nothing varied and no population, a key that is varied twice, a population beside face keys
  /// of the files or varied ones, the tied peep where it decides nothing, a bow's geometry beside readings at full draw
  /// of the bow of the files, more than `most_variants` variants.
  SweepPlan(Spec base, std::vector<Variation> variations, std::optional<Population> population, Sampling sampling = {});

  [[nodiscard]] std::uint64_t size() const { return size_; }
  [[nodiscard]] const Spec& base() const { return base_; }
  [[nodiscard]] const std::vector<Variation>& variations() const { return variations_; }
  [[nodiscard]] const std::optional<Population>& population() const { return population_; }
  [[nodiscard]] const Sampling& sampling() const { return sampling_; }

  /// Keys that differ between variants, in the order of columns: the person's measures, then the varied keys.
  [[nodiscard]] const std::vector<Key>& keys() const { return keys_; }
  /// True when a person or a varied key changes the face.
  [[nodiscard]] bool faces_differ() const;

  /// The spec of a variant, as if its values had been in the files; not checked (`check_spec`). The uncertainty that
  /// the files give for a varied key stays. Throws Error(input) where a person's face cannot be made.
  [[nodiscard]] Spec spec_at(std::uint64_t index) const;

  /// Sixteen hexadecimal digits of everything the variants depend on: base, ranges, population, sampling, and `more`,
  /// what the rows depend on besides. Two sweeps that agree in it have the same rows.
  [[nodiscard]] std::string fingerprint(std::string_view more) const;

 private:
  [[nodiscard]] bool varied(Key key) const;
  /// Throws where a bow's geometry is varied beside what was measured at full draw on the bow of the files.
  void refuse_readings_of_another_bow() const;
  /// Whether mark and height of a tied peep say the string's angle; string_legs takes an angle that was read first.
  [[nodiscard]] bool tied_pair_decides() const;
  [[nodiscard]] double value_at(std::size_t variation, std::uint64_t point) const;

  Spec base_;
  std::vector<Variation> variations_;
  std::optional<Population> population_;
  Sampling sampling_;
  std::vector<Key> keys_;
  std::uint64_t points_ = 1, size_ = 1;
};

}  // namespace peepwright
