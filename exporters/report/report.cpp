// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/report/report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/clearance/on_solids.hpp"
#include "engine/quantity/paper_text.hpp"
#include "exporters/report/report_notes.hpp"

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

/// How far mouth and chin stand ahead comes from statistics, unless a scan shows it. Nothing is told where solids fail,
/// or of a face at the edge of what can be, which has no neighbours to be asked.
void tell_how_sure_the_chin_is(Fit& fit) {
  const auto chin = std::ranges::find(fit.clearances, "arrow-chin", &Clearance::name);
  if (chin == fit.clearances.end() || !fit.spec.placed_marks.empty()) return;
  try {
    chin->expanded_mm = chin_budget(fit).expanded_mm();
  } catch (const Error&) {
    chin->expanded_mm.reset();
  }
}

bool of_key(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.'; }

bool is_key(std::string_view word) {
  return find_key(word) != nullptr ||
         std::ranges::any_of(text_keys(), [&](const TextKeyInfo& key) { return key.path == word; });
}

/// "arrow.length" as "arrow length", "archer.face.eye_to_arrow" as "eye to arrow": a path is made of trade terms, and
/// in the middle of a sentence these read better than a key's whole meaning.
std::string named(std::string_view path) {
  for (const std::string_view group : {"archer.face.", "archer."})
    if (path.starts_with(group)) {
      path.remove_prefix(group.size());
      break;
    }
  std::string out(path);
  std::ranges::replace_if(
      out, [](char c) { return c == '.' || c == '_'; }, ' ');
  return out;
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

FitReport report_on_better(const FitReport& report) {
  FitReport out = report;
  out.tied.reset();
  out.notes.clear();
  note_everything(out);
  return out;
}

FitReport report_on_tied(const FitReport& report) {
  FitReport out = report;
  out.fit = *report.tied;
  return report_on_better(out);
}

std::string without_keys(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at;
    while (end < text.size() && of_key(text[end])) ++end;
    std::string_view word = text.substr(at, end - at);
    while (word.ends_with('.')) word.remove_suffix(1);  // of the sentence
    if (is_key(word)) out += named(word);
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
  tell_how_sure_the_chin_is(report.fit);
  report.budget = mark_budget(spec, report.fit.core);
  report.assumed = assumptions(spec, report.budget);
  report.sight = sight_uncertainty(spec, report.fit);
  report.next = what_to_measure_next(spec, report.fit.core, report.budget.expanded_mm());
  if (spec.has(Key::tied_mark)) {
    report.tied = solve_fit(spec, Peep::tied);
    measure_on_solids(*report.tied, scanned, report.notes);
    report.tied_sight = sight_uncertainty(spec, *report.tied);
    report.tied_move_mm = report.fit.core.mark_mm - spec.value(Key::tied_mark);
    report.tied_move_uncertainty_mm = move_uncertainty_mm(report.budget, spec[Key::tied_mark].uncertainty);
  }
  if (reference) {
    Spec other = *reference;
    use_draw_cycle(other);
    report.shift_from_reference = head_shift(report.fit.core, solve_core(other));
  }
  note_everything(report);
  return report;
}

}  // namespace peepwright
