// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report.hpp"

#include <fmt/format.h>

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
    const double gap = Angle::rad(all[i].upper_rad - all[0].upper_rad).deg();
    const bool assumed = all[i].source == LegSource::assumed_travel || all[i].source == LegSource::draw_cycle ||
                         all[i].source == LegSource::force_draw;
    if (std::abs(gap) < (assumed ? worth_saying_of_assumed_deg : worth_saying_deg)) continue;
    notes.push_back(
        fmt::format("two sources disagree on the upper leg's angle: {:.1f} deg ({}) against {:.1f} deg ({}). "
                    "The first was used; measure again",
                    Angle::rad(all[0].upper_rad).deg(), text_of(all[0].source), Angle::rad(all[i].upper_rad).deg(),
                    text_of(all[i].source)));
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

/// Clearances between solids in the place of those to landmarks. Should the solids fail, the mark still stands: the
/// landmarks' clearances stay, and the report says so.
void measure_on_solids(Fit& fit, const std::shared_ptr<const solid::HeadSurface>& scanned, std::vector<Note>& notes) {
  try {
    fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face, scanned));
  } catch (const Error& e) {
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
  report.next = what_to_measure_next(spec, report.fit.core, report.budget.expanded_mm());
  if (spec.has(Key::tied_mark)) {
    report.tied = solve_fit(spec, Peep::tied);
    measure_on_solids(*report.tied, scanned, report.notes);
  }
  if (reference) {
    Spec other = *reference;
    use_draw_cycle(other);
    report.shift_from_reference = head_shift(report.fit.core, solve_core(other));
  }
  if (report.fit.core.legs.source == LegSource::assumed_travel)
    report.notes.push_back("no draw cycle could be computed (" + report.draw.refusal +
                           "); the axles' travel at full draw is a common guess instead");
  note_disagreement(spec, report.notes);
  note_face(spec, report.notes);
  note_sight(report.fit, report.notes);
  note_eye_height(report.fit, report.notes);
  note_arrow(spec, report.notes);
  note_posture(report.fit, report.notes);
  return report;
}

}  // namespace peepwright
