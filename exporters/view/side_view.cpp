// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/side_view.hpp"

#include <fmt/format.h>

#include "engine/quantity/error.hpp"
#include "exporters/view/look.hpp"

namespace peepwright {
namespace {

using view::Look;

std::string scale_text(double reduction) { return fmt::format("1 : {:g}", reduction); }

/// A divided bar of `length_mm` true millimetres at the given reduction.
void draw_scale_bar(Canvas& canvas, const Look& look, Point left, double length_mm, double reduction) {
  const double long_mm = length_mm / reduction, half = long_mm / 2;
  constexpr double thick = 1.2;
  canvas.fill(Path::rectangle({left.x, left.y, left.x + half, left.y + thick}), {});
  canvas.stroke(Path::rectangle({left.x, left.y, left.x + long_mm, left.y + thick}), look.pen("rule"));
  canvas.text(fmt::format("{:g} mm", length_mm), look.style("note"), {{left.x + long_mm + 1.2, left.y + thick / 2}, Across::left, Down::middle, 0});
}

struct Field {
  std::string kicker, text;
};

std::string labels_of(const Spec& spec) {
  std::string out;
  for (const std::string* label : {&spec.bow_label, &spec.arrow_label})
    if (!label->empty()) out += (out.empty() ? "" : "; ") + *label;
  return out.empty() ? "not named" : out;
}

class TitleBlock {
 public:
  TitleBlock(Canvas& canvas, const Look& look, const Box& box) : canvas_(canvas), look_(look), box_(box), y_(box.y0) {}

  void heading(const std::string& title, const std::string& second) {
    TextStyle big = look_.style("title"), small = look_.style("field");
    big.wrap_mm = small.wrap_mm = box_.width() - 4;
    big.max_lines = small.max_lines = 1;
    y_ = canvas_.text(title, big, {{box_.x0 + 2, y_ + 1.4}, Across::left, Down::top, 0}).y1;
    y_ = canvas_.text(second, small, {{box_.x0 + 2, y_ + 0.2}, Across::left, Down::top, 0}).y1 + 1.2;
    rule();
  }

  /// A row of equal cells.
  void row(const std::vector<Field>& fields) {
    const double width = box_.width() / double(fields.size()), top = y_;
    TextStyle small = look_.style("kicker"), text = look_.style("field");
    text.wrap_mm = width - 3;
    text.max_lines = 1;
    for (std::size_t i = 0; i < fields.size(); ++i) {
      const double x = box_.x0 + width * double(i);
      const double below = canvas_.text(fields[i].kicker, small, {{x + 2, top + 0.8}, Across::left, Down::top, 0}).y1;
      if (!fields[i].text.empty()) canvas_.text(fields[i].text, text, {{x + 2, below}, Across::left, Down::top, 0});
      y_ = std::max(y_, below + canvas_.measure("X", text).height + 0.8);
    }
    for (std::size_t i = 1; i < fields.size(); ++i)
      canvas_.line({box_.x0 + width * double(i), top}, {box_.x0 + width * double(i), y_}, look_.pen("rule"));
    rule();
  }

  /// The dashes of the sight lines.
  void legend(const std::vector<SightRay>& rays, PaperUnits units) {
    const double width = (box_.width() - 22) / 3, y = y_ + 3;
    canvas_.text("sight lines", look_.style("kicker"), {{box_.x0 + 2, y}, Across::left, Down::middle, 0});
    for (std::size_t i = 0; i < rays.size(); ++i) {
      const double x = box_.x0 + 20 + width * double(i);
      canvas_.line({x, y}, {x + 12, y}, look_.pen(fmt::format("sight_{}", i + 1)));
      canvas_.text(distance_text(rays[i].distance_m, units), look_.style("field"), {{x + 13.5, y}, Across::left, Down::middle, 0});
    }
    y_ += 6;
    rule();
  }

  /// The frame round all rows.
  void close() { canvas_.stroke(Path::rectangle({box_.x0, box_.y0, box_.x1, y_}), look_.pen("frame")); }

 private:
  void rule() { canvas_.line({box_.x0, y_}, {box_.x1, y_}, look_.pen("rule")); }

  Canvas& canvas_;
  const Look& look_;
  Box box_;
  double y_;
};

void panel_title(Canvas& canvas, const Look& look, const Box& box, const std::string& words, double reduction) {
  canvas.text(fmt::format("{}  {}", words, scale_text(reduction)), look.style("panel"), {{box.x0, box.y0}, Across::left, Down::top, 0});
}

}  // namespace

Canvas side_view(const Fit& fit, const SideScene& scene, const SideViewOptions& options) {
  const Look& look = view::drawing_look();
  if (!look.papers.contains(options.paper))
    throw Error(ErrorCode::input, fmt::format("\"{}\" is no paper this knows: a4 or letter.", options.paper));
  Canvas canvas;
  const PageSize size = look.size("side_view", options.paper);
  canvas.new_page(size);
  const Box detail = look.box("side_view", "detail", size), whole = look.box("side_view", "whole", size),
            block = look.box("side_view", "block", size);
  constexpr double head = 6, foot = 5;  // of a panel: its title, its scale bar

  const double detail_reduction = draw_detail(canvas, fit, scene, {detail.x0, detail.y0 + head, detail.x1, detail.y1 - foot}, options.units);
  panel_title(canvas, look, detail, "Face, string and peep", detail_reduction);
  draw_scale_bar(canvas, look, {detail.x0, detail.y1 - 2}, 100, detail_reduction);
  const double whole_reduction = draw_whole(canvas, scene, {whole.x0, whole.y0 + head, whole.x1, whole.y1 - foot}, options.units);
  panel_title(canvas, look, whole, "At full draw", whole_reduction);
  draw_scale_bar(canvas, look, {whole.x0, whole.y1 - 2}, 200, whole_reduction);

  TitleBlock title(canvas, look, block);
  title.heading(fit.spec.archer_label.empty() ? "Peep sight, side view" : fit.spec.archer_label, labels_of(fit.spec));
  const Length mark = Length::mm(fit.core.mark_mm);
  title.row({{"mark, string at rest, from the top of the nock", both_text(mark, options.units)}});
  title.legend(scene.rays, options.units);
  title.row({{"how the string angle was found", std::string(text_of(fit.core.legs.source))}});
  title.row({{"hand", std::string(text_of(fit.spec.hand))},
             {"head turned", fmt::format("{}°", number_text(Angle::rad(fit.core.posture.yaw_rad).deg(), 1))},
             {"string angle", fmt::format("{}°", number_text(Angle::rad(scene.upper_leg_rad + scene.lower_leg_rad).deg(), 1))}});
  title.row({{"units", options.units == PaperUnits::inches ? "in; contacts mm" : "mm"},
             {"scale", scale_text(detail_reduction) + ", " + scale_text(whole_reduction)}});
  title.row({{"date", options.date}, {"made with", options.version}});
  title.close();
  return canvas;
}

}  // namespace peepwright
