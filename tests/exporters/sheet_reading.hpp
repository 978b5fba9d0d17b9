// SPDX-License-Identifier: GPL-3.0-or-later
// What a person with a ruler would read off the printed strip.
#pragma once

#include <gtest/gtest.h>

#include "tests/exporters/pdf_reader.hpp"

namespace peepwright::test {

struct SheetReading {
  std::vector<double> full_lines;            ///< heights of whole lines from edge to edge of the strip, upwards
  std::vector<double> match_lines;           ///< the same for dashed ones
  std::vector<double> ticks;                 ///< heights of the ticks along the strip's left edge, upwards
  std::vector<double> inch_ticks;            ///< and along its right edge
  std::vector<double> bars_across, bars_up;  ///< lengths of the check bars, ascending
  Extent cut;                                ///< the outline
};

/// From the vectors of a page. The strip is the tall closed outline farthest left.
SheetReading read_sheet(const PdfPage& page);

/// Datum to mark over all sheets, put together at the match lines; NaN when lines are missing.
double datum_to_mark(const std::vector<PdfPage>& pages);

/// From the pixels of a page: heights of full lines but for the cut, from the lower one up, and the bars.
SheetReading read_raster(const Raster& raster);

/// Bars, scales and the mark are true, on every page, within 0.05 mm.
testing::AssertionResult sheet_is_one_to_one(const std::string& pdf, double mark_mm);

}  // namespace peepwright::test

#define EXPECT_SHEET_IS_ONE_TO_ONE(pdf, mark_mm) EXPECT_TRUE(peepwright::test::sheet_is_one_to_one(pdf, mark_mm))
