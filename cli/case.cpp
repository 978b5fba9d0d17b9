// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/case.hpp"

#include <fmt/format.h>

#include <string_view>

#include "engine/bow/draw_estimate.hpp"
#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/utf8.hpp"
#include "engine/scan/head_scan.hpp"
#include "exporters/drawing/canvas.hpp"

namespace peepwright::cli {

namespace {

/// Characters with their numbers, as paper has only these: "弓 (U+5F13), 道 (U+9053)".
std::string told(std::string_view characters) {
  std::string out;
  for (std::string_view rest = characters; !rest.empty();) {
    const utf8::Letter letter = utf8::first_letter(rest);
    out += fmt::format("{}{} (U+{:04X})", out.empty() ? "" : ", ", rest.substr(0, letter.bytes),
                       static_cast<unsigned>(letter.code));
    rest.remove_prefix(letter.bytes);
  }
  return out;
}

}  // namespace

std::vector<std::string> label_notes(const Spec& spec, const std::string& date) {
  std::vector<std::string> notes;
  for (const std::string* label : {&spec.archer_label, &spec.bow_label, &spec.arrow_label, &date})
    if (const std::string lost = not_drawable(*label); !lost.empty())
      notes.push_back(
          fmt::format("drawings and strip print \"?\" for {} of the label \"{}\": no font they carry has it. "
                      "Write the label in Latin, Greek or Cyrillic letters, or name the folder of a font that has "
                      "it, after that of B612, in PEEPWRIGHT_FONT_DIR",
                      told(lost), clean_text(*label)));
  return notes;
}

Case read_case(const std::vector<std::string>& files, const std::string& date, PaperUnits units) {
  constexpr std::size_t longest_date = 1000;  // as a label's
  if (date.size() > longest_date)
    throw Error(ErrorCode::input,
                fmt::format("--date: is {} bytes long; at most {} are kept", date.size(), longest_date));
  Case out{read_spec(files), nullptr, {}};
  out.spec.speaks_in_yards = units == PaperUnits::inches;
  if (auto scan = scan::take_scan(out.spec)) {
    out.scanned = std::move(scan->surface);
    out.notes = std::move(scan->notes);
  }
  if (!out.spec.two_bows.empty()) out.notes.insert(out.notes.begin(), out.spec.two_bows);
  for (std::string& note : label_notes(out.spec, date)) out.notes.push_back(std::move(note));
  return out;
}

Spec read_reference(const std::vector<std::string>& files, const Spec& spec) {
  Spec reference = read_case(files).spec;
  if (reference.hand != spec.hand)
    throw Error(
        ErrorCode::input,
        fmt::format("--reference draws with the {} hand and the fit with the {} one; a shift of the head can be "
                    "told only for the same hand",
                    text_of(reference.hand), text_of(spec.hand)));
  return reference;
}

Fit fit_of(const Case& job, Peep peep) {
  Spec spec = job.spec;
  if (const auto drawn = draw_assumptions(spec, DrawDetail::angle_alone)) put(*drawn, spec);
  Fit fit = solve_fit(spec, peep);
  fit.clearances = clearances_on_solids(fit, solid::HeadModel(fit.core.face, job.scanned));
  return fit;
}

FitReport report_of(const Case& job, const std::optional<Spec>& reference) {
  FitReport report = make_report(job.spec, reference, job.scanned);
  report.notes.insert(report.notes.end(), job.notes.begin(), job.notes.end());
  return report;
}

std::vector<solid::Part> parts_of(const Fit& fit, const Case& job) {
  return solid::assembly_parts(solid::HeadModel(fit.core.face, job.scanned), assembly_of(fit));
}

}  // namespace peepwright::cli
