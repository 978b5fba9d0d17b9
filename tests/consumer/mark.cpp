// SPDX-License-Identifier: GPL-3.0-or-later
// The mark on the string and its uncertainty, from input files, by the installed numeric engine and nothing else.
#include <cstdio>

#include "engine/bow/draw_estimate.hpp"
#include "engine/fit/budget.hpp"
#include "engine/fit/fit.hpp"

int main(int argc, char** argv) {
  try {
    peepwright::Spec spec = peepwright::read_spec({argv + 1, argv + argc});
    peepwright::use_draw_cycle(spec);
    const peepwright::CoreFit fit = peepwright::solve_core(spec);
    std::printf("%.4f %.4f\n", fit.mark_mm, peepwright::mark_budget(spec, fit).expanded_mm());
    return 0;
  } catch (const peepwright::Error& wrong) {
    std::fprintf(stderr, "%s\n", wrong.what());
    return static_cast<int>(wrong.code());
  }
}
