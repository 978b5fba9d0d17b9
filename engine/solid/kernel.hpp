// SPDX-License-Identifier: GPL-3.0-or-later
// The one door to the geometry kernel: its exceptions become Errors, its results are checked. Only .cpp files of
// rooms that speak to the kernel include this.
#pragma once

#include <Standard_Failure.hxx>
#include <TopoDS_Shape.hxx>
#include <memory>
#include <string>
#include <string_view>

#include "engine/quantity/error.hpp"
#include "engine/solid/shape.hpp"

namespace peepwright::solid {

struct Shape::Kernel {
  TopoDS_Shape shape;
  std::shared_ptr<const TriangleMesh> mesh;  ///< a finer, structured mesh where one exists
  double volume_mm3 = 0;  ///< measured by wrap(), which lets sound solids pass alone; 0: never checked
};

namespace kernel {

/// The kernel prints banners to stdout unless told not to. Called by guarded(); cheap.
void hush();

[[noreturn]] void fail(std::string_view tried, std::string_view kernel_text);

/// Runs `work`; what the kernel throws becomes Error(internal) that says what was tried.
template <class Work>
auto guarded(std::string_view tried, Work&& work) {
  hush();
  try {
    return work();
  } catch (const Standard_Failure& failure) {
    const char* text = failure.GetMessageString();
    fail(tried, std::string(failure.DynamicType()->Name()) + (text && *text ? std::string(": ") + text : ""));
  }
}

/// What is wrong with `shape` as one closed valid solid of positive volume; empty when nothing is.
std::string unsound(const TopoDS_Shape& shape);

/// A box that holds the shape but need not be tight: cheap, and the same for the same geometry.
Box quick_box(const TopoDS_Shape& shape);

/// Quick. The rule behind it depends on how trimmed faces are parametrised, by 3e-5 where a solid was mirrored.
double volume(const TopoDS_Shape& shape);
/// Refined until it is right to 1e-8 of itself. Slow: a second for a whole assembly.
double exact_volume(const TopoDS_Shape& shape);

/// Wraps one solid; `tried` names the part and its sizes. Throws Error(internal) when it is not sound.
Shape wrap(const TopoDS_Shape& shape, std::string_view tried, std::shared_ptr<const TriangleMesh> mesh = nullptr);

}  // namespace kernel
}  // namespace peepwright::solid
