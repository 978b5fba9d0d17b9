// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/labels.hpp"

#include <algorithm>
#include <limits>
#include <numeric>
#include <utility>

namespace peepwright::view {
namespace {

/// What breaking the rule once costs: more than any distance on a page.
constexpr double forbidden = 1e4;
constexpr double leader_over_leader = 60;
/// From here on a label is badly placed, and another one may make room for it.
constexpr double unhappy = 40;

Box around(const Segment& s) {
  return {std::min(s.a.x, s.b.x), std::min(s.a.y, s.b.y), std::max(s.a.x, s.b.x), std::max(s.a.y, s.b.y)};
}

Box both(const Box& a, const Box& b) {
  return {std::min(a.x0, b.x0), std::min(a.y0, b.y0), std::max(a.x1, b.x1), std::max(a.y1, b.y1)};
}

/// Lines by the squares of the page that they lie in: a choice looks at those near it only.
class LineGrid {
 public:
  explicit LineGrid(const std::vector<Segment>& lines) : seen_(lines.size(), 0) {
    if (lines.empty()) return;
    all_ = around(lines.front());
    for (const Segment& s : lines) all_ = both(all_, around(s));
    columns_ = cell(all_.x1, all_.x0) + 1;
    cells_.resize(columns_ * (cell(all_.y1, all_.y0) + 1));
    for (std::size_t i = 0; i < lines.size(); ++i)
      each_cell(around(lines[i]), [&](std::vector<std::size_t>& held) { held.push_back(i); });
  }

  /// Calls `act` once for the number of every line that may come into the box.
  template <class Act>
  void near(const Box& box, const Act& act) {
    ++visit_;
    each_cell(box, [&](const std::vector<std::size_t>& held) {
      for (const std::size_t i : held)
        if (std::exchange(seen_[i], visit_) != visit_) act(i);
    });
  }

 private:
  static constexpr double cell_mm = 8;
  static std::size_t cell(double v, double from) { return v > from ? std::size_t((v - from) / cell_mm) : 0; }

  template <class Act>
  void each_cell(const Box& box, const Act& act) {
    if (cells_.empty() || box.x1 < all_.x0 || box.x0 > all_.x1 || box.y1 < all_.y0 || box.y0 > all_.y1) return;
    const std::size_t c1 = cell(std::min(box.x1, all_.x1), all_.x0), r1 = cell(std::min(box.y1, all_.y1), all_.y0);
    for (std::size_t r = cell(box.y0, all_.y0); r <= r1; ++r)
      for (std::size_t c = cell(box.x0, all_.x0); c <= c1; ++c) act(cells_[r * columns_ + c]);
  }

  Box all_;
  std::size_t columns_ = 0;
  std::vector<std::vector<std::size_t>> cells_;
  std::vector<std::size_t> seen_;  ///< by line, the visit that met it last
  std::size_t visit_ = 0;
};

/// Cost of two labels' choices standing together.
double together(const LabelChoice& a, const LabelChoice& b, double clearance) {
  double cost = 0;
  if (a.box.grown(clearance).overlaps(b.box)) cost += forbidden;
  for (const Segment& s : a.leader) {
    if (meets(s, b.box.grown(clearance))) cost += forbidden;
    for (const Segment& t : b.leader)
      if (cross(s, t)) cost += leader_over_leader;
  }
  for (const Segment& t : b.leader)
    if (meets(t, a.box.grown(clearance))) cost += forbidden;
  return cost;
}

constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

/// Labels with what they cost by themselves and against one another, and what each has chosen so far.
class Choosing {
 public:
  Choosing(const std::vector<std::vector<LabelChoice>>& labels, const std::vector<Segment>& lines, double clearance_mm)
      : labels_(labels), clearance_mm_(clearance_mm), alone_(labels.size()), chosen_(labels.size(), none) {
    LineGrid grid(lines);
    for (std::size_t i = 0; i < labels.size(); ++i)
      for (const LabelChoice& choice : labels[i]) alone_[i].push_back(against(lines, grid, choice));
    order_.resize(labels.size());
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    const auto freedom = [&](std::size_t i) {
      return std::ranges::count_if(alone_[i], [](double c) { return c < forbidden; });
    };
    std::ranges::stable_sort(order_, {}, freedom);
  }

  /// The hardest first, then each again given all others, until nobody wants to move.
  void settle() {
    for (const std::size_t i : order_) chosen_[i] = best_for(i);
    constexpr int most_rounds = 20;
    for (int round = 0; round < most_rounds; ++round)
      if (!each_again() && !two_together()) break;
  }

  [[nodiscard]] const std::vector<std::size_t>& chosen() const { return chosen_; }

  [[nodiscard]] double total() const {
    double sum = 0;
    for (std::size_t i = 0; i < labels_.size(); ++i) {
      sum += alone_[i][chosen_[i]];
      for (std::size_t j = 0; j < i; ++j)
        sum += together(labels_[i][chosen_[i]], labels_[j][chosen_[j]], clearance_mm_);
    }
    return sum;
  }

 private:
  /// Cost of a choice against lines that stand anyway.
  [[nodiscard]] double against(const std::vector<Segment>& lines, LineGrid& grid, const LabelChoice& choice) const {
    double cost = choice.cost;
    const Box box = choice.box.grown(clearance_mm_);
    grid.near(box, [&](std::size_t line) { cost += meets(lines[line], box) ? forbidden : 0; });
    // What its leader crosses matters only where the box itself may stand.
    for (std::size_t k = 0; k < choice.leader.size() && cost < forbidden; ++k)
      grid.near(around(choice.leader[k]),
                [&](std::size_t line) { cost += cross(lines[line], choice.leader[k]) ? choice.crossing : 0; });
    return cost;
  }

  [[nodiscard]] double cost_of(std::size_t i, std::size_t choice) const {
    double cost = alone_[i][choice];
    for (std::size_t j = 0; j < labels_.size(); ++j)
      if (j != i && chosen_[j] != none) cost += together(labels_[i][choice], labels_[j][chosen_[j]], clearance_mm_);
    return cost;
  }

  [[nodiscard]] std::size_t best_for(std::size_t i) const {
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < labels_[i].size(); ++k) {
      if (alone_[i][k] >= least) continue;
      if (const double cost = cost_of(i, k); cost < least - 1e-9) least = cost, best = k;
    }
    return best;
  }

  bool each_again() {
    bool moved = false;
    for (const std::size_t i : order_) {
      const std::size_t better = best_for(i);
      moved = moved || better != chosen_[i];
      chosen_[i] = better;
    }
    return moved;
  }

  /// Two that stand in each other's way move together; one such pair at most.
  bool two_together() {
    bool moved = false;
    for (std::size_t p = 0; !moved && p < order_.size(); ++p)
      for (std::size_t q = 0; !moved && q < order_.size(); ++q) moved = p != q && swap_gains(order_[p], order_[q]);
    return moved;
  }

  /// Lets `i` choose as if `j` were not there, then `j`; undone where that costs no less.
  bool swap_gains(std::size_t i, std::size_t j) {
    if (cost_of(i, chosen_[i]) < unhappy) return false;
    const std::size_t i_was = chosen_[i], j_was = chosen_[j];
    const double before = cost_of(i, i_was) + alone_[j][j_was];
    chosen_[j] = none;
    chosen_[i] = best_for(i);
    const double i_cost = cost_of(i, chosen_[i]);
    chosen_[j] = best_for(j);
    if (i_cost + cost_of(j, chosen_[j]) < before - 1e-9) return true;
    chosen_[i] = i_was;
    chosen_[j] = j_was;
    return false;
  }

  const std::vector<std::vector<LabelChoice>>& labels_;
  double clearance_mm_;
  std::vector<std::vector<double>> alone_;  ///< by label and choice
  std::vector<std::size_t> order_;          ///< of labels, by how few choices they have
  std::vector<std::size_t> chosen_;
};

}  // namespace

std::vector<std::size_t> place_labels(const std::vector<std::vector<LabelChoice>>& labels,
                                      const std::vector<Segment>& lines, double clearance_mm, double* total) {
  Choosing choosing(labels, lines, clearance_mm);
  choosing.settle();
  if (total != nullptr) *total = choosing.total();
  return choosing.chosen();
}

}  // namespace peepwright::view
