// SPDX-License-Identifier: GPL-3.0-or-later
#include "engine/face/landmark.hpp"

namespace peepwright {
namespace {

struct Names {
  std::string_view standard, plain;
};

constexpr std::array<Names, landmark_count> names{{
    {"pupil", "pupil"},
    {"corneal-apex", "front of the eye"},
    {"glabella", "brow"},
    {"sellion", "root of the nose"},
    {"pronasale", "nose tip"},
    {"alare", "wing of the nose"},
    {"subnasale", "base of the nose"},
    {"labrale-superius", "upper lip"},
    {"stomion", "line between the lips"},
    {"cheilion", "mouth corner"},
    {"labrale-inferius", "lower lip"},
    {"sublabiale", "hollow between lower lip and chin"},
    {"pogonion", "chin point"},
    {"menton", "under-chin"},
    {"gonion", "jaw angle"},
    {"tragion", "ear"},
    {"orbitale", "lower rim of the eye socket"},
    {"ectoorbitale", "outer rim of the eye socket"},
    {"exocanthion", "outer corner of the eye"},
    {"endocanthion", "inner corner of the eye"},
    {"zygion", "cheekbone"},
    {"frontotemporale", "temple"},
    {"crinion", "hairline"},
    {"vertex", "top of the head"},
    {"opisthocranion", "back of the head"},
    {"eurion", "side of the head"},
}};

}  // namespace

std::string_view name_of(Landmark landmark) { return names[static_cast<std::size_t>(landmark)].standard; }
std::string_view plain_name_of(Landmark landmark) { return names[static_cast<std::size_t>(landmark)].plain; }

std::string_view text_of(LandmarkOrigin origin) {
  switch (origin) {
    case LandmarkOrigin::measured: return "measured";
    case LandmarkOrigin::moved_with_measured: return "moved with what was measured";
    case LandmarkOrigin::percentile: return "from the percentile";
    case LandmarkOrigin::mean: return "adult mean";
  }
  return "";
}

}  // namespace peepwright
