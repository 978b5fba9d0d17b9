// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the sample assembly as STEP `argv[2]` times over and keeps the last text: bytes must not depend on the process
// nor on what it wrote before.
#include <cstdlib>
#include <fstream>

#include "exporters/step/step.hpp"
#include "tests/engine/solid_test_assembly.hpp"

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const auto in = peepwright::test::sample_assembly();
  const auto parts = peepwright::solid::assembly_parts(peepwright::solid::HeadModel(in.face), in);
  std::string text;
  for (int k = 0; k < std::atoi(argv[2]); ++k) text = peepwright::step_text(parts);
  std::ofstream(argv[1], std::ios::binary) << text;
  return 0;
}
