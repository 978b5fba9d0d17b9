// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the sample strip to standard output, so that a test can compare processes: pdf, svg or dxf.
#include <clocale>
#include <iostream>

#include "tests/exporters/strip_sample.hpp"

int main(int argc, char** argv) {
  using namespace peepwright;
  std::setlocale(LC_ALL, "");  // as an embedding program might
  const std::string kind = argc > 1 ? argv[1] : "pdf";
  const StripData data = test::strip_sample();
  if (kind == "pdf") std::cout << strip_pdf(data, Paper::a4);
  if (kind == "svg") std::cout << strip_svg(data, Paper::a4).at(0);
  if (kind == "dxf") std::cout << strip_dxf(data);
}
