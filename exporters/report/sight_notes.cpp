// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/sight_notes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/paper_text.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

/// A distance at which the vanes' passing was looked at.
struct LookedAt {
  double distance_m = 0, clearance_mm = 0;
  double give_mm = 0;  ///< of the clearance, k = 2
  [[nodiscard]] bool struck() const { return clearance_mm <= 0; }
  /// It clears, but by less than the give or take.
  [[nodiscard]] bool doubtful() const { return clearance_mm > 0 && clearance_mm < give_mm; }
};
using Looks = std::vector<LookedAt>;

/// All of them, rising.
Looks looked_at(const Fit& fit, const SightUncertainty& sight) {
  Looks out;
  for (std::size_t i = 0; i < fit.marks.size(); ++i)
    out.push_back({fit.marks[i].mark.distance_m, fit.marks[i].mark.clearance_mm, sight.pins[i].clearance_mm});
  if (std::ranges::find(out, fit.lowest.distance_m, &LookedAt::distance_m) == out.end())
    out.push_back({fit.lowest.distance_m, fit.lowest.clearance_mm, sight.lowest_clearance_mm});
  std::ranges::sort(out, {}, &LookedAt::distance_m);
  return out;
}

Reach longest_free(const Fit& fit) {
  return longest_distance(shot_of(fit.spec, fit.core.drag_coefficient), geometry_of(fit.spec, fit.core.peep),
                          body_of(fit.spec), 0);
}

/// "at 40 yd and beyond": where the sight is struck.
std::string struck_places(const Fit& fit, const Looks& looks, PaperUnits units) {
  const auto place = [&](const LookedAt& at) { return both_distance_text(at.distance_m, units); };
  const auto struck = [](const LookedAt& at) { return at.struck(); };
  const auto first = std::ranges::find_if(looks, struck);
  const auto after = std::find_if_not(first, looks.end(), struck);
  if (first == looks.begin() && after == looks.end() && longest_free(fit).longest_m == 0) return "at any distance";
  if (std::any_of(after, looks.end(), struck)) {  // too near, and too far
    const auto again = std::find_if(after, looks.end(), struck);
    return fmt::format("at {} and nearer, nor at {} and beyond", place(*(after - 1)), place(*again));
  }
  if (after == looks.end()) return fmt::format("at {} and beyond", place(*first));
  if (first == looks.begin()) return fmt::format("at {} and nearer", place(*(after - 1)));
  return fmt::format("from {} to {}", place(*first), place(*(after - 1)));
}

/// Between what was looked at lie distances that are shot as well: "; this begins past 33 yd, give or take 4 yd (k =
/// 2)", whole yards or metres. Nothing unless all is struck from somewhere on.
std::string beginning_of(const Fit& fit, const Looks& looks, const SightUncertainty& sight, PaperUnits units) {
  const auto first = std::ranges::find_if(looks, &LookedAt::struck);
  if (!std::all_of(first, looks.end(), [](const LookedAt& at) { return at.struck(); })) return {};
  const Reach free = longest_free(fit);
  if (free.longest_m == 0) return {};
  const double unit_m = units == PaperUnits::inches ? unit::yard_mm / 1000 : 1;
  const std::string past = both_distance_text(std::floor(free.longest_m / unit_m) * unit_m, units);
  if (!sight.strikes_past_m) return "; this begins past " + past;
  return fmt::format("; this begins past {}, give or take {} (k = 2)", past,
                     both_distance_text(std::ceil(*sight.strikes_past_m / unit_m) * unit_m, units));
}

/// "at 18 m", "from 18 m to 25 m", or such runs one after another: where the sight may be struck.
std::string doubtful_places(const Looks& looks, PaperUnits units) {
  const auto place = [&](const LookedAt& at) { return both_distance_text(at.distance_m, units); };
  const auto doubtful = [](const LookedAt& at) { return at.doubtful(); };
  std::string out;
  for (auto first = std::ranges::find_if(looks, doubtful); first != looks.end();) {
    const auto after = std::find_if_not(first, looks.end(), doubtful);
    out += out.empty() ? "" : " and ";
    out +=
        after - first == 1 ? "at " + place(*first) : fmt::format("from {} to {}", place(*first), place(*(after - 1)));
    first = std::find_if(after, looks.end(), doubtful);
  }
  return out;
}

void note_struck(const Fit& fit, const SightUncertainty& sight, std::string_view with, std::vector<Note>& notes) {
  if (fit.lowest.clearance_mm > 0) return;
  const Looks looks = looked_at(fit, sight);
  notes.emplace_back([&](PaperUnits units) {
    return fmt::format("DO NOT SHOOT {} with {}: the passing vanes would strike the sight, {} too low at {}{}",
                       struck_places(fit, looks, units), with, fine_text(-fit.lowest.clearance_mm, units),
                       both_distance_text(fit.lowest.distance_m, units), beginning_of(fit, looks, sight, units));
  });
}

/// Distances at which the sight clears, but by less than the give or take: nothing to forbid, but to be looked at
/// first.
void note_doubtful(const Fit& fit, const SightUncertainty& sight, std::string_view with, std::vector<Note>& notes) {
  Looks looks = looked_at(fit, sight);
  const std::string where = doubtful_places(looks, PaperUnits::millimetres);
  if (where.empty()) return;
  notes.emplace_back([&](PaperUnits units) {
    const std::string places = doubtful_places(looks, units);
    Looks doubtful;
    std::ranges::copy_if(looks, std::back_inserter(doubtful), &LookedAt::doubtful);
    const LookedAt& least = *std::ranges::min_element(doubtful, {}, &LookedAt::clearance_mm);
    return fmt::format(
        "with {} the passing vanes may strike the sight {}: they clear it by {}{}, give or take {} (k = 2). Before a "
        "shot there set the pin for it, and hold an arrow on the rest with its vanes under the sight{}",
        with, places, doubtful.size() > 1 ? "as little as " : "", fine_text(least.clearance_mm, units),
        fine_text(least.give_mm, units),
        fit.spec.given(Key::arrow_speed) ? "" : "; a measured arrow.speed makes it surer");
  });
}

}  // namespace

void note_sights(const FitReport& report, std::vector<Note>& notes) {
  constexpr auto mm = PaperUnits::millimetres;
  const auto forbidden = [&](const Fit& fit, const SightUncertainty& sight) {
    return fit.lowest.clearance_mm > 0 ? std::string() : struck_places(fit, looked_at(fit, sight), mm);
  };
  const std::string_view tied = "the peep as it is tied now", placed = "the peep where it should be",
                         one = "this sight";
  if (!report.tied || forbidden(*report.tied, report.tied_sight) == forbidden(report.fit, report.sight)) {
    note_struck(report.fit, report.sight, one, notes);
  } else {
    note_struck(*report.tied, report.tied_sight, tied, notes);
    note_struck(report.fit, report.sight, placed, notes);
  }
  if (report.tied) note_doubtful(*report.tied, report.tied_sight, tied, notes);
  note_doubtful(report.fit, report.sight, report.tied ? placed : one, notes);
}

}  // namespace peepwright
