// SPDX-License-Identifier: GPL-3.0-or-later
// Quantities that know their dimension. No bare double crosses a public boundary as a length or an angle:
// a value is made by a named factory and read back by a named accessor, so its unit is always written down.
#pragma once

#include <compare>
#include <numbers>

namespace peepwright {

/// Exact by definition (international inch, grain, pound-force; ISO 80000-3/-4).
namespace unit {
inline constexpr double inch_mm = 25.4;
inline constexpr double foot_mm = 12 * inch_mm;
inline constexpr double yard_mm = 36 * inch_mm;
inline constexpr double grain_kg = 64.79891e-6;
inline constexpr double standard_gravity = 9.80665;  // m/s²
inline constexpr double pound_force_n = 0.45359237 * standard_gravity;
inline constexpr double degree_rad = std::numbers::pi / 180;
}  // namespace unit

/// Millimetres inside.
class Length {
 public:
  constexpr Length() = default;
  static constexpr Length mm(double v) { return Length(v); }
  static constexpr Length m(double v) { return Length(v * 1000); }
  static constexpr Length in(double v) { return Length(v * unit::inch_mm); }
  [[nodiscard]] constexpr double mm() const { return v_; }
  [[nodiscard]] constexpr double m() const { return v_ / 1000; }
  [[nodiscard]] constexpr double in() const { return v_ / unit::inch_mm; }
  auto operator<=>(const Length&) const = default;

 private:
  explicit constexpr Length(double v) : v_(v) {}
  double v_ = 0;
};

/// Radians inside.
class Angle {
 public:
  constexpr Angle() = default;
  static constexpr Angle rad(double v) { return Angle(v); }
  static constexpr Angle deg(double v) { return Angle(v * unit::degree_rad); }
  [[nodiscard]] constexpr double rad() const { return v_; }
  [[nodiscard]] constexpr double deg() const { return v_ / unit::degree_rad; }
  auto operator<=>(const Angle&) const = default;

 private:
  explicit constexpr Angle(double v) : v_(v) {}
  double v_ = 0;
};

/// Inside a room an angle is often a double whose name ends in its unit.
constexpr double degrees(double rad) { return Angle::rad(rad).deg(); }

/// Kilograms inside.
class Mass {
 public:
  constexpr Mass() = default;
  static constexpr Mass kg(double v) { return Mass(v); }
  static constexpr Mass grain(double v) { return Mass(v * unit::grain_kg); }
  [[nodiscard]] constexpr double kg() const { return v_; }
  [[nodiscard]] constexpr double grain() const { return v_ / unit::grain_kg; }
  auto operator<=>(const Mass&) const = default;

 private:
  explicit constexpr Mass(double v) : v_(v) {}
  double v_ = 0;
};

/// Metres a second inside.
class Speed {
 public:
  constexpr Speed() = default;
  static constexpr Speed m_s(double v) { return Speed(v); }
  static constexpr Speed ft_s(double v) { return Speed(v * unit::foot_mm / 1000); }
  [[nodiscard]] constexpr double m_s() const { return v_; }
  [[nodiscard]] constexpr double ft_s() const { return v_ / (unit::foot_mm / 1000); }
  auto operator<=>(const Speed&) const = default;

 private:
  explicit constexpr Speed(double v) : v_(v) {}
  double v_ = 0;
};

/// Newtons inside.
class Force {
 public:
  constexpr Force() = default;
  static constexpr Force n(double v) { return Force(v); }
  static constexpr Force lbf(double v) { return Force(v * unit::pound_force_n); }
  [[nodiscard]] constexpr double n() const { return v_; }
  [[nodiscard]] constexpr double lbf() const { return v_ / unit::pound_force_n; }
  auto operator<=>(const Force&) const = default;

 private:
  explicit constexpr Force(double v) : v_(v) {}
  double v_ = 0;
};

}  // namespace peepwright
