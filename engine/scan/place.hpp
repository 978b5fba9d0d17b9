// SPDX-License-Identifier: GPL-3.0-or-later
// Where a scan's own axes lie in the head frame F.
#pragma once

#include <string>
#include <vector>

#include "engine/face/landmark.hpp"
#include "engine/solid/shape.hpp"
#include "engine/spec/spec.hpp"

namespace peepwright::scan {

/// A landmark on the scan and where it ought to lie.
struct Pick {
  Landmark landmark{};
  bool left = false;  ///< meaningless on the midline
  bool midline = false;
  Point3 on_scan;    ///< scan's axes, mm
  std::string name;  ///< of the key, for messages

  /// Its place on `face`.
  [[nodiscard]] Point3 on(const Face& face) const;
};

/// Picks of the spec's marks; names are "cheilion_left", "pronasale".
std::vector<Pick> picks_of(const ScanSource& source);

/// The scan's rigid placement: the pupils' middle comes to lie in the origin, as frame F says; about it the scan is
/// turned so that all picks lie as near to `face`'s landmarks as can be, in the least-squares sense (Kabsch, Acta
/// Cryst. A 32 (1976) 922). Nothing is scaled. Throws Error(input): pupils not 45 to 80 mm apart (with the unit that
/// would fit), left and right changed over, picks that are no face.
solid::Pose place_scan(const std::vector<Pick>& picks, const Face& face, const ScanSource& source);

}  // namespace peepwright::scan
