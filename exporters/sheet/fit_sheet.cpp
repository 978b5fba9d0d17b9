// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/sheet/fit_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/quantity/paper_text.hpp"
#include "exporters/drawing/chart.hpp"
#include "exporters/drawing/label_row.hpp"
#include "exporters/print/shapes.hpp"
#include "exporters/sheet/flow.hpp"
#include "exporters/sheet/warnings.hpp"

namespace peepwright {
namespace {

using sheet::Flow;
using view::Look;

constexpr std::string_view page_name = "fit_sheet";

class FitSheet {
 public:
  FitSheet(const FitReport& report, const SideScene& scene, const SideViewOptions& options)
      : report_(report),
        fit_(report.fit),
        scene_(scene),
        options_(options),
        look_(view::drawing_look()),
        size_(look_.size(page_name, options.paper)) {}

  Canvas draw() {
    canvas_.new_page(size_);
    draw_warnings();
    choose_notes();
    sheet::fill(canvas_, box("left_column"), "the mark, the steps and the clearances",
                [&](Flow& flow) { write_left(flow); });
    draw_picture();
    draw_right();
    sheet::fill(
        canvas_, box("foot_left"), "what is assumed", [&](Flow& flow) { write_assumed(flow); }, 0.6);
    sheet::fill(canvas_, box("foot_right"), "the cautions", [&](Flow& flow) {
      flow.heading("Cautions");
      flow.list(cautions(), false, "small");
    });
    if (pages() > 1) {
      canvas_.new_page(size_);
      sheet::fill(
          canvas_, box("next_page"), "the cautions and the sight marks",
          [&](Flow& flow) {
            flow.text(title("small", box("next_page").width(), 1), "small");
            flow.text(imprint(2), "small");
            for (const Warning& warning : warnings_) flow.heading(warning.headline + ": see page 1");
            if (notes_here_ < notes_.size()) {
              flow.heading("Mind");
              flow.list({notes_.begin() + std::ptrdiff_t(notes_here_), notes_.end()}, false);
            }
            if (long_table()) write_marks(flow);
          },
          0.4);
    }
    return std::move(canvas_);
  }

 private:
  /// What stands at the top moves down below the warnings, the picture's and the charts' room shared out.
  [[nodiscard]] Box box(std::string_view name) const {
    Box out = look_.box(page_name, name, size_);
    constexpr double of_picture = 0.4;  // what the charts give; the picture gives the rest
    if (name == "left_column" || name == "right_top") out.y0 += warned_mm_;
    if (name == "right_top") out.y1 += of_picture * warned_mm_;
    if (name == "right_column") out.y0 += of_picture * warned_mm_;
    return out;
  }
  [[nodiscard]] std::string both(double mm) const { return both_text(Length::mm(mm), options_.units); }

  [[nodiscard]] bool inches() const { return options_.units == PaperUnits::inches; }
  [[nodiscard]] double in_units(double mm) const { return inches() ? Length::mm(mm).in() : mm; }
  /// Decimal inches: a sight's own scale has no fractions.
  [[nodiscard]] std::string length(double mm) const { return number_text(in_units(mm), inches() ? 2 : 1); }

  /// The labels, each cut short where they are too long together.
  [[nodiscard]] std::string title(std::string_view style, double wrap_mm, int lines) const {
    TextStyle look = look_.style(style);
    look.wrap_mm = wrap_mm;
    look.max_lines = lines;
    const std::string out =
        label_row(canvas_, {fit_.spec.archer_label, fit_.spec.bow_label, fit_.spec.arrow_label}, "; ", look);
    return out.empty() ? "Peep sight fit" : out;
  }

  /// Whose hand, when, with what, and which page of how many.
  [[nodiscard]] std::string imprint(int page) const {
    const std::string date = options_.date.empty() ? "" : "; " + options_.date;
    return fmt::format("{}-handed{}; {}; page {} of {}", text_of(fit_.spec.hand), date, options_.version, page,
                       pages());
  }

  [[nodiscard]] int pages() const { return long_table() || notes_here_ < notes_.size() ? 2 : 1; }

  /// The box across the page's head. Where it would take more than a fifth of it, the reasons go to the notes.
  void draw_warnings() {
    warnings_ = warnings_of(report_, options_.units);
    if (warnings_.empty()) return;
    const Box page = look_.box(page_name, "next_page", size_);
    constexpr double largest_share = 0.2, gap = 3;
    const WarningLook look = view::warning_look();
    std::vector<Warning> shown = warnings_;
    if (warning_box(canvas_, shown, look, page.x0, page.y0, page.x1, false) > page.y0 + largest_share * page.height())
      for (Warning& warning : shown) {
        if (!warning.why.empty()) notes_.push_back(warning.headline + ": " + warning.why);
        warning.why.clear();
      }
    warned_mm_ = gap + warning_box(canvas_, shown, look, page.x0, page.y0, page.x1, true) - page.y0;
  }

  /// As many of the report's notes as leave letters their size stand by the mark; the others on page 2.
  void choose_notes() {
    for (std::string& note : plain_notes(report_, options_.units)) notes_.push_back(std::move(note));
    constexpr double readable = 0.9;
    for (notes_here_ = notes_.size(); notes_here_ > 0; --notes_here_)
      if (sheet::fits(
              canvas_, box("left_column"), [&](Flow& flow) { write_left(flow); }, readable))
        return;
  }

  void write_notes(Flow& flow) const {
    if (notes_.empty()) return;
    flow.heading("Mind");
    flow.list({notes_.begin(), notes_.begin() + std::ptrdiff_t(notes_here_)}, false, "small");
    if (notes_here_ < notes_.size())
      flow.text(fmt::format("{} {} on page 2", notes_.size() - notes_here_, notes_here_ > 0 ? "more" : "cautions"),
                "small");
  }

  void write_left(Flow& flow) const {
    constexpr int title_lines = 3;
    flow.text(title("heading", box("left_column").width(), title_lines), "heading");
    flow.text(imprint(1), "small");
    flow.gap(3);
    const Length mark = Length::mm(fit_.core.mark_mm);
    flow.text("MARK, string at rest: top of the nock to the middle of the peep", "small");
    flow.text(inches() ? inches_text(mark) : mm_text(mark), "number");
    flow.text(inches() ? mm_text(mark) : inches_text(mark), "number_second");
    flow.text(fmt::format("give or take {} (k = 2: about 95 of 100). String angle: {}.",
                          both(report_.budget.expanded_mm()), text_of(fit_.core.legs.source)));
    if (report_.tied) flow.text(tied_advice(report_, options_.units));
    write_notes(flow);
    flow.heading("At the bench");
    const print::Words words{{"mark", both(fit_.core.mark_mm)},
                             {"give_or_take", both(report_.budget.expanded_mm())},
                             {"height", both(fit_.core.peep_height_mm)},
                             {"tie_span", both(fit_.spec.value(Key::peep_tie_in))},
                             {"hold", hold_before_drawing(warnings_)}};
    std::vector<std::string> steps;
    for (const std::string& step : look_.text("steps")) steps.push_back(print::fill_in(step, words));
    flow.list(steps, true);
    write_clearances(flow);
    flow.heading("Measured after tying");
    flow.blank_box(
        {"mark, string at rest", "peep above arrow, full draw", "eye above arrow, settled eyes closed", "by, date"});
  }

  void write_clearances(Flow& flow) const {
    flow.heading(inches() ? "Clearances at full draw, in" : "Clearances at full draw, mm");
    std::vector<std::vector<std::string>> rows{{"between", "is", "wanted", "verdict"}};
    const auto wish = [&](double mm) { return inches() ? length(mm) : fmt::format("{:g}", mm); };
    bool unsure = false;
    for (const Clearance& c : fit_.clearances) {
      unsure = unsure || c.expanded_mm;
      rows.push_back({c.name, length(c.distance_mm) + (c.expanded_mm ? " ± " + length(*c.expanded_mm) : ""),
                      c.wanted_most_mm ? wish(c.wanted_least_mm) + " to " + wish(*c.wanted_most_mm)
                                       : "≥ " + wish(c.wanted_least_mm),
                      std::string(text_of(c.verdict)) + (c.met ? ", as wanted" : " – NOT MET")});
    }
    flow.table(rows, {0, -0.44, inches() ? 0.48 : 0.51, 0.7}, true);
    if (unsure) flow.text("± (k = 2): how far mouth and chin stand ahead is from statistics.", "small");
  }

  void draw_picture() {
    const Box area = box("right_top");
    const double reduction = draw_whole(canvas_, scene_, area, options_.units);
    const Box head{area.x0, area.y0 - 11, area.x1, area.y0 + 3};
    sheet::fill(canvas_, head, "the picture's title", [&](Flow& flow) {
      flow.text(fmt::format("At full draw  1 : {:g}", reduction), "heading");
      flow.text("peep above the arrow " + both(fit_.core.peep_height_mm), "small");
      flow.text("peep from the eye " + both(fit_.core.eye_to_peep_mm), "small");
    });
  }

  /// More rows than fit beside the charts.
  [[nodiscard]] bool long_table() const { return fit_.marks.size() > 12; }

  void write_marks(Flow& flow) const {
    flow.heading(fmt::format("Sight marks; pin and eye above the arrow, {}", inches() ? "in" : "mm"));
    std::vector<std::vector<std::string>> rows{{"distance", "pin", "± from first", "clears vanes", "eye"}};
    for (std::size_t i = 0; i < fit_.marks.size(); ++i) {
      const MarkRow& row = fit_.marks[i];
      rows.push_back({distance_text(row.mark.distance_m, options_.units), length(row.mark.pin_height_mm),
                      i == 0 ? "" : length(report_.sight.pins[i].from_first_mm), length(row.mark.clearance_mm),
                      length(row.eye_height_mm)});
    }
    flow.table(rows, {-0.2, -0.36, -0.6, -0.84, -1.0}, true);
    flow.text(marks_advice(report_, options_.units), "small");
  }

  [[nodiscard]] std::string reach() const {
    const Reach& r = fit_.reach;
    if (r.longest_m == 0) return "The sight never clears the passing vanes by what is wanted.";
    if (r.beyond_limit)
      return fmt::format("The sight clears the vanes up to {}.", distance_text(r.longest_m, options_.units));
    return fmt::format("Longest distance before the sight comes near the vanes: {}.",
                       reach_text(r, report_.sight, options_.units));
  }

  void draw_right() {
    Box area = box("right_column");
    Box text = area;
    if (!report_.draw.bow) text.y1 = area.y0 + 0.62 * area.height();
    else text.y1 = area.y0 + 0.46 * area.height();
    double y = sheet::fill(canvas_, text, "the sight marks", [&](Flow& flow) {
      if (long_table()) {
        flow.heading("Sight marks: see page 2");
      } else {
        write_marks(flow);
      }
      flow.text(reach(), "small");
      if (fit_.marks.size() > 1)
        flow.text(fmt::format("Eye, and so the anchor, moves {} {} from the first to the last mark.",
                              length(std::abs(fit_.eye_travel_mm)), inches() ? "in" : "mm"),
                  "small");
    });
    y += 2;
    constexpr double least_for_two = 60;  // what is forbidden takes room from the curves
    const bool two = report_.draw.bow && area.y1 - y >= least_for_two;
    const double half = two ? (area.y1 - y - 2) / 2 : area.y1 - y;
    draw_chart(canvas_, marks_chart(), {area.x0, y, area.x1, y + half});
    if (two) draw_chart(canvas_, force_chart(), {area.x0, y + half + 2, area.x1, area.y1});
  }

  [[nodiscard]] Chart marks_chart() const {
    Chart chart;
    chart.title = "Pin above the arrow by distance";
    chart.x = {"distance", inches() ? "yd" : "m", false};
    chart.y = {"pin", inches() ? "in" : "mm", false};
    const double metre = inches() ? 1000 / unit::yard_mm : 1;
    ChartSeries line{"", {}, true}, marks{"", {}, false};
    const SightGeometry geometry = geometry_of(fit_.spec, fit_.core.peep);
    const Shot shot = shot_of(fit_.spec, fit_.core.drag_coefficient);
    const double near = fit_.marks.front().mark.distance_m, far = fit_.marks.back().mark.distance_m;
    constexpr int steps = 24;
    for (int i = 0; i <= steps && far > near; ++i) {
      const double distance = near + (far - near) * i / steps;
      const SightMark mark = sight_mark(shot, geometry, body_of(fit_.spec), distance);
      line.points.push_back({metre * distance, in_units(mark.pin_height_mm)});
    }
    for (const MarkRow& row : fit_.marks)
      marks.points.push_back({metre * row.mark.distance_m, in_units(row.mark.pin_height_mm)});
    chart.series = {line, marks};
    return chart;
  }

  [[nodiscard]] Chart force_chart() const {
    const FullDraw& bow = *report_.draw.bow;
    Chart chart;
    chart.title = "Draw force";
    chart.x = {"draw from the pivot", inches() ? "in" : "mm", false};
    chart.y = {"force", inches() ? "lbf" : "N", true};
    ChartSeries line{"", {}, true};
    constexpr int points = 41;
    for (const ForceDrawPoint& p : bow.curve(points))
      line.points.push_back({in_units(p.draw_mm), inches() ? Force::n(p.force_n).lbf() : p.force_n});
    chart.series = {line};
    return chart;
  }

  static constexpr double worth_a_digit_mm = 0.005;
  /// A length that may be less than a millimetre, with as many digits as it is worth; never broken between two rows.
  [[nodiscard]] std::string small_text(double mm) const {
    std::string out;
    for (const char c : fine_text(mm, options_.units, std::abs(mm) < 1 ? 2 : 1))
      if (c == ' ') out += "\u00A0";
      else out += c;
    return out;
  }

  /// The posture and the spreads of the face statistics have no value of their own, only what they may be off by.
  [[nodiscard]] std::string value_text(const Assumption& assumed) const {
    const KeyInfo* row = find_key(assumed.key);
    if (row == nullptr || row->absence == Absence::hidden) return "";
    const ShownQuantity shown = shown_in(assumed.value, assumed.unit, options_.units);
    const bool length = row->dimension == Dimension::length;
    if (length && std::abs(assumed.value) >= worth_a_digit_mm) return ", assumed " + small_text(assumed.value);
    return fmt::format(", assumed {:.3g}{}{}", length ? 0 : shown.value, shown.unit.empty() ? "" : " ", shown.unit);
  }

  /// What a key means, the posture too, which is none.
  [[nodiscard]] std::string words_of(const std::string& key) const {
    const auto line = std::ranges::find(report_.budget.lines, key, &BudgetLine::input);
    return line == report_.budget.lines.end() ? key : line->help;
  }

  void write_assumed(Flow& flow) const {
    flow.heading("Assumed, and what it may move the mark by");
    constexpr std::size_t most = 6;
    std::vector<Assumption> worst = report_.assumed;
    std::ranges::stable_sort(worst, std::greater{}, [](const Assumption& a) { return std::abs(a.moves_mark_mm); });
    std::vector<std::string> rows;
    constexpr double worth_a_line_mm = 0.05;
    for (std::size_t i = 0; i < std::min(most, worst.size()) && std::abs(worst[i].moves_mark_mm) >= worth_a_line_mm;
         ++i)
      rows.push_back(fmt::format("{}{}: mark ±\u00A0{}", words_of(worst[i].key), value_text(worst[i]),
                                 small_text(std::abs(worst[i].moves_mark_mm))));
    if (rows.empty()) flow.text("Nothing that matters.", "small");
    flow.list(rows, false, "small");
    if (worst.size() > rows.size())
      flow.text(fmt::format("and {} more, each less", worst.size() - rows.size()), "small");
    flow.heading("Measure next");
    std::vector<std::string> next;
    constexpr std::size_t most_next = 3;
    for (std::size_t i = 0; i < std::min(most_next, report_.next.size()); ++i)
      next.push_back(
          fmt::format("{}: ± would come down to {}", report_.next[i].help, both(report_.next[i].expanded_mm)));
    if (report_.angle_disputed)
      flow.text("First the string's angle, again: two sources disagree, and the give or take holds for the one used.",
                "small");
    else if (next.empty()) flow.text("Nothing would help by much.", "small");
    flow.list(next, false, "small");
  }

  const FitReport& report_;
  const Fit& fit_;
  const SideScene& scene_;
  const SideViewOptions& options_;
  const Look& look_;
  PageSize size_;
  Canvas canvas_;
  std::vector<Warning> warnings_;
  double warned_mm_ = 0;  ///< what they take of the page's height
  std::vector<std::string> notes_;
  std::size_t notes_here_ = 0;  ///< of them on page 1
};

}  // namespace

Canvas fit_sheet(const FitReport& report, const SideScene& scene, const SideViewOptions& options) {
  return FitSheet(report, scene, options).draw();
}

}  // namespace peepwright
