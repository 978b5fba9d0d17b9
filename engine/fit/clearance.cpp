// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/fit/clearance.hpp"

namespace peepwright {

std::string_view text_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::clear: return "clear";
    case Verdict::tight: return "tight";
    case Verdict::touching: return "touching";
  }
  return "";
}

Clearance room(std::string name, double distance_mm, double wanted_mm) {
  Clearance out;
  out.name = std::move(name);
  out.distance_mm = distance_mm;
  out.wanted_least_mm = wanted_mm;
  out.met = distance_mm >= wanted_mm;
  out.verdict = distance_mm <= 0 ? Verdict::touching : out.met ? Verdict::clear : Verdict::tight;
  return out;
}

Clearance contact(std::string name, double distance_mm, const GapRange& wanted) {
  Clearance out;
  out.name = std::move(name);
  out.distance_mm = distance_mm;
  out.wanted_least_mm = wanted.least.mm();
  out.wanted_most_mm = wanted.most.mm();
  out.met = distance_mm >= wanted.least.mm() && distance_mm <= wanted.most.mm();
  out.verdict = distance_mm <= 0 ? Verdict::touching : Verdict::clear;
  return out;
}

}  // namespace peepwright
