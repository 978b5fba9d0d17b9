// SPDX-License-Identifier: GPL-3.0-or-later
// Random numbers that are a function of seed, variant and draw, so that any slice of a sweep on any machine draws the
// same ones.
#pragma once

#include <cstdint>

namespace peepwright {

/// A bijection of 64 bits that leaves no pattern (the finaliser of Steele, Lea & Flood, Fast splittable pseudorandom
/// number generators, OOPSLA 2014; constants from memory).
constexpr std::uint64_t scrambled(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15u;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
  return x ^ (x >> 31);
}

/// Uniform over (0, 1), never either end.
constexpr double uniform(std::uint64_t seed, std::uint64_t variant, std::uint64_t draw) {
  const std::uint64_t bits = scrambled(scrambled(scrambled(seed) ^ variant) ^ draw);
  return (static_cast<double>(bits >> 11) + 0.5) * 0x1p-53;
}

/// Place of `index` in a shuffle of 0 … count − 1, without the shuffle being held in memory: a four-round Feistel
/// network over the next power of four, walked until it falls inside (cycle walking; Black & Rogaway 2002).
constexpr std::uint64_t shuffled(std::uint64_t index, std::uint64_t count, std::uint64_t seed) {
  unsigned half = 1;
  while (half < 31 && (std::uint64_t{1} << (2 * half)) < count) ++half;
  const std::uint64_t mask = (std::uint64_t{1} << half) - 1;
  std::uint64_t x = index;
  do {
    std::uint64_t left = x >> half, right = x & mask;
    for (std::uint64_t round = 0; round < 4; ++round) {
      const std::uint64_t next = left ^ (scrambled(scrambled(seed ^ (round << 56)) ^ right) & mask);
      left = right;
      right = next;
    }
    x = (left << half) | right;
  } while (x >= count);
  return x;
}

}  // namespace peepwright
