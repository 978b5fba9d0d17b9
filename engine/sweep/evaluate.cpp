// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/sweep/evaluate.hpp"

#include <algorithm>
#include <map>
#include <mutex>
#include <shared_mutex>

#include "engine/bow/draw_estimate.hpp"
#include "engine/face/face.hpp"
#include "engine/fit/budget.hpp"

namespace peepwright {

bool SweepOutcome::all_met() const {
  return std::ranges::all_of(met, [](bool m) { return m; });
}

/// The distinct bows met so far. When it is full, bows are solved again: slower, never different.
struct Evaluator::Bows {
  static constexpr std::size_t most = 50'000;
  std::shared_mutex lock;
  std::map<DrawInputs, std::optional<DrawAssumptions>> known;
};

/// The head last asked for by one worker: neighbours of a sweep share it.
class Evaluator::Heads {
 public:
  Heads(std::shared_ptr<const solid::HeadModel> first, std::shared_ptr<const solid::HeadSurface> scanned)
      : head_(std::move(first)), scanned_(std::move(scanned)) {}

  const solid::HeadModel& of(const Face& face) {
    if (!head_ || !same(head_->face(), face)) head_ = std::make_shared<const solid::HeadModel>(face, scanned_);
    return *head_;
  }

 private:
  static bool same(const Face& a, const Face& b) {
    const auto equal = [](const Point3& p, const Point3& q) { return p.x == q.x && p.y == q.y && p.z == q.z; };
    return std::ranges::equal(a.places, b.places, equal) && a.head_length_mm == b.head_length_mm &&
           a.head_breadth_mm == b.head_breadth_mm && a.face_length_mm == b.face_length_mm &&
           a.jaw_breadth_mm == b.jaw_breadth_mm;
  }
  std::shared_ptr<const solid::HeadModel> head_;
  std::shared_ptr<const solid::HeadSurface> scanned_;
};

Evaluator::Evaluator(const SweepPlan& plan, const Spec& reference, EvaluateOptions options)
    : plan_(plan), options_(std::move(options)), bows_(std::make_unique<Bows>()) {
  // The reference may be another bow that agrees with a variant's in all that its draw inputs hold, but has a
  // draw-force table, or none: it stays out of `bows_`, which is about the plan's own bows.
  Spec spec = reference;
  if (const auto drawn = draw_assumptions(spec, DrawDetail::angle_alone)) put(*drawn, spec);
  reference_ = solve_core(spec);
  if (!plan.faces_differ())
    shared_head_ = std::make_shared<const solid::HeadModel>(make_face(plan.base()), options_.scanned);
}

Evaluator::~Evaluator() = default;

void Evaluator::use_bow(Spec& spec) const {
  const DrawInputs inputs = draw_inputs(spec);
  {
    const std::shared_lock reading(bows_->lock);
    if (const auto found = bows_->known.find(inputs); found != bows_->known.end()) {
      if (found->second) put(*found->second, spec);
      return;
    }
  }
  const auto made = draw_assumptions(spec, options_.uncertainty ? DrawDetail::with_spread : DrawDetail::angle_alone);
  if (made) put(*made, spec);
  const std::unique_lock writing(bows_->lock);
  if (bows_->known.size() < Bows::most) bows_->known.emplace(inputs, made);
}

SweepOutcome Evaluator::outcome(const Spec& spec, Heads& heads) const {
  const Fit fit = solve_fit(spec);
  const CoreFit& core = fit.core;
  SweepOutcome out;
  out.mark_mm = core.mark_mm;
  out.peep_height_mm = core.peep_height_mm;
  out.leg_angle_rad = core.legs.upper_rad;
  if (options_.uncertainty) out.expanded_mm = mark_budget(spec, core).expanded_mm();
  out.yaw_rad = core.posture.yaw_rad;
  out.pitch_rad = core.posture.pitch_rad;
  out.roll_rad = core.posture.roll_rad;
  out.eye_to_arrow_mm = core.posture.pupil.z;
  out.shift = head_shift(core, reference_);
  out.longest_m = fit.reach.longest_m;
  out.reaches = fit.reach.longest_m > 0;
  for (const Clearance& c : clearances_on_solids(fit, heads.of(core.face))) {
    const auto at = std::ranges::find(clearance_names, c.name);
    if (at == clearance_names.end()) throw Error(ErrorCode::internal, "a sweep has no column for " + c.name);
    const auto i = static_cast<std::size_t>(at - clearance_names.begin());
    out.gap_mm[i] = c.distance_mm;
    out.verdict[i] = c.verdict;
    out.met[i] = c.met;
  }
  return out;
}

std::vector<SweepRow> Evaluator::rows(std::uint64_t first, std::uint64_t last) const {
  Heads heads(shared_head_, options_.scanned);
  std::vector<SweepRow> out;
  out.reserve(last - first);
  for (std::uint64_t index = first; index < last; ++index) {
    SweepRow& row = out.emplace_back();
    row.index = index;
    try {
      Spec spec = plan_.spec_at(index);
      for (const Key key : plan_.keys()) row.values.push_back(spec.value(key));
      check_spec(spec);
      use_bow(spec);
      row.outcome = outcome(spec, heads);
    } catch (const Error& e) {
      if (e.code() != ErrorCode::input) throw;
      row.values.resize(plan_.keys().size(), no_value);
      row.problem = e.what();
    }
  }
  return out;
}

Fit Evaluator::fit_at(std::uint64_t index) const {
  Spec spec = plan_.spec_at(index);
  check_spec(spec);
  use_bow(spec);
  return solve_fit(spec);
}

}  // namespace peepwright
