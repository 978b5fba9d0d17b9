// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/paper_text.hpp"

namespace peepwright {
namespace report_data {
std::string_view cautions_txt();
std::string_view fit_schema_json();
}  // namespace report_data

std::string_view version() { return PEEPWRIGHT_VERSION; }
std::string_view fit_schema() { return report_data::fit_schema_json(); }

std::vector<std::string> cautions() {
  std::vector<std::string> out;
  std::string_view rest = report_data::cautions_txt();
  while (!rest.empty()) {
    const auto end = std::min(rest.find('\n'), rest.size());
    if (end > 0) out.emplace_back(rest.substr(0, end));
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
  return out;
}

namespace {

/// Sources of the string angle that contradict the one in use.
void note_disagreement(const Spec& spec, std::vector<Note>& notes) {
  const auto all = all_string_legs(spec);
  constexpr double worth_saying_deg = 2.0, worth_saying_of_assumed_deg = 3.5;
  for (std::size_t i = 1; i < all.size(); ++i) {
    const double gap = degrees(all[i].upper_rad - all[0].upper_rad);
    const bool assumed = all[i].source == LegSource::assumed_travel || all[i].source == LegSource::draw_cycle ||
                         all[i].source == LegSource::force_draw;
    if (std::abs(gap) < (assumed ? worth_saying_of_assumed_deg : worth_saying_deg)) continue;
    notes.push_back(fmt::format(
        "two sources disagree on the upper leg's angle: {:.1f} deg ({}) against {:.1f} deg ({}). "
        "The first was used; measure again",
        degrees(all[0].upper_rad), text_of(all[0].source), degrees(all[i].upper_rad), text_of(all[i].source)));
  }
}

void note_face(const Spec& spec, std::vector<Note>& notes) {
  if (spec.given(Key::face_eye_to_arrow)) return;
  if (spec.scan) {
    notes.emplace_back(
        "the arrow's height on the face is not measured; it is taken at the hollow under the lip that was picked on "
        "the scan. Measure it at full draw");
    return;
  }
  notes.emplace_back(
      "the arrow's height on the face is not measured; it rests on survey statistics of adults. "
      "They do not describe children: measure a young archer");
}

/// International target rules allow shafts of at most 9.3 mm; as another text reports them.
constexpr double target_rule_shaft_mm = 9.3;

/// An arrow that the bow must not be drawn or shot with. Limits: common practice, no source, but for the mass, which is
/// that of the rating arrow of ASTM F1544 and F1832: 5 grains for each pound-force of peak weight.
void note_unsafe_arrow(const FitReport& report, std::vector<Note>& notes) {
  const Spec& spec = report.fit.spec;
  const double pivot = spec.pivot_x().mm(), length = spec.value(Key::arrow_length);
  constexpr double least_ahead_mm = 12;
  if (spec.given(Key::arrow_length) && length < pivot + least_ahead_mm)
    notes.emplace_back([&](PaperUnits units) {
      return fmt::format(
          "DO NOT DRAW with this arrow: at full draw its end would stand {} {} the grip's pivot, where the "
          "rest is; an arrow that slips off or behind the rest is shot into hand or arm. Check arrow.length "
          "and bow.draw_length",
          fine_text(std::abs(length - pivot), units, 0), length < pivot ? "behind" : "ahead of");
    });
  constexpr double least_grain_lbf = 5;
  const double grain_lbf =
      spec.value(Key::arrow_mass) / unit::grain_kg / Force::n(spec.value(Key::bow_peak_weight)).lbf();
  if (spec.given(Key::arrow_mass) && spec.given(Key::bow_peak_weight) && grain_lbf < least_grain_lbf)
    notes.push_back(fmt::format(
        "DO NOT SHOOT this arrow from this bow: {:.1f} gr for each lbf of peak weight; bows are rated with no "
        "less than {:g}, a lighter arrow can break them like a shot without one. The bow maker's limit holds",
        grain_lbf, least_grain_lbf));
  if (!report.draw.bow || !spec.given(Key::arrow_speed) || !spec.given(Key::arrow_mass)) return;
  const double speed = spec.value(Key::arrow_speed), carried = spec.value(Key::arrow_mass) * speed * speed / 2,
               stored = report.draw.bow->full_draw.stored_j;
  // Round cams store up to a third less than the fullest ones do.
  constexpr double fullest = 1.5;
  if (carried > fullest * stored)
    notes.emplace_back([&](PaperUnits units) {
      const ShownQuantity mass = shown_in(1000 * spec.value(Key::arrow_mass), "g", units),
                          fast = shown_in(speed, "m/s", units), has = shown_in(carried, "J", units),
                          holds = shown_in(stored, "J", units);
      return fmt::format(
          "an arrow of {:.1f} {} at {:.1f} {} carries {:.0f} {}, but this bow stores about {:.0f} {}; check "
          "arrow.speed, arrow.mass and bow.peak_weight before the sight marks are used",
          mass.value, mass.unit, fast.value, fast.unit, has.value, has.unit, holds.value, holds.unit);
    });
}

void note_arrow(const Spec& spec, std::vector<Note>& notes) {
  const double shaft = spec.value(Key::arrow_shaft_diameter);
  if (shaft > target_rule_shaft_mm)
    notes.emplace_back([&](PaperUnits units) {
      return fmt::format(
          "the shaft of {} is thicker than the {} that international target rules allow; your range or class may "
          "differ",
          fine_text(shaft, units), fine_text(target_rule_shaft_mm, units));
    });
}

/// An eye height far from where the face's own measures put the hollow beside the arrow.
void note_eye_height(const Fit& fit, std::vector<Note>& notes) {
  const Spec spec = with_spreads(fit.spec);
  if (!spec.given(Key::face_eye_to_arrow)) return;
  const double expected = -fit.core.face.at(Landmark::sublabiale).z;
  const double give = std::hypot(spec[Key::spread_hollow_up].uncertainty, spec[Key::spread_pupil_up].uncertainty, 3.0);
  const double gap = spec.value(Key::face_eye_to_arrow) - expected;
  constexpr double worth_saying = 2.5;
  if (std::abs(gap) < worth_saying * give) return;
  notes.emplace_back([&](PaperUnits units) {
    return fmt::format(
        "archer.face.eye_to_arrow puts the arrow {} {} the hollow under the lip of this face, where it usually lies; "
        "measure again, head upright, pupil to the middle of the arrow",
        fine_text(std::abs(gap), units, 0), gap > 0 ? "below" : "above");
  });
}

void note_sight(const Fit& fit, std::vector<Note>& notes) {
  if (fit.lowest.clearance_mm > 0) return;
  notes.emplace_back([&](PaperUnits units) {
    return fmt::format("DO NOT SHOOT at {} with this sight: the passing vanes would strike it ({} too low)",
                       both_distance_text(fit.lowest.distance_m, units), fine_text(-fit.lowest.clearance_mm, units));
  });
}

void note_posture(const Fit& fit, std::vector<Note>& notes) {
  for (std::size_t i = 0; i < residual_count; ++i) {
    const auto residual = static_cast<Residual>(i);
    const std::string_view verdict = verdict_of(fit.core.posture, residual);
    if (verdict == "forced")
      notes.emplace_back([&](PaperUnits units) {
        const double off = fit.core.posture.off[i];
        const std::string_view unit = info_of(residual).unit;
        return fmt::format("{}: {}, far beyond what a relaxed head does", info_of(residual).name,
                           unit == "mm" ? fine_text(off, units, 1, true) : fmt::format("{:+.1f} {}", off, unit));
      });
  }
}

/// Clearances between solids in the place of those to landmarks. Should the solids fail by our fault, the mark still
/// stands: the landmarks' clearances stay, and the report says so. Numbers that contradict each other are refused, as
/// whoever asks for drawings is.
void measure_on_solids(Fit& fit, const std::shared_ptr<const solid::HeadSurface>& scanned, std::vector<Note>& notes) {
  try {
    fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face, scanned));
  } catch (const Error& e) {
    if (e.code() == ErrorCode::input) throw;
    notes.push_back(std::string("clearances are to the face's landmarks only; no solids could be made (") + e.what() +
                    ")");
  }
}

bool of_key(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.'; }

/// What the key means, or nothing.
std::string_view meaning_of(std::string_view path) {
  if (const KeyInfo* key = find_key(path)) return key->help;
  for (const TextKeyInfo& key : text_keys())
    if (key.path == path) return key.help;
  return {};
}

/// Expanded uncertainty of the better mark less the tied one. Where the tied peep told the string's angle, its mark is
/// in both.
double move_uncertainty_mm(const Budget& budget, double tied_mark_uncertainty_mm) {
  const auto line = std::ranges::find(budget.lines, info_of(Key::tied_mark).path, &BudgetLine::input);
  const double by_tied = line == budget.lines.end() ? 0 : line->sensitivity;
  const double combined = budget.combined_mm, u = tied_mark_uncertainty_mm;
  return 2 * std::sqrt(combined * combined + ((by_tied - 1) * (by_tied - 1) - by_tied * by_tied) * u * u);
}

}  // namespace

std::vector<std::string> notes_in(const FitReport& report, PaperUnits units) {
  std::vector<std::string> out;
  for (const Note& note : report.notes) out.push_back(note.in(units));
  return out;
}

std::string without_keys(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at;
    while (end < text.size() && of_key(text[end])) ++end;
    std::string_view word = text.substr(at, end - at);
    while (word.ends_with('.')) word.remove_suffix(1);  // of the sentence
    if (const std::string_view meaning = meaning_of(word); !meaning.empty())
      out += "\u201C" + std::string(meaning) + "\u201D";
    else out += word;
    at += word.size();
    if (word.empty()) out += text[at++];
  }
  return out;
}

FitReport make_report(const Spec& given, const std::optional<Spec>& reference,
                      const std::shared_ptr<const solid::HeadSurface>& scanned) {
  FitReport report;
  Spec spec = given;
  report.draw = use_draw_cycle(spec);
  report.fit = solve_fit(spec);
  measure_on_solids(report.fit, scanned, report.notes);
  report.budget = mark_budget(spec, report.fit.core);
  report.assumed = assumptions(spec, report.budget);
  report.pins = pin_uncertainties(spec, report.fit);
  report.next = what_to_measure_next(spec, report.fit.core, report.budget.expanded_mm());
  if (spec.has(Key::tied_mark)) {
    report.tied = solve_fit(spec, Peep::tied);
    measure_on_solids(*report.tied, scanned, report.notes);
    report.tied_move_mm = report.fit.core.mark_mm - spec.value(Key::tied_mark);
    report.tied_move_uncertainty_mm = move_uncertainty_mm(report.budget, spec[Key::tied_mark].uncertainty);
  }
  if (reference) {
    Spec other = *reference;
    use_draw_cycle(other);
    report.shift_from_reference = head_shift(report.fit.core, solve_core(other));
  }
  if (report.fit.core.legs.source == LegSource::assumed_travel && !report.draw.bow)
    report.notes.push_back("no draw cycle could be computed (" + report.draw.refusal +
                           "); the axles' travel at full draw is a common guess instead");
  if (!spec.two_bows.empty()) report.notes.push_back(spec.two_bows);
  note_disagreement(spec, report.notes);
  note_face(spec, report.notes);
  note_sight(report.fit, report.notes);
  note_eye_height(report.fit, report.notes);
  note_unsafe_arrow(report, report.notes);
  note_arrow(spec, report.notes);
  note_posture(report.fit, report.notes);
  return report;
}

}  // namespace peepwright
