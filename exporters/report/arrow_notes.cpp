// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/arrow_notes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/bow/draw_estimate.hpp"
#include "engine/quantity/paper_text.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {

std::optional<Note> note_on_energy(const Spec& spec, const DrawEstimate& draw) {
  if (!spec.given(Key::arrow_speed) || !draw.bow || !draw.stored) return std::nullopt;
  const double speed = spec.value(Key::arrow_speed), carried = spec.value(Key::arrow_mass) * speed * speed / 2;
  const double stored_j = draw.stored->joules;
  if (carried <= stored_j) return std::nullopt;
  // Round cams store up to a third less than the fullest ones do.
  const double fullest_j = 1.5 * draw.bow->full_draw.stored_j;
  const bool by_table = !spec.force_draw.empty(), by_cams = !by_table && spec.given(Key::cam_string_radius);
  return Note([&](PaperUnits units) {
    const ShownQuantity mass = shown_in(1000 * spec.value(Key::arrow_mass), "g", units),
                        fast = shown_in(speed, "m/s", units);
    const std::string_view stores = by_table              ? "this bow stores by bow.force_draw"
                                    : by_cams             ? "this bow stores by its cams"
                                    : carried > fullest_j ? "a bow like this usually stores and than any other would"
                                                          : "a bow like this usually stores, as cams that keep their "
                                                            "peak longer can";
    return fmt::format(
        "an arrow of {:.1f} {}{} at {:.1f} {} carries {}, more than the {} that {}; check arrow.speed, arrow.mass and "
        "{}, as the sight marks rest on them",
        mass.value, mass.unit, spec.given(Key::arrow_mass) ? "" : " (assumed)", fast.value, fast.unit,
        energy_text(carried, units), energy_text(stored_j, units), stores,
        by_table ? "that table" : "bow.peak_weight, or give bow.force_draw");
  });
}

std::optional<Note> note_on_light_arrow(const Spec& spec) {
  if (!spec.given(Key::arrow_mass)) return std::nullopt;
  double peak_n = spec.given(Key::bow_peak_weight) ? spec.value(Key::bow_peak_weight) : 0;
  if (const auto read = forces_read(spec)) peak_n = std::max(peak_n, read->peak.force.n());
  constexpr double least_grain_lbf = 5;
  const double grain = spec.value(Key::arrow_mass) / unit::grain_kg, peak_lbf = Force::n(peak_n).lbf();
  if (grain >= least_grain_lbf * peak_lbf) return std::nullopt;
  return Note(fmt::format(
      "DO NOT SHOOT this arrow from this bow: {:.1f} gr for each lbf of peak weight; bows are rated with no less than "
      "{:g}, a lighter arrow can break them like a shot without one. The bow maker's limit holds",
      grain / peak_lbf, least_grain_lbf));
}

std::vector<Note> notes_on_overruled(const Spec& spec, const FullDraw& bow) {
  std::vector<Note> notes;
  const auto read = forces_read(spec);
  const auto compare_let_off = [&](double used, double worth_saying, std::string_view says, std::string_view what) {
    if (!spec.given(Key::bow_let_off) || std::abs(spec.value(Key::bow_let_off) - used) <= worth_saying) return;
    notes.emplace_back(fmt::format("bow.let_off is {:.1f} %, {} {:.1f} %; the {} used",
                                   100 * spec.value(Key::bow_let_off), says, 100 * used, what));
  };
  // Cams are taken as they are given, and may not make the let-off that is given beside them.
  if (spec.given(Key::cam_string_radius))
    compare_let_off(bow.let_off(), 0.02, "the cams as given let off", "cams were");
  if (!read) return notes;
  const double peak = read->peak.force.n();
  constexpr double worth_saying = 0.03;
  if (spec.given(Key::bow_peak_weight) && std::abs(spec.value(Key::bow_peak_weight) / peak - 1) > worth_saying)
    notes.emplace_back([&](PaperUnits units) {
      return fmt::format("bow.peak_weight is {}, the draw-force table's highest reading {}; the table was used",
                         force_text(spec.value(Key::bow_peak_weight), units), force_text(peak, units));
    });
  if (read->holding_n && peak > 0)
    compare_let_off(1 - *read->holding_n / peak, worth_saying, "the draw-force table says", "table was");
  return notes;
}

bool peak_weight_assumed(const Spec& spec) { return !spec.given(Key::bow_peak_weight) && spec.force_draw.empty(); }

bool let_off_assumed(const Spec& spec) {
  return !spec.given(Key::bow_let_off) && spec.force_draw.empty() && !spec.given(Key::cam_string_radius);
}

}  // namespace peepwright
