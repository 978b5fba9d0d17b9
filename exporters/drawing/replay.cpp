// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>

#include "engine/quantity/quantity.hpp"
#include "exporters/drawing/record.hpp"

namespace peepwright::drawing {
namespace {

class Player {
 public:
  Player(cairo_t* context, const Fonts& fonts, Letters letters) : cr_(context), fonts_(fonts), letters_(letters) {}

  void operator()(const StrokePath& s) {
    trace(s.path);
    pen(s.stroke);
    cairo_stroke(cr_);
  }

  void operator()(const FillPath& f) {
    trace(f.path);
    colour(f.colour);
    cairo_fill(cr_);
  }

  void operator()(const HatchArea& h) {
    cairo_save(cr_);
    trace(h.area);
    cairo_clip(cr_);
    // Lines are counted from the page's origin, so that neighbouring areas run through.
    const Box box = h.area.bounds();
    const double a = -h.hatch.angle_deg * unit::degree_rad;
    const Point along{std::cos(a), std::sin(a)}, square{-std::sin(a), std::cos(a)};
    const Point middle{(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2};
    const double reach = std::hypot(box.width(), box.height()) / 2;
    const double at = middle.x * square.x + middle.y * square.y, foot = middle.x * along.x + middle.y * along.y;
    const auto first = std::ceil((at - reach) / h.hatch.spacing_mm),
               last = std::floor((at + reach) / h.hatch.spacing_mm);
    for (double i = first; i <= last; i += 1) {
      const Point on = i * h.hatch.spacing_mm * square;
      const Point from = on + (foot - reach) * along, to = on + (foot + reach) * along;
      cairo_move_to(cr_, from.x, from.y);
      cairo_line_to(cr_, to.x, to.y);
    }
    pen(h.hatch.stroke);
    cairo_stroke(cr_);
    cairo_restore(cr_);
  }

  void operator()(const DrawText& t) {
    if (letters_ == Letters::left_out) return;
    const auto layout = fonts_.layout(t.text, t.style, t.place.across);
    const Point origin = origin_of(layout.get(), t.place);
    cairo_save(cr_);
    cairo_translate(cr_, t.place.at.x, t.place.at.y);
    cairo_rotate(cr_, -t.place.rotation_deg * unit::degree_rad);
    cairo_translate(cr_, origin.x, origin.y);
    cairo_scale(cr_, 1 / units_per_mm, 1 / units_per_mm);
    cairo_move_to(cr_, 0, 0);
    colour(t.style.colour);
    if (letters_ == Letters::paths) {
      pango_cairo_layout_path(cr_, layout.get());
      cairo_fill(cr_);
    } else {
      pango_cairo_show_layout(cr_, layout.get());
    }
    cairo_new_path(cr_);
    cairo_restore(cr_);
  }

 private:
  void trace(const Path& path) {
    cairo_new_path(cr_);
    for (const Path::Piece& piece : path.pieces()) {
      const auto& p = piece.p;
      switch (piece.step) {
        case Path::Step::move: cairo_move_to(cr_, p[0].x, p[0].y); break;
        case Path::Step::line: cairo_line_to(cr_, p[0].x, p[0].y); break;
        case Path::Step::curve: cairo_curve_to(cr_, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y); break;
        case Path::Step::arc: {
          const auto draw = piece.to >= piece.from ? cairo_arc : cairo_arc_negative;
          draw(cr_, p[0].x, p[0].y, piece.radius, piece.from, piece.to);
          break;
        }
        case Path::Step::close: cairo_close_path(cr_); break;
      }
    }
  }

  void colour(Colour c) { cairo_set_source_rgb(cr_, c.r, c.g, c.b); }

  void pen(const Stroke& s) {
    colour(s.colour);
    cairo_set_line_width(cr_, s.width_mm);
    cairo_set_dash(cr_, s.dash.data(), static_cast<int>(s.dash.size()), 0);
    cairo_set_line_cap(cr_, s.end == LineEnd::round    ? CAIRO_LINE_CAP_ROUND
                            : s.end == LineEnd::square ? CAIRO_LINE_CAP_SQUARE
                                                       : CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(cr_, s.end == LineEnd::round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
  }

  cairo_t* cr_;
  const Fonts& fonts_;
  Letters letters_;
};

}  // namespace

void replay(const Page& page, const Fonts& fonts, Letters letters, cairo_t* context) {
  // Cairo's own tolerance of 0.1 units puts a 5 mm circle 0.09 mm off when the unit is the millimetre.
  cairo_set_tolerance(context, 0.001);
  Player player(context, fonts, letters);
  for (const Step& step : page.steps) std::visit(player, step);
}

}  // namespace peepwright::drawing
