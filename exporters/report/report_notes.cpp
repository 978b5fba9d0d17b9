// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report_notes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/paper_text.hpp"
#include "exporters/report/arrow_notes.hpp"
#include "exporters/report/sight_notes.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

/// Sources of the string angle that contradict the one in use.
bool note_disagreement(const Spec& spec, std::vector<Note>& notes) {
  const std::size_t before = notes.size();
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
  return notes.size() > before;
}

void note_face(const Spec& spec, std::vector<Note>& notes) {
  if (spec.given(Key::face_eye_to_arrow)) return;
  if (spec.scan) {
    notes.emplace_back(
        "the arrow's height on the face is not measured; it is taken at the hollow under the lip that was picked on "
        "the scan. Measure it at full draw, settled with eyes closed");
    return;
  }
  notes.emplace_back(
      "the arrow's height on the face is not measured; it rests on survey statistics of adults. "
      "They do not describe children: measure a young archer");
}

/// International target rules allow shafts of at most 9.3 mm; as another text reports them.
constexpr double target_rule_shaft_mm = 9.3;

/// An arrow that the bow must not be drawn or shot with. The least length is common practice, no source.
void note_unsafe_arrow(const FitReport& report, std::vector<Note>& notes) {
  const Spec& spec = report.fit.spec;
  const double pivot = spec.pivot_x().mm(), length = spec.value(Key::arrow_length);
  constexpr double least_ahead_mm = 12;
  if (!spec.given(Key::arrow_length))
    notes.emplace_back([&](PaperUnits units) {
      return fmt::format(
          "arrow.length is not given. Before the bow is drawn measure the arrow, nock throat to the end of the shaft: "
          "{} at least, or it leaves the rest at full draw",
          both_text(Length::mm(pivot + least_ahead_mm), units));
    });
  else if (length < pivot + least_ahead_mm)
    notes.emplace_back([&](PaperUnits units) {
      return fmt::format(
          "DO NOT DRAW with this arrow: at full draw its end would stand {} {} the grip's pivot, where the "
          "rest is; an arrow that slips off or behind the rest is shot into hand or arm. Check arrow.length "
          "and bow.draw_length",
          fine_text(std::abs(length - pivot), units, 1), length < pivot ? "behind" : "ahead of");
    });
  if (const auto light = note_on_light_arrow(spec)) notes.push_back(*light);
  if (const auto energy = note_on_energy(spec, report.draw)) notes.push_back(*energy);
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
        "measure again, settled head upright with eyes closed, pupil to the middle of the arrow",
        fine_text(std::abs(gap), units, 1), gap > 0 ? "below" : "above");
  });
}

/// A peep whose hole is shut to the eye, or half so. Half is judgement, no source.
void note_bore(const Fit& fit, std::vector<Note>& notes) {
  const double bore = fit.spec.value(Key::peep_bore), open = fit.bore.open_height_mm;
  constexpr double half = 0.5;
  if (open > half * bore) return;
  const double straight = degrees(fit.core.legs.upper_rad + fit.core.line_down_rad);
  const double off = std::abs(degrees(fit.bore.tilt_rad));
  notes.emplace_back([&](PaperUnits units) {
    const std::string remedy = fmt::format(
        "its bore stands {:.1f} deg off the line of sight. Take one whose bore stands about {:.0f} deg to the string "
        "(peep.bore_angle)",
        off, straight);
    if (open <= 0) return "DO NOT SHOOT with this peep: it is SHUT to the eye, " + remedy;
    return fmt::format("the peep is nearly shut: of {} the eye sees {} in height; {}", fine_text(bore, units),
                       fine_text(open, units, 2), remedy);
  });
}

void note_assumed_draw(const FitReport& report, std::vector<Note>& notes) {
  const Spec& spec = report.fit.spec;
  const bool weight = peak_weight_assumed(spec), let_off = let_off_assumed(spec);
  if (!report.draw.bow || (!weight && !let_off)) return;
  notes.emplace_back([&](PaperUnits units) {
    const std::string peak = force_text(spec.value(Key::bow_peak_weight), units),
                      off = fmt::format("{:.0f} %", 100 * spec.value(Key::bow_let_off));
    return weight && let_off
               ? fmt::format(
                     "nobody gave bow.peak_weight and bow.let_off: draw forces are of a bow of {} and {}, not "
                     "of this one",
                     peak, off)
           : weight ? fmt::format("nobody gave bow.peak_weight: draw forces are of a bow of {}, not of this one", peak)
                    : fmt::format("nobody gave bow.let_off: draw forces are of a let-off of {}", off);
  });
}

/// What the head is held to away from where it would settle.
void note_posture(const Fit& fit, std::vector<Note>& notes) {
  for (std::size_t i = 0; i < residual_count; ++i) {
    const auto residual = static_cast<Residual>(i);
    const std::string_view verdict = verdict_of(fit.core.posture, residual);
    if (verdict == "as wanted") continue;
    notes.emplace_back([&](PaperUnits units) {
      const std::string_view unit = info_of(residual).unit;
      const auto said = [&](double value, bool sign) {
        if (unit == "mm") return fine_text(value, units, 1, sign);
        return (sign && value >= 0 ? "+" : "") + number_text(value, 1) + " " + std::string(unit);
      };
      return fmt::format(
          "{}: {}, {}; a relaxed head keeps within {}", info_of(residual).name, said(fit.core.posture.off[i], true),
          verdict == "forced" ? "far beyond what is natural" : "strained", said(fit.core.posture.tolerance[i], false));
    });
  }
}

}  // namespace

void note_everything(FitReport& report) {
  const Spec& spec = report.fit.spec;
  std::vector<Note>& notes = report.notes;
  if (report.fit.core.legs.source == LegSource::assumed_travel && !report.draw.bow)
    notes.push_back("no draw cycle could be computed (" + report.draw.refusal +
                    "); the axles' travel at full draw is a common guess instead");
  report.angle_disputed = note_disagreement(spec, notes);
  note_face(spec, notes);
  note_sights(report, notes);
  note_bore(report.tied ? *report.tied : report.fit, notes);
  note_eye_height(report.fit, notes);
  note_unsafe_arrow(report, notes);
  note_assumed_draw(report, notes);
  if (report.draw.bow)
    for (Note& note : notes_on_overruled(spec, *report.draw.bow)) notes.push_back(std::move(note));
  note_arrow(spec, notes);
  note_posture(report.fit, notes);
}

}  // namespace peepwright
