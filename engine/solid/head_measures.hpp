// SPDX-License-Identifier: GPL-3.0-or-later
// What callipers and a tape would read on a head's skin.
#pragma once

#include "engine/solid/skin.hpp"

namespace peepwright::solid {

struct HeadMeasuresOf {
  double length_mm = 0;          ///< glabella to the rearmost point of the back of the head
  double breadth_mm = 0;         ///< greatest width above the ears
  double circumference_mm = 0;   ///< tape (it bridges hollows) through glabella and the back of the head
  double bizygomatic_mm = 0;     ///< between the cheekbones' landmarks
  double bigonial_mm = 0;        ///< between the jaw angles
  double menton_sellion_mm = 0;  ///< under-chin to nose root, straight
  double bitragion_chin_arc_mm = 0,
         bitragion_subnasale_arc_mm = 0;  ///< tape from ear to ear over the chin point, under the nose
};

HeadMeasuresOf measures_of(const Skin& skin);

}  // namespace peepwright::solid
