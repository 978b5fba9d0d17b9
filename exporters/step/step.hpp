// SPDX-License-Identifier: GPL-3.0-or-later
// STEP AP242 of an assembly: one product with one solid for each part, names and colours on both, millimetres.
//
// For programs that use the geometry kernel themselves. Its STEP code keeps its settings for the whole process: while
// one of these functions runs, "write.step.schema", "write.stepcaf.subshapes.name", "write.surfacecurve.mode" and the
// container of XSAlgo are ours; before it returns or throws they are what they were. And linking this room puts a
// function of ours in the place of the kernel's OSD_Process::SystemDate: it gives 1 January 1979 whatever the clock
// says, for the kernel asks for the date of a header that we overwrite, and fails on a machine whose clock stands
// before that day.
#pragma once

#include <string>
#include <vector>

#include "engine/solid/shape.hpp"

namespace peepwright {

struct StepOptions {
  std::string assembly_name = "peepwright assembly";
  std::string description = "Archer's head and compound bow at full draw";
  /// Date in the header, ISO 8601. Part of the bytes, so it is an input and never the clock.
  std::string time_stamp = "1970-01-01T00:00:00";
};

/// The STEP file's text. The same parts give the same bytes, in any process.
/// Throws Error(internal), naming the part, when a part is not one sound solid, has no name or one that is taken.
std::string step_text(const std::vector<solid::Part>& parts, const StepOptions& options = {});

/// Throws Error(internal) with the first difference unless `text`, read again by the kernel, holds the parts: number of
/// solids, names, colours, volumes within 1e-6 and boxes within 1e-3 mm. Only ever give it what step_text made: the
/// kernel's reader does not survive damaged files.
void check_step(const std::string& text, const std::vector<solid::Part>& parts);

}  // namespace peepwright
