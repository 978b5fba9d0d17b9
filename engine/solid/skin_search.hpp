// SPDX-License-Identifier: GPL-3.0-or-later
// The place of a skin that is nearest to a body: branch and bound over a sampled skin finds the basin, Newton on the
// surface itself finds the point. Inside this room only.
#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "engine/solid/body.hpp"
#include "engine/solid/skin.hpp"
#include "engine/solid/skin_region.hpp"
#include "engine/solid/vec.hpp"

namespace peepwright::solid {

inline double signed_u(double u) { return u - std::floor(u + 0.5); }

class SkinSearch {
 public:
  static constexpr double inf = std::numeric_limits<double>::infinity();
  /// How far the surface may stand off its samples: a cell of 1.5 mm on the sharpest ridge (radius 2 mm) sags 0.15 mm.
  static constexpr double sag_mm = 0.3;

  /// A body's signed distance at a place of the skin.
  struct Found {
    double value = inf;
    SkinParameter at;
    [[nodiscard]] bool any() const { return value < inf; }
  };

  /// A point's signed distance to the skin, negative inside the head, and the place it is measured to.
  struct Side {
    double value = inf;
    SkinParameter at;
    Point3 on_skin, normal;
  };

  explicit SkinSearch(Skin skin);

  [[nodiscard]] const Skin& skin() const { return skin_; }
  /// Round all samples.
  [[nodiscard]] const Box3& box() const { return box_; }

  /// Least value over a region. Only what lies below `ceiling` is looked for; nothing found otherwise.
  [[nodiscard]] Found least(const RodAxis& rod, const SkinRegion& region, double ceiling = inf) const;

  /// Nearest place of the whole skin. A good guess at it saves most of the search and changes nothing.
  [[nodiscard]] Side nearest(const Point3& p, const SkinParameter* guess = nullptr) const;
  /// The place that `guess` leads to. It need not be the nearest, so the true distance is no greater than `value` says.
  [[nodiscard]] Side nearest_downhill(const Point3& p, SkinParameter guess) const;

  [[nodiscard]] static bool holds(const SkinRegion& region, SkinParameter at);
  /// Round the samples of a region; nothing for one that goes all the way round.
  [[nodiscard]] std::optional<Box3> box_of(const SkinRegion& region) const;

 private:
  struct Node {
    Point3 centre;
    double radius = 0;
  };
  struct Level {
    std::size_t wide = 0, high = 0;
    std::vector<Node> nodes;
  };
  class Cells;
  /// 256 by 240 cells of about a millimetre on the face: fine enough that every basin that matters holds a sample.
  static constexpr std::size_t across = 256, cells_down = 240;

  [[nodiscard]] const Point3& sample(std::size_t i, std::size_t j) const { return samples_[j * across + i % across]; }
  [[nodiscard]] static SkinParameter parameter(std::size_t i, std::size_t j);
  [[nodiscard]] static bool beside(SkinParameter place, SkinParameter sample);
  template <class Body>
  [[nodiscard]] bool is_basin(const Body& body, const Cells& cells, std::size_t i, std::size_t j, double value) const;
  [[nodiscard]] SkinParameter nearest_sample_about(const Point3& p) const;
  [[nodiscard]] Found nearer(const Ball& point, Found known) const;
  [[nodiscard]] Found polish(const RodAxis& rod, const SkinRegion& region, SkinParameter from) const;
  [[nodiscard]] Found polish(const Ball& point, const SkinRegion& whole, SkinParameter from) const;
  [[nodiscard]] Side side(const Point3& p, const Found& found) const;

  Skin skin_;
  std::vector<Point3> samples_;
  std::vector<Level> levels_;  ///< finest first; a node of level k covers 2 × 2 of level k − 1
  Box3 box_;
};

}  // namespace peepwright::solid
