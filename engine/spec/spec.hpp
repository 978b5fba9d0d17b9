// SPDX-License-Identifier: GPL-3.0-or-later
// A spec: everything known, wished and assumed about one archer, one bow and one arrow.
#pragma once

#include <array>
#include <initializer_list>
#include <optional>
#include <string>
#include <vector>

#include "engine/quantity/error.hpp"
#include "engine/quantity/quantity.hpp"
#include "engine/spec/key.hpp"

namespace peepwright {

enum class Hand { right, left };
enum class Build { adult_mean, adult_male, adult_female };

std::string_view text_of(Build build);
std::string_view text_of(Hand hand);

/// Labels in one line: those that are not empty, `between` them.
std::string joined_labels(std::initializer_list<std::string_view> labels, std::string_view between);

/// Where a value came from.
enum class Status { absent, given, assumed, chosen };

/// One numeric input, in the internal unit of its key.
struct Input {
  double value = 0;
  double uncertainty = 0;  ///< standard uncertainty, same unit
  Status status = Status::absent;
  bool uncertainty_given = false;  ///< a person set it; no room may replace it
  Location where;                  ///< of a given value
  std::string_view unit;           ///< the unit a given value was written in, for messages
  std::string_view reason;  ///< why an assumed value is what it is, where a room found a better one than the table
};

/// Wanted gap for a contact: `least` < 0 lets it press.
struct GapRange {
  Length least, most;
};

/// One reading of a draw-force table. The draw counts as `bow.draw_length` does.
struct ForceReading {
  Length draw;
  Force force;
  Location where;
};

/// One landmark as a person picked it on a scan.
struct ScanMark {
  std::string name;                  ///< of the key: "cheilion_left"
  std::array<double, 3> place_mm{};  ///< in the scan's own axes
  Location where;
};

/// A scan of the head, as the files name it. Nothing is read here.
struct ScanSource {
  std::string name;  ///< as it was typed
  std::string file;  ///< with its folder: relative names count from the TOML file's
  double unit_mm = 0;
  std::vector<ScanMark> marks;
  Location where;

  /// Whether the scan, with the landmarks that were picked on it, measures `key`.
  [[nodiscard]] bool gives(Key key) const;
};

/// A landmark of a scan that was placed in the head frame F; left side, "cheilion".
struct PlacedMark {
  std::string name;
  std::array<double, 3> place_mm{};
};

/// Copyable value. A fresh one holds only what is assumed or chosen; `read_spec` fills in the rest.
class Spec {
 public:
  Spec();

  [[nodiscard]] const Input& operator[](Key key) const { return inputs_[index_of(key)]; }
  [[nodiscard]] bool has(Key key) const { return (*this)[key].status != Status::absent; }
  [[nodiscard]] bool given(Key key) const { return (*this)[key].status == Status::given; }

  /// The value in the internal unit (mm, rad, kg, m/s, N, 1). The key must be present.
  [[nodiscard]] double value(Key key) const { return (*this)[key].value; }
  [[nodiscard]] std::optional<double> maybe(Key key) const;

  /// Gives `key` a value as if a person had; the internal unit. Messages speak in `unit`, in which it was written.
  /// Throws Error(input) outside the accepted range.
  void give(Key key, double internal_value, const Location& where = {}, std::string_view unit = {});
  /// Sets the standard uncertainty. One that a person gave (`by_person`) is not replaced by a room's own later.
  void set_uncertainty(Key key, double standard_uncertainty, bool by_person = false);
  /// Puts a computed estimate in the place of an assumption, with its reason; leaves a given value alone.
  void assume(Key key, double internal_value, double standard_uncertainty, std::string_view reason);
  /// Makes assumptions fit what is given. Nobody draws an arrow off its rest: one that was not measured is assumed no
  /// shorter than an inch more than the draw to the pivot, as far as arrows go. Knots of the loop sit outside the nock.
  /// To be called again when draw or nock was changed.
  void suit_assumptions();
  /// Takes a value a person gave away again: back to what is assumed, chosen or absent.
  void forget(Key key);
  /// For sensitivities: moves a present value with no check and without making it a given one.
  void nudge(Key key, double by) { inputs_[index_of(key)].value += by; }

  std::string archer_label, bow_label, arrow_label;
  std::string two_bows;  ///< whose numbers count where two files each told a bow, in words; else empty
  Hand hand = Hand::right;
  Build build = Build::adult_mean;
  bool travel_from_draw_cycle = false;  ///< the assumed axle travel was computed, not taken from the table
  /// Upper and lower leg of the draw cycle less the angle that its mean travel and radii give; 0 where it was not
  /// asked.
  std::array<double, 2> legs_off_means_rad{};
  bool draw_length_includes_offset = true;  ///< false: `bow.draw_length` already ends at the pivot
  std::optional<ScanSource> scan;
  std::vector<PlacedMark> placed_marks;  ///< from the scan; make_face puts its landmarks there
  std::vector<ForceReading> force_draw;  ///< measured, in rising draw; empty: none
  /// Standard uncertainty of each reading, where a person gave it.
  std::optional<Force> force_draw_uncertainty;
  std::vector<Length> peep_bores;
  std::vector<Length> mark_distances;  ///< empty: near to far in round steps
  /// Whether whoever asks speaks in yards; tells which steps are round where no distance is given, and nothing else.
  bool speaks_in_yards = false;
  GapRange wanted_string_nose, wanted_string_mouth;

  /// x of the grip pivot in W: the draw length less 1 3/4 in (ATA FP-3, ASTM F1880), or as it is.
  [[nodiscard]] Length pivot_x() const;
  /// The same of any draw that counts as `bow.draw_length` does, and back.
  [[nodiscard]] Length to_pivot(Length draw) const { return Length::mm(draw.mm() - draw_offset().mm()); }
  [[nodiscard]] Length from_pivot(Length draw) const { return Length::mm(draw.mm() + draw_offset().mm()); }

 private:
  void suit_assumed_arrow();
  [[nodiscard]] Length draw_offset() const;
  std::array<Input, key_count> inputs_;
};

/// Reads TOML files and merges them left to right: a later file replaces single keys of an earlier one.
/// Throws Error(input) with file:line:column, the key, what is wrong and what is accepted.
Spec read_spec(const std::vector<std::string>& files);

/// As `read_spec`, from texts: pairs of (name for messages, TOML).
Spec parse_spec(const std::vector<std::pair<std::string, std::string>>& texts);

/// Refuses what cannot be: brace height beyond the draw, near beyond far, half-given pairs … Throws Error(input).
void check_spec(const Spec& spec);

/// What is wrong with `internal_value` as a value of `key`, told in `unit` where it has one: "844.55 mm cannot be;
/// accepted is 20 mm to 450 mm". None when it is within the key's range.
std::optional<std::string> range_fault(Key key, double internal_value, std::string_view unit = {});

/// Angles to the arrow that a string's leg can have at full draw, in degrees, however they were found.
inline constexpr double least_leg_deg = 24, most_leg_deg = 68;

/// Why a peep's height at full draw and its mark at rest (top of the nock to its centre) cannot be of one string, as
/// the end of a sentence about the two; none when they can. Nock and stretch are `spec`'s.
std::optional<std::string> tied_pair_fault(const Spec& spec, double height_mm, double mark_mm);

/// A draw-force table of fewer readings says too little of the cams.
inline constexpr std::size_t least_force_readings = 6;

/// Files larger than this are refused unread.
inline constexpr std::size_t largest_spec_bytes = 1 << 20;

}  // namespace peepwright
