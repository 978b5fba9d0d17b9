// SPDX-License-Identifier: GPL-3.0-or-later
// What commands share: units, the note of what was written, and drawings as files.
#pragma once

#include "cli/command_line.hpp"
#include "exporters/file/output_set.hpp"
#include "exporters/report/report.hpp"
#include "exporters/view/side_view.hpp"

namespace peepwright::cli {

PaperUnits units_of(const Arguments& arguments);

/// "Written to …", unless quiet or JSON was asked for.
void say_written(const Arguments& arguments, const OutputSet& outputs);

/// A "Mind:" line each, unless quiet or JSON was asked for.
void say_notes(const Arguments& arguments, const std::vector<std::string>& notes);

SvgLetters letters_of(const Arguments& arguments);

/// NAME.pdf, .svg and .png of a one-page drawing.
void add_drawing(const Arguments& arguments, const std::string& name, const std::string& title, const Canvas& canvas,
                 OutputSet& outputs);

/// side-view.pdf, .svg and .png.
void add_side_view(const Arguments& arguments, const Fit& fit, const SideScene& scene,
                   const std::vector<Warning>& warnings, OutputSet& outputs);

/// fit-sheet.pdf.
void add_fit_sheet(const Arguments& arguments, const FitReport& report, const SideScene& scene, OutputSet& outputs);

}  // namespace peepwright::cli
