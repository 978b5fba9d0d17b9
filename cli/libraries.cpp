// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/libraries.hpp"

#define POINTERHOLDER_TRANSITION 4  // qpdf warns without

#include <CGAL/version.h>
#include <cairo.h>
#include <ceres/version.h>
#include <dl_dxf.h>
#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <hb.h>
#include <oneapi/tbb/version.h>
#include <pango/pango.h>
#include <toml++/toml.h>
#include <zlib.h>

#include <CLI/Version.hpp>
#include <Eigen/Core>
#include <Standard_Version.hxx>
#include <boost/preprocessor/stringize.hpp>
#include <boost/version.hpp>
#include <nlohmann/json.hpp>
#include <qpdf/QPDF.hh>

#include "exporters/report/report.hpp"

namespace peepwright::cli {
namespace {

std::string dotted(int major, int minor, int patch) { return fmt::format("{}.{}.{}", major, minor, patch); }

/// For numbers that hold the three parts as decimal digits.
std::string decimal_parts(int number, int per_major, int per_minor) {
  return dotted(number / per_major, number % per_major / per_minor, number % per_minor);
}

}  // namespace

std::vector<Library> libraries() {
  return {
      {"OpenCASCADE", OCC_VERSION_COMPLETE},
      {"CGAL", BOOST_PP_STRINGIZE(CGAL_VERSION)}, {"Cairo", cairo_version_string()}, {"Pango", pango_version_string()},
       {"HarfBuzz", hb_version_string()}, {"Fontconfig", decimal_parts(FcGetVersion(), 10000, 100)},
       {"qpdf", QPDF::QPDFVersion()}, {"dxflib", DL_VERSION}, {"zlib", zlibVersion()},
       {"oneTBB", TBB_runtime_version()}, {"Boost", decimal_parts(BOOST_VERSION, 100000, 100)},
       {"Eigen", dotted(EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION, EIGEN_MINOR_VERSION)},
       {"Ceres", CERES_VERSION_STRING}, {"toml++", dotted(TOML_LIB_MAJOR, TOML_LIB_MINOR, TOML_LIB_PATCH)},
       {"nlohmann/json", dotted(NLOHMANN_JSON_VERSION_MAJOR, NLOHMANN_JSON_VERSION_MINOR, NLOHMANN_JSON_VERSION_PATCH)},
       {"CLI11", CLI11_VERSION}, {"fmt", decimal_parts(FMT_VERSION, 10000, 100)},
      };
}

std::string version_text() {
  std::string text = fmt::format("peepwright {}", version());
  for (const Library& library : libraries()) text += fmt::format("\n{} {}", library.name, library.version);
  return text;
}

}  // namespace peepwright::cli
