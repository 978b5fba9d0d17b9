// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/solid/clip_gauge.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"
#include "engine/solid/engraving.hpp"
#include "engine/solid/parts.hpp"

namespace peepwright::solid {
namespace {

// Shapes that no one needs to choose; common practice, no source.
constexpr double lead_in_mm = 0.8;     // chamfer of the groove's mouth
constexpr double clip_length_mm = 15;  // lips below the window, and again above it
constexpr double seat_length_mm = 4.5;
constexpr double point_length_mm = 5, off_peep_mm = 0.5, off_tip_mm = 0.3;
constexpr double margin_mm = 1.2;  // about scale and figures
constexpr double beyond_mm = 1;    // tools reach past the faces they cut
constexpr Lettering scale_figures{3.4, 1.9, 0.45, 0.6}, mark_figures{5, 1.9, 0.5, 0.6};
constexpr double long_tick_mm = 6, middle_tick_mm = 4.6, short_tick_mm = 3.2;

/// Half of the groove's outline: a string of this diameter, clearance round it, the mouth narrower than the string.
struct Groove {
  double half, mouth;  ///< half widths
  double lip_x;        ///< where the mouth's straight part meets the groove; negative

  Groove(const ClipGaugeInput& in, double diameter)
      : half(diameter / 2 + in.groove_clearance_mm),
        mouth(std::min(half, diameter / 2 - in.snap_mm)),
        lip_x(-half * std::tan(M_PI / 8) - (half - mouth)) {}
};

double furthest_back(const ClipGaugeInput& in) {
  return std::min(Groove(in, in.serving_diameter_mm).lip_x, Groove(in, in.string_diameter_mm).lip_x) - in.wall_mm -
         lead_in_mm;
}

/// Corners of a flat outline; which two axes they mean is said by whoever thickens it.
struct Corner {
  double a = 0, b = 0;
};
using Outline = std::vector<Corner>;

/// `half` and its mirror image in b, as one closed outline.
Outline with_mirror(Outline half) {
  for (std::size_t i = half.size(); i-- > 0;) half.push_back({half[i].a, -half[i].b});
  return half;
}

/// A prism along the string over an outline in (x, y).
Shape along_string(const Outline& outline, double from_z, double to_z) {
  std::vector<Point3> points;
  for (const Corner& c : outline) points.push_back({c.a, c.b, (from_z + to_z) / 2});
  return plate_solid(points, to_z - from_z);
}

/// A prism square to the back over an outline in (z, y).
Shape through(const Outline& outline, double from_x, double to_x) {
  std::vector<Point3> points;
  for (const Corner& c : outline) points.push_back({(from_x + to_x) / 2, c.b, c.a});
  return plate_solid(points, to_x - from_x);
}

Shape block(double x0, double x1, double y0, double y1, double z0, double z1) {
  return along_string({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, z0, z1);
}

/// The groove's floor is half an octagon; its sides stand upright where it lies open and lean in by 45 degrees to the
/// lips.
Shape groove_tool(const Groove& g, const ClipGaugePlan& plan, bool lips, double from_z, double to_z) {
  const double low = g.half * std::tan(M_PI / 8), out = plan.back_x - beyond_mm, mouth = lips ? g.mouth : g.half;
  Outline side{{g.half, low}, {low, g.half}};
  if (g.half - mouth > 1e-6) {
    side.push_back({-low, g.half});
    side.push_back({g.lip_x, mouth});
  }
  side.push_back({plan.back_x + lead_in_mm, mouth});
  side.push_back({out, mouth + lead_in_mm + beyond_mm});
  return along_string(with_mirror(std::move(side)), from_z, to_z);
}

/// The window with a point left standing on each side, blunt by one wall.
Shape window_tool(const ClipGaugeInput& in, const ClipGaugePlan& plan) {
  const double m = in.mark_mm, tip = in.wall_mm / 2, root = tip + (plan.window_half - plan.point_half);
  const double w = plan.window_half, p = plan.point_half;
  return through(
      with_mirror(
          {{plan.window_low_z, w}, {m - root, w}, {m - tip, p}, {m + tip, p}, {m + root, w}, {plan.window_high_z, w}}),
      plan.back_x - beyond_mm, plan.front_x + beyond_mm);
}

/// Collects strokes on the back, in (y, z).
class Engraver {
 public:
  Engraver(const ClipGaugeInput& in, const ClipGaugePlan& plan) : in_(in), plan_(plan) {}

  /// Text as read from the back, where the archer's left is left. `left_y` is its left edge.
  void text(const std::string& text, const Lettering& l, double left_y, double low_z) {
    for (const Stroke& s : text_strokes(text, l))
      strokes_.push_back({left_y - s.right, left_y - s.left, low_z + s.low, low_z + s.high});
  }
  void line(double y0, double y1, double z) {
    strokes_.push_back({std::min(y0, y1), std::max(y0, y1), z - in_.tick_width_mm / 2, z + in_.tick_width_mm / 2});
  }
  /// Millimetres from the datum.
  void scale(double edge) {
    const int first = int(std::ceil(in_.knot_length_mm + 1)), last = int(std::floor(plan_.window_low_z - 1));
    for (int mm = first; mm <= last; ++mm)
      line(-edge, -edge - (mm % 10 == 0 ? long_tick_mm : mm % 5 == 0 ? middle_tick_mm : short_tick_mm), mm);
    const double half = scale_figures.height_mm / 2;
    for (int mm = 20; mm + half < plan_.window_low_z - 0.5; mm += 20) {
      if (mm - half < in_.knot_length_mm + 0.5) continue;
      const std::string figures = fmt::format("{}", mm);
      text(figures, scale_figures, edge + text_width(figures, scale_figures), mm - half);
    }
  }
  [[nodiscard]] const std::vector<Stroke>& strokes() const { return strokes_; }

 private:
  const ClipGaugeInput& in_;
  const ClipGaugePlan& plan_;
  std::vector<Stroke> strokes_;
};

double scale_edge(const ClipGaugeInput& in) { return Groove(in, in.serving_diameter_mm).half + lead_in_mm + 0.8; }

void check_sizes(const ClipGaugeInput& in) {
  const struct {
    const char* what;
    double value, least, most;
  } sizes[] = {{"mark", in.mark_mm, 20, 450},
               {"nock height", in.nock_height_mm, 2, 20},
               {"string diameter", in.string_diameter_mm, 1, 6},
               {"serving diameter", in.serving_diameter_mm, 1, 8},
               {"peep's length along the string", in.peep_along_mm, 2, 60},
               {"peep's width", in.peep_across_mm, 2, 60},
               {"tie-in", in.tie_in_mm, 0, 40},
               {"wall", in.wall_mm, 0.8, 5},
               {"groove clearance", in.groove_clearance_mm, 0, 1},
               {"saddle clearance", in.saddle_clearance_mm, 0, 1},
               {"snap", in.snap_mm, 0, 0.4},
               {"engraving", in.engraving_mm, 0, 1},
               {"tick width", in.tick_width_mm, 0.1, 0.7},
               {"knot's length", in.knot_length_mm, 0, 40},
               {"knot's radius", in.knot_radius_mm, 1, 15}};
  for (const auto& s : sizes)
    if (!(s.value >= s.least && s.value <= s.most))
      throw Error(ErrorCode::input,
                  fmt::format("The clip gauge's {} of {:.4g} mm cannot be; accepted is {:.4g} to {:.4g} mm.", s.what,
                              s.value, s.least, s.most));
  if (in.engraving_mm > in.wall_mm / 2)
    throw Error(ErrorCode::input,
                fmt::format("The clip gauge's engraving of {:.4g} mm is more than half of its wall of {:.4g} mm.",
                            in.engraving_mm, in.wall_mm));
}

}  // namespace

ClipGaugePlan plan_clip_gauge(const ClipGaugeInput& in) {
  check_sizes(in);
  ClipGaugePlan plan;
  plan.back_x = furthest_back(in);
  // The seat begins where the knot's room ends, and the groove needs a floor.
  const double groove = Groove(in, std::max(in.serving_diameter_mm, in.string_diameter_mm)).half;
  plan.front_x = std::max(in.knot_radius_mm + seat_length_mm, groove + in.wall_mm);
  plan.foot_z = -0.6 * in.nock_height_mm;
  plan.clip_end_z = in.knot_length_mm + clip_length_mm;
  const double window = in.peep_along_mm / 2 + in.tie_in_mm + 2;
  plan.window_low_z = in.mark_mm - window;
  plan.window_high_z = in.mark_mm + window;
  plan.top_z = plan.window_high_z + clip_length_mm;
  const double edge = scale_edge(in), cheek = std::max(3 * in.wall_mm, 4.0);
  plan.stem_half = std::max({edge + std::max(long_tick_mm, text_width("000", scale_figures)) + margin_mm,
                             std::max(in.nock_height_mm / 2 + in.saddle_clearance_mm, in.knot_radius_mm) + cheek});
  plan.point_half = in.peep_across_mm / 2 + off_peep_mm;
  plan.window_half = plan.point_half + point_length_mm;
  plan.head_half =
      std::max({plan.stem_half, plan.window_half + cheek, edge + text_width("000.0", mark_figures) + margin_mm});
  const double shoulder = plan.head_half - plan.stem_half, least = plan.clip_end_z + shoulder + cheek;
  if (plan.window_low_z < least)
    throw Error(ErrorCode::input, fmt::format("A clip gauge for a mark of {} has no room for saddle, clip and "
                                              "window: with this nock, knot and peep it "
                                              "can be made for marks of {} and more. Use the paper strip.",
                                              both_text(in.mark_mm), both_text(least + window)));
  return plan;
}

Part clip_gauge(const ClipGaugeInput& in) {
  const ClipGaugePlan plan = plan_clip_gauge(in);
  const Groove serving(in, in.serving_diameter_mm), string(in, in.string_diameter_mm);
  const double stem = plan.stem_half, head = plan.head_half, cheek = std::max(3 * in.wall_mm, 4.0);
  const double neck = plan.window_low_z - cheek, shoulder = neck - (head - stem);
  // Without a shoulder the outline is a plain bar: no two corners in one place.
  Outline outline{{plan.foot_z, stem}};
  if (head - stem > 1e-6) {  // else a plain bar: no two corners in one place
    outline.push_back({shoulder, stem});
    outline.push_back({neck, head});
  }
  outline.push_back({plan.top_z, head});
  outline = with_mirror(std::move(outline));
  const Shape bar = through(outline, plan.back_x, plan.front_x);

  const double slot = in.nock_height_mm / 2 + in.saddle_clearance_mm, out = plan.back_x - beyond_mm;
  std::vector<Shape> tools{block(out, plan.front_x + beyond_mm, -slot, slot, plan.foot_z - beyond_mm, 0),
                           groove_tool(serving, plan, true, -beyond_mm, plan.clip_end_z),
                           groove_tool(Groove(in, std::max(in.serving_diameter_mm, in.string_diameter_mm)), plan, false,
                                       plan.clip_end_z, plan.window_low_z + beyond_mm),
                           groove_tool(string, plan, true, plan.window_high_z - beyond_mm, plan.top_z + beyond_mm),
                           window_tool(in, plan)};
  if (in.knot_length_mm > 0)
    tools.push_back(block(out, in.knot_radius_mm, -in.knot_radius_mm, in.knot_radius_mm, plan.foot_z - beyond_mm,
                          in.knot_length_mm));
  const Shape plain = cut(bar, tools, "the clip gauge");

  Engraver engraver(in, plan);
  const double edge = scale_edge(in);
  engraver.scale(edge);
  for (const double side : {1.0, -1.0})
    engraver.line(side * (plan.point_half + off_tip_mm), side * (plan.head_half - margin_mm), in.mark_mm);
  const double low = plan.window_high_z + (plan.top_z - plan.window_high_z - mark_figures.height_mm) / 2;
  engraver.text("PEEP", mark_figures, edge + text_width("PEEP", mark_figures), low);
  engraver.text(fmt::format("{:.1f}", in.mark_mm), mark_figures, -edge, low);
  return {"clip gauge", {0.85, 0.45, 0.10}, engraved(plain, engraver.strokes(), in.engraving_mm, "the clip gauge"), {}};
}

}  // namespace peepwright::solid
