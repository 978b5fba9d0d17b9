// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/exporters/picture.hpp"

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>

#include "engine/quantity/quantity.hpp"

namespace peepwright::test {
namespace {

struct Destroy {
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroy>;

struct Input {
  const std::string& bytes;
  std::size_t at = 0;
};

cairo_status_t read_some(void* from, unsigned char* to, unsigned length) {
  Input& in = *static_cast<Input*>(from);
  if (in.at + length > in.bytes.size()) return CAIRO_STATUS_READ_ERROR;
  std::memcpy(to, in.bytes.data() + in.at, length);
  in.at += length;
  return CAIRO_STATUS_SUCCESS;
}

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// Least and greatest grey of a picture within `pixels` of each pixel, both ways across.
struct Range {
  std::vector<unsigned char> low, high;
};

Range range_of(const Picture& p, int width, int height, int pixels) {
  Range rows{std::vector<unsigned char>(std::size_t(width) * std::size_t(height)), {}};
  rows.high = rows.low;
  Range out = rows;
  const auto place = [&](int c, int r) { return std::size_t(r) * std::size_t(width) + std::size_t(c); };
  for (int r = 0; r < height; ++r)
    for (int c = 0; c < width; ++c) {
      unsigned char low = 255, high = 0;
      for (int k = std::max(0, c - pixels); k <= std::min(p.width - 1, c + pixels); ++k)
        low = std::min(low, p.at(k, r)), high = std::max(high, p.at(k, r));
      rows.low[place(c, r)] = low, rows.high[place(c, r)] = high;
    }
  for (int r = 0; r < height; ++r)
    for (int c = 0; c < width; ++c) {
      unsigned char low = 255, high = 0;
      for (int k = std::max(0, r - pixels); k <= std::min(height - 1, r + pixels); ++k)
        low = std::min(low, rows.low[place(c, k)]), high = std::max(high, rows.high[place(c, k)]);
      out.low[place(c, r)] = low, out.high[place(c, r)] = high;
    }
  return out;
}

}  // namespace

void Picture::blank(const Box& box, double dots_per_inch) {
  const double scale = dots_per_inch / unit::inch_mm;
  for (int r = std::max(0, int(std::floor(box.y0 * scale))); r < std::min(height, int(std::ceil(box.y1 * scale))); ++r)
    for (int c = std::max(0, int(std::floor(box.x0 * scale))); c < std::min(width, int(std::ceil(box.x1 * scale))); ++c)
      grey[std::size_t(r) * std::size_t(width) + std::size_t(c)] = 255;
}

Picture read_png(const std::string& bytes) {
  Input in{bytes};
  const Surface read(cairo_image_surface_create_from_png_stream(read_some, &in));
  if (cairo_surface_status(read.get()) != CAIRO_STATUS_SUCCESS) throw std::runtime_error("not a PNG");
  Picture out{cairo_image_surface_get_width(read.get()), cairo_image_surface_get_height(read.get()), {}};
  const Surface white(cairo_image_surface_create(CAIRO_FORMAT_RGB24, out.width, out.height));
  cairo_t* context = cairo_create(white.get());
  cairo_set_source_rgb(context, 1, 1, 1);
  cairo_paint(context);
  cairo_set_source_surface(context, read.get(), 0, 0);
  cairo_paint(context);
  cairo_destroy(context);
  cairo_surface_flush(white.get());
  for (int r = 0; r < out.height; ++r) {
    const unsigned char* row =
        cairo_image_surface_get_data(white.get()) + r * cairo_image_surface_get_stride(white.get());
    for (int c = 0; c < out.width; ++c) {
      const unsigned char* p = row + 4 * c;
      out.grey.push_back(static_cast<unsigned char>((p[0] + p[1] + p[2]) / 3));
    }
  }
  return out;
}

std::string write_png(const Picture& picture) {
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, picture.width, picture.height));
  for (int r = 0; r < picture.height; ++r) {
    unsigned char* row =
        cairo_image_surface_get_data(surface.get()) + r * cairo_image_surface_get_stride(surface.get());
    constexpr int step = 17;
    for (int c = 0; c < picture.width; ++c)
      row[c] = static_cast<unsigned char>((picture.at(c, r) + step / 2) / step * step);
  }
  cairo_surface_mark_dirty(surface.get());
  std::string out;
  cairo_surface_write_to_png_stream(surface.get(), append, &out);
  return out;
}

Difference difference(const Picture& a, const Picture& b, const Tolerance& tolerance) {
  const int width = std::min(a.width, b.width), height = std::min(a.height, b.height);
  const Range near_a = range_of(a, width, height, tolerance.pixels),
              near_b = range_of(b, width, height, tolerance.pixels);
  Difference out{a.width * a.height + b.width * b.height - 2 * width * height, {width, height, {}}};
  for (int r = 0; r < height; ++r)
    for (int c = 0; c < width; ++c) {
      const std::size_t i = std::size_t(r) * std::size_t(width) + std::size_t(c);
      const auto outside = [&](int v, const Range& range) {
        return v < range.low[i] - tolerance.levels || v > range.high[i] + tolerance.levels;
      };
      const bool other = outside(a.at(c, r), near_b) || outside(b.at(c, r), near_a);
      out.pixels += other;
      out.picture.grey.push_back(static_cast<unsigned char>(other ? 0 : 255 - (255 - a.at(c, r)) / 4));
    }
  return out;
}

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void write_bytes(const std::filesystem::path& file, const std::string& bytes) {
  std::filesystem::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << bytes;
}

}  // namespace peepwright::test
