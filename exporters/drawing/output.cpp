// SPDX-License-Identifier: GPL-3.0-or-later
// A recorded drawing to PDF, SVG and PNG bytes.
#include <cairo-pdf.h>
#include <cairo-svg.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <string_view>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"
#include "exporters/drawing/record.hpp"

namespace peepwright {
namespace {

using SurfaceHandle = std::unique_ptr<cairo_surface_t, drawing::Release<cairo_surface_destroy>>;
using ContextHandle = std::unique_ptr<cairo_t, drawing::Release<cairo_destroy>>;

constexpr double points_per_mm = 72 / unit::inch_mm;

void need(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS)
    throw Error(ErrorCode::internal,
                std::string("drawing: could not be written [") + cairo_status_to_string(status) + "].");
}

// Cairo calls this from C: nothing may be thrown through it.
cairo_status_t append(void* out, const unsigned char* data, unsigned length) {
  try {
    static_cast<std::string*>(out)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
  } catch (...) {
    return CAIRO_STATUS_NO_MEMORY;
  }
}

/// Cairo counts the surfaces of a process and writes the count into the file: id="surface17". Nothing refers to it.
std::string without_surface_number(std::string svg) {
  constexpr std::string_view before = "id=\"surface";
  const std::size_t at = svg.find(before);
  if (at == std::string::npos) return svg;
  const std::size_t from = at + before.size(), to = std::min(svg.find('"', from), svg.size());
  return svg.replace(from, to - from, "");
}

/// "1980-01-01T00:00:00Z", or the moment that SOURCE_DATE_EPOCH names.
std::string creation_date() {
  long long seconds = 315532800;
  if (const char* text = std::getenv("SOURCE_DATE_EPOCH")) {
    const std::string_view view(text);
    long long value = 0;
    const auto [end, error] = std::from_chars(view.data(), view.data() + view.size(), value);
    constexpr long long year_10000 = 253402300800;
    if (error == std::errc() && end == view.data() + view.size() && value >= 0 && value < year_10000) seconds = value;
  }
  GDateTime* date = g_date_time_new_from_unix_utc(seconds);
  char* text = g_date_time_format(date, "%Y-%m-%dT%H:%M:%SZ");
  std::string out = text;
  g_free(text);
  g_date_time_unref(date);
  return out;
}

/// The picture with one byte a pixel, which Cairo writes as a grey PNG, a third of the bytes in a third of the time;
/// nothing where it has colour.
SurfaceHandle grey_copy(cairo_surface_t* picture) {
  cairo_surface_flush(picture);
  const int columns = cairo_image_surface_get_width(picture), rows = cairo_image_surface_get_height(picture);
  SurfaceHandle grey(cairo_image_surface_create(CAIRO_FORMAT_A8, columns, rows));
  need(cairo_surface_status(grey.get()));
  const std::ptrdiff_t stride = cairo_image_surface_get_stride(picture),
                       grey_stride = cairo_image_surface_get_stride(grey.get());
  for (int row = 0; row < rows; ++row) {
    const unsigned char* from = cairo_image_surface_get_data(picture) + row * stride;
    unsigned char* to = cairo_image_surface_get_data(grey.get()) + row * grey_stride;
    for (int column = 0; column < columns; ++column, from += 4) {
      // Blue, green, red, unused, in whatever order the machine has them: equal when it is a grey.
      std::uint32_t pixel;
      std::memcpy(&pixel, from, sizeof pixel);
      const std::uint32_t blue = pixel & 0xff;
      if ((pixel & 0xffffff) != blue * 0x010101) return nullptr;
      to[column] = static_cast<unsigned char>(blue);
    }
  }
  cairo_surface_mark_dirty(grey.get());
  return grey;
}

}  // namespace

std::string Canvas::pdf(const DocumentInfo& info) const {
  if (record_->pages.empty()) throw Error(ErrorCode::internal, "drawing: a PDF needs a page.");
  std::string out;
  const PageSize first = record_->pages.front().size;
  const SurfaceHandle surface(cairo_pdf_surface_create_for_stream(append, &out, first.width_mm * points_per_mm,
                                                                  first.height_mm * points_per_mm));
  need(cairo_surface_status(surface.get()));
  cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_5);
  const auto say = [&](cairo_pdf_metadata_t what, const std::string& text) {
    if (!text.empty()) cairo_pdf_surface_set_metadata(surface.get(), what, clean_text(text).c_str());
  };
  say(CAIRO_PDF_METADATA_TITLE, info.title);
  say(CAIRO_PDF_METADATA_CREATOR, info.creator);
  say(CAIRO_PDF_METADATA_CREATE_DATE, creation_date());
  const ContextHandle context(cairo_create(surface.get()));
  for (const drawing::Page& page : record_->pages) {
    cairo_pdf_surface_set_size(surface.get(), page.size.width_mm * points_per_mm, page.size.height_mm * points_per_mm);
    cairo_save(context.get());
    cairo_scale(context.get(), points_per_mm, points_per_mm);
    drawing::replay(page, record_->fonts, record_->letters(), context.get());
    cairo_restore(context.get());
    cairo_show_page(context.get());
  }
  need(cairo_status(context.get()));
  cairo_surface_finish(surface.get());
  need(cairo_surface_status(surface.get()));
  return drawing::finish_pdf(out, record_->pages);
}

std::string Canvas::svg(int page_index, SvgLetters letters) const {
  const drawing::Page& page = record_->page(page_index);
  std::string out;
  const SurfaceHandle surface(
      cairo_svg_surface_create_for_stream(append, &out, page.size.width_mm, page.size.height_mm));
  need(cairo_surface_status(surface.get()));
  cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_MM);
  const ContextHandle context(cairo_create(surface.get()));
  const bool as_text = letters == SvgLetters::text;
  drawing::replay(page, record_->fonts, as_text ? drawing::Letters::left_out : record_->letters(), context.get());
  need(cairo_status(context.get()));
  cairo_surface_finish(surface.get());
  need(cairo_surface_status(surface.get()));
  out = without_surface_number(std::move(out));
  if (as_text) out.insert(out.rfind("</svg>"), drawing::svg_texts(page, record_->fonts));
  return out;
}

std::string Canvas::png(int page_index, double dots_per_inch) const {
  const drawing::Page& page = record_->page(page_index);
  const double scale = dots_per_inch / unit::inch_mm;
  const double columns = std::round(page.size.width_mm * scale), rows = std::round(page.size.height_mm * scale);
  if (!(columns >= 1 && rows >= 1 && columns <= 20000 && rows <= 20000))
    throw Error(ErrorCode::input,
                "A picture must have 1 to 20000 pixels a side; choose another number of dots per inch.");
  const SurfaceHandle surface(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(columns), static_cast<int>(rows)));
  need(cairo_surface_status(surface.get()));
  const ContextHandle context(cairo_create(surface.get()));
  cairo_set_source_rgb(context.get(), 1, 1, 1);
  cairo_paint(context.get());
  cairo_scale(context.get(), scale, scale);
  drawing::replay(page, record_->fonts, record_->letters(), context.get());
  need(cairo_status(context.get()));
  const SurfaceHandle grey = grey_copy(surface.get());
  std::string out;
  need(cairo_surface_write_to_png_stream(grey ? grey.get() : surface.get(), append, &out));
  return out;
}

}  // namespace peepwright
