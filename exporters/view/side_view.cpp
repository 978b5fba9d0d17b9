// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/view/side_view.hpp"

#include <fmt/format.h>

#include "exporters/view/title_block.hpp"

namespace peepwright {
namespace {

using view::draw_scale_bar;
using view::Look;
using view::panel_title;
using view::scale_text;
using view::TitleBlock;

}  // namespace

Canvas side_view(const Fit& fit, const SideScene& scene, const SideViewOptions& options) {
  const Look& look = view::drawing_look();
  Canvas canvas;
  const PageSize size = look.size("side_view", options.paper);
  canvas.new_page(size);
  Box detail = look.box("side_view", "detail", size), whole = look.box("side_view", "whole", size);
  const Box block = look.box("side_view", "block", size);
  if (!options.warnings.empty()) {
    const Box head_of_page{detail.x0, detail.y0, block.x1, whole.y1};
    detail.y0 = whole.y0 = view::draw_warnings(canvas, options.warnings, head_of_page);
  }
  constexpr double head = 6, foot = 5;  // of a panel: its title, its scale bar

  const double detail_reduction =
      draw_detail(canvas, fit, scene, {detail.x0, detail.y0 + head, detail.x1, detail.y1 - foot}, options.units);
  panel_title(canvas, look, detail, "Face, string and peep", detail_reduction);
  draw_scale_bar(canvas, look, {detail.x0, detail.y1 - 2}, 10, detail_reduction, options.units);
  const double whole_reduction =
      draw_whole(canvas, scene, {whole.x0, whole.y0 + head, whole.x1, whole.y1 - foot}, options.units);
  panel_title(canvas, look, whole, "At full draw", whole_reduction);
  draw_scale_bar(canvas, look, {whole.x0, whole.y1 - 2}, 20, whole_reduction, options.units);

  TitleBlock title(canvas, look, block);
  title.heading(fit.spec.archer_label.empty() ? "Peep sight, side view" : fit.spec.archer_label,
                {fit.spec.bow_label, fit.spec.arrow_label});
  const Length mark = Length::mm(fit.core.mark_mm);
  title.row({{"mark, string at rest, from the top of the nock", both_text(mark, options.units)}});
  title.legend(scene.rays, options.units);
  title.row({{"how the string angle was found", std::string(text_of(fit.core.legs.source))}});
  title.row({{"hand", std::string(text_of(fit.spec.hand))},
             {"head turned", fmt::format("{}°", number_text(degrees(fit.core.posture.yaw_rad), 1))},
             {"string angle", fmt::format("{}°", number_text(degrees(scene.upper_leg_rad + scene.lower_leg_rad), 1))}});
  title.row({{"units", options.units == PaperUnits::inches ? "in" : "mm"},
             {"scale", scale_text(detail_reduction) + ", " + scale_text(whole_reduction)}});
  title.row({{"date", options.date}, {"made with", options.version}});
  title.close();
  return canvas;
}

}  // namespace peepwright
