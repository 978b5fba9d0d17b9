// SPDX-License-Identifier: GPL-3.0-or-later
// One target as libFuzzer calls it. Built once for each, with PEEPWRIGHT_FUZZ_TARGET as its name.
#include <cstddef>
#include <cstdint>

#include "tests/fuzz/targets.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  peepwright::fuzz::PEEPWRIGHT_FUZZ_TARGET({reinterpret_cast<const char*>(data), size});
  return 0;
}
