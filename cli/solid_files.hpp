// SPDX-License-Identifier: GPL-3.0-or-later
// Files of solids, each read again and compared before it goes out, and what is begun beside the report.
#pragma once

#include <future>
#include <string>
#include <vector>

#include "cli/case.hpp"
#include "cli/command_line.hpp"
#include "exporters/file/output_set.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "exporters/step/step.hpp"
#include "exporters/view/scene.hpp"

namespace peepwright::cli {

// Each throws Error(internal) when what is read again is not what was written.
std::string checked_step(const std::vector<solid::Part>& parts, const StepOptions& options);
std::string checked_glb(const std::vector<NamedMesh>& meshes);
std::string checked_stl(const std::vector<NamedMesh>& meshes);
std::string checked_threemf(const std::vector<NamedMesh>& meshes);

/// A fit with its solids: all that files of solids and drawings are made of.
struct Solids {
  Fit fit;
  std::vector<solid::Part> parts;
};
Solids solids_of(const Case& job);

/// assembly.step, named after the bow.
std::string assembly_step(const Solids& solids);

/// Solids, picture and sheet of a fit. They take several times as long as the numbers and hang on few of them, so that
/// they are begun first and beside one another. The files come out in one order all the same.
class SolidFiles {
 public:
  /// `arguments` and `job` must outlive it.
  SolidFiles(const Arguments& arguments, const Case& job);
  /// All of the files or, where one cannot be made and this throws, none.
  void add_to(OutputSet& outputs, const FitReport& report);

 private:
  const Arguments& arguments_;
  std::shared_future<Solids> solids_;
  std::shared_future<SideScene> scene_;
  std::future<std::string> step_;
};
/// Of an earlier mark they must not stay beside a fit that could not make them.
void retire_solid_files(OutputSet& outputs);

/// The rigid gauge as STEP, STL and 3MF. A mark too near the nock for one is no mistake of the user's: then the files
/// of an earlier run go, and the reason comes back in words.
std::string add_clip_gauge(const Fit& fit, OutputSet& outputs);
/// A rigid gauge of an earlier mark must not stay beside a new fit.
void retire_clip_gauge(OutputSet& outputs);

}  // namespace peepwright::cli
