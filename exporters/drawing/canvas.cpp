// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/canvas.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/error.hpp"
#include "engine/quantity/format.hpp"
#include "engine/quantity/quantity.hpp"
#include "exporters/drawing/record.hpp"

namespace peepwright {
namespace {

[[noreturn]] void fault(const std::string& what) { throw Error(ErrorCode::internal, "drawing: " + what + "."); }

void need_finite(std::initializer_list<double> numbers, const char* what) {
  for (const double v : numbers)
    if (!std::isfinite(v)) fault(std::string(what) + " has a number that is not finite");
}

void check(const Path& path) {
  for (const Path::Piece& piece : path.pieces()) {
    for (const Point& p : piece.p) need_finite({p.x, p.y}, "a path");
    need_finite({piece.radius, piece.from, piece.to}, "an arc");
  }
}

void check(const Stroke& stroke) {
  need_finite({stroke.width_mm}, "a line width");
  if (!(stroke.width_mm > 0)) fault("a line needs a width above 0");
  double sum = 0;
  for (const double d : stroke.dash) {
    need_finite({d}, "a dash");
    if (d < 0) fault("a dash is negative");
    sum += d;
  }
  if (!stroke.dash.empty() && !(sum > 0)) fault("a dash pattern has no length");
}

void check(const TextStyle& style, const TextPlace& place) {
  need_finite({style.size_mm, style.line_spacing, style.wrap_mm, place.at.x, place.at.y, place.rotation_deg}, "a text");
  if (!(style.size_mm > 0) || style.size_mm > 1000) fault("a text size must be above 0 and at most 1000 mm");
}

Box turned(const TextSize& size, Point corner, const TextPlace& place) {
  const double a = -place.rotation_deg * unit::degree_rad;  // y points down: anticlockwise is negative
  Path outline;
  for (const Point p : {Point{0, 0}, Point{size.width, 0}, Point{0, size.height}, Point{size.width, size.height}}) {
    const Point q = corner + p;
    outline.line_to(place.at + Point{q.x * std::cos(a) - q.y * std::sin(a), q.x * std::sin(a) + q.y * std::cos(a)});
  }
  return outline.bounds();
}

}  // namespace

namespace drawing {
Point corner_of(PangoLayout* layout, const TextPlace& place) {
  const TextSize size = size_of(layout);
  Point corner;
  if (place.across == Across::centre) corner.x = -size.width / 2;
  if (place.across == Across::right) corner.x = -size.width;
  if (place.down == Down::middle) corner.y = -size.height / 2;
  if (place.down == Down::bottom) corner.y = -size.height;
  if (place.down == Down::baseline) corner.y = -size.baseline;
  return corner;
}

Point origin_of(PangoLayout* layout, const TextPlace& place) {
  PangoRectangle frame;
  pango_layout_get_extents(layout, nullptr, &frame);
  return corner_of(layout, place) - (1 / (units_per_mm * PANGO_SCALE)) * Point{double(frame.x), double(frame.y)};
}
}  // namespace drawing

drawing::Page& Canvas::Record::current() {
  if (pages.empty()) fault("there is no page to draw on");
  return pages.back();
}

const drawing::Page& Canvas::Record::page(int index) const {
  if (index < 0 || index >= static_cast<int>(pages.size())) fault("there is no page " + number_text(index, 0));
  return pages[static_cast<std::size_t>(index)];
}

Canvas::Canvas(bool text_as_paths) : record_(std::make_unique<Record>()) { record_->text_as_paths = text_as_paths; }
Canvas::~Canvas() = default;
Canvas::Canvas(Canvas&&) noexcept = default;

void Canvas::new_page(PageSize size) {
  for (const double side : {size.width_mm, size.height_mm})
    if (!(side >= 1 && side <= 5000)) fault("a page's sides must be between 1 mm and 5 m");
  drawing::Page page;
  page.size = size;
  record_->pages.push_back(std::move(page));
}

int Canvas::page_count() const { return static_cast<int>(record_->pages.size()); }
PageSize Canvas::page_size(int page) const { return record_->page(page).size; }
const std::vector<TextBox>& Canvas::texts(int page) const { return record_->page(page).texts; }

void Canvas::stroke(const Path& path, const Stroke& stroke) {
  check(path);
  check(stroke);
  record_->current().steps.emplace_back(drawing::StrokePath{path, stroke});
}

void Canvas::line(Point a, Point b, const Stroke& look) { stroke(Path::line(a, b), look); }

void Canvas::fill(const Path& path, Colour colour) {
  check(path);
  record_->current().steps.emplace_back(drawing::FillPath{path, colour});
}

void Canvas::hatch(const Path& area, const Hatch& hatch) {
  check(area);
  check(hatch.stroke);
  need_finite({hatch.spacing_mm, hatch.angle_deg}, "a hatch");
  if (!(hatch.spacing_mm > 0)) fault("a hatch needs a spacing above 0");
  record_->current().steps.emplace_back(drawing::HatchArea{area, hatch});
}

TextSize Canvas::measure(std::string_view text, const TextStyle& style) const {
  check(style, {});
  return drawing::size_of(record_->fonts.layout(clean_text(text), style, Across::left).get());
}

Box Canvas::text_box(std::string_view text, const TextStyle& style, const TextPlace& place) const {
  check(style, place);
  const auto layout = record_->fonts.layout(clean_text(text), style, place.across);
  return turned(drawing::size_of(layout.get()), drawing::corner_of(layout.get(), place), place);
}

Box Canvas::text(std::string_view text, const TextStyle& style, const TextPlace& place) {
  const Box box = text_box(text, style, place);
  drawing::Page& page = record_->current();
  page.steps.emplace_back(drawing::DrawText{clean_text(text), style, place});
  page.texts.push_back({clean_text(text), box});
  return box;
}

}  // namespace peepwright
