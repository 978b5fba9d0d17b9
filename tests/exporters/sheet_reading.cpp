// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/exporters/sheet_reading.hpp"

#include <algorithm>
#include <cmath>

#include "engine/quantity/quantity.hpp"

namespace peepwright::test {
namespace {

constexpr double near = 0.05;  // mm; the agreed error of a print

bool thin_bar(double length, double thickness) { return length > 50 && thickness > 0.4 && length > 20 * thickness; }

/// Ascending, without repeats of the same height.
void tidy(std::vector<double>& values) {
  std::sort(values.begin(), values.end());
  const auto same = [](double a, double b) { return std::abs(a - b) < 1e-3; };
  values.erase(std::unique(values.begin(), values.end(), same), values.end());
}

std::string listed(const std::vector<double>& values) {
  std::string out;
  for (const double v : values) out += testing::PrintToString(v) + " ";
  return out.empty() ? "none" : out;
}

/// Runs of dark pixels along a line of the picture: start and length.
template <class Dark>
std::vector<std::pair<int, int>> runs(int count, Dark dark) {
  std::vector<std::pair<int, int>> out;
  for (int i = 0, from = -1; i <= count; ++i) {
    const bool on = i < count && dark(i);
    if (on && from < 0) from = i;
    if (!on && from >= 0) {
      out.emplace_back(from, i - from);
      from = -1;
    }
  }
  return out;
}

}  // namespace

SheetReading read_sheet(const PdfPage& page) {
  SheetReading r;
  for (const Painted& p : page.paths) {
    const Extent e = p.extent();
    if (p.closed && p.stroked && !p.curved && p.points.size() == 4 && e.height() > 40 && e.width() > 20 &&
        e.x0 < r.cut.x0)
      r.cut = e;
  }
  for (const Painted& p : page.paths) {
    const Extent e = p.extent();
    if (p.filled && p.points.size() == 4 && thin_bar(e.width(), e.height())) r.bars_across.push_back(e.width());
    if (p.filled && p.points.size() == 4 && thin_bar(e.height(), e.width())) r.bars_up.push_back(e.height());
    if (!p.stroked || p.points.size() != 2 || e.height() > 1e-6) continue;
    const bool from_left = std::abs(e.x0 - r.cut.x0) < 0.01, from_right = std::abs(e.x1 - r.cut.x1) < 0.01;
    if (from_left && from_right) (p.dashed ? r.match_lines : r.full_lines).push_back(e.y0);
    if (from_left && !from_right) r.ticks.push_back(e.y0);
    if (from_right && !from_left) r.inch_ticks.push_back(e.y0);
  }
  tidy(r.full_lines);
  tidy(r.match_lines);
  tidy(r.ticks);
  tidy(r.inch_ticks);
  std::sort(r.bars_across.begin(), r.bars_across.end());
  std::sort(r.bars_up.begin(), r.bars_up.end());
  return r;
}

double datum_to_mark(const std::vector<PdfPage>& pages) {
  double sum = 0;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const SheetReading r = read_sheet(pages[i]);
    const bool first = i == 0, last = i + 1 == pages.size();
    const std::size_t lines = (first ? 1 : 0) + (last ? 1 : 0), joints = 2 - lines;
    if (r.full_lines.size() != lines || r.match_lines.size() != joints) return NAN;
    sum += (last ? r.full_lines.back() : r.match_lines.back()) - (first ? r.full_lines.front() : r.match_lines.front());
  }
  return sum;
}

SheetReading read_raster(const Raster& raster) {
  SheetReading r;
  const double mm = raster.mm_per_pixel;
  const auto across = [&](int row) { return runs(raster.width, [&, row](int c) { return raster.dark(c, row); }); };
  // The strip's width: the leftmost long run of the picture that is thinner than a check bar is its upper cut.
  int left = raster.width, wide = 0;
  for (int row = 0; row < raster.height; ++row)
    for (const auto& [from, length] : across(row))
      if (length * mm > 20 && from < left - 2) left = from, wide = length;
  struct Line {
    int first, last, from;
  };
  std::vector<Line> full, bars;
  for (int row = 0; row < raster.height; ++row) {
    for (const auto& [from, length] : across(row)) {
      const bool bar = std::abs(length * mm - 100) < 12;
      const bool line = std::abs(from - left) <= 3 && std::abs(length - wide) <= 6;
      if (!bar && !line) continue;
      auto& lines = bar ? bars : full;
      if (!lines.empty() && lines.back().last == row - 1 && std::abs(lines.back().from - from) <= 3)
        lines.back().last = row;
      else lines.push_back({row, row, from});
      if (bar && lines.back().first != row - 5) continue;
      if (bar) r.bars_across.push_back(length * mm);  // one reading of a bar, five rows into it
    }
  }
  for (const Line& line : full) r.full_lines.push_back((raster.height - (line.first + line.last + 1) / 2.0) * mm);
  for (int column = 0, last = -10, depth = 0; column < raster.width; ++column)
    for (const auto& [from, length] : runs(raster.height, [&](int row) { return raster.dark(column, row); })) {
      if (std::abs(length * mm - 100) >= 12) continue;
      depth = column == last + 1 ? depth + 1 : 0;
      last = column;
      if (depth == 5) r.bars_up.push_back(length * mm);
    }
  std::sort(r.full_lines.begin(), r.full_lines.end());
  // The lowest and the highest are the cut.
  if (r.full_lines.size() >= 2) r.full_lines = {r.full_lines.begin() + 1, r.full_lines.end() - 1};
  std::sort(r.bars_across.begin(), r.bars_across.end());
  std::sort(r.bars_up.begin(), r.bars_up.end());
  return r;
}

testing::AssertionResult sheet_is_one_to_one(const std::string& pdf, double mark_mm) {
  const std::vector<PdfPage> pages = read_pdf(pdf);
  if (pages.empty()) return testing::AssertionFailure() << "no pages";
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const SheetReading r = read_sheet(pages[i]);
    for (const auto* bars : {&r.bars_across, &r.bars_up})
      if (bars->size() != 2 || !(std::abs((*bars)[0] - 100) < near) || !(std::abs((*bars)[1] - 101.6) < near))
        return testing::AssertionFailure() << "page " << i + 1 << (bars == &r.bars_up ? ": bars up " : ": bars across ")
                                           << listed(*bars) << "mm, wanted 100 and 101.6";
    const auto uneven = [&](const std::vector<double>& ticks, double step) {
      if (ticks.size() < 10) return true;
      for (std::size_t k = 0; k < ticks.size(); ++k)
        if (!(std::abs(ticks[k] - ticks[0] - static_cast<double>(k) * step) < near)) return true;
      return false;
    };
    if (uneven(r.ticks, 1)) return testing::AssertionFailure() << "page " << i + 1 << ": the mm scale is not true";
    if (uneven(r.inch_ticks, unit::inch_mm / 16))
      return testing::AssertionFailure() << "page " << i + 1 << ": the inch scale is not true";
    if (i == 0 && !(std::abs(r.ticks[0] - r.full_lines.at(0)) < near))
      return testing::AssertionFailure() << "the scale does not start at the datum";
  }
  const double found = datum_to_mark(pages);
  if (!(std::abs(found - mark_mm) < near))
    return testing::AssertionFailure() << "datum to mark is " << found << " mm, wanted " << mark_mm;
  return testing::AssertionSuccess();
}

}  // namespace peepwright::test
