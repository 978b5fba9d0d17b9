// SPDX-License-Identifier: GPL-3.0-or-later
// Shape by hand: rings from crown to neck, each a blunt oval in its own plane, and a relief pushed forward on the
// face. The numbers are drawn to look right; what must be right to the millimetre is bent into place afterwards.
#include "engine/solid/head_template.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/solid/spline_table.hpp"

namespace peepwright::solid {
namespace {

constexpr double pi = std::numbers::pi;

double bell(double v, double width) { return std::exp(-(v / width) * (v / width)); }

/// 0 below `from`, 1 above `to`, two continuous derivatives.
double smooth_step(double from, double to, double v) {
  const double s = std::clamp((v - from) / (to - from), 0.0, 1.0);
  return s * s * s * (10 + s * (6 * s - 15));
}

double smooth_max(double a, double b, double softness) {
  return 0.5 * (a + b + std::sqrt((a - b) * (a - b) + softness * softness));
}

// Three tables over t, with no more rows than the shape needs: fewer rows, fewer ripples.

/// Midline in front (x, z).
struct FrontRow {
  double t, x, z;
};
/// Midline behind (x, z).
struct BackRow {
  double t, x, z;
};
/// Half width, x of the greatest width, and how blunt the oval is in front and behind (2 is an ellipse).
struct OvalRow {
  double t, half_width, widest_x, blunt_front, blunt_back;
};

struct Ring {
  double front_x, front_z, back_x, back_z, half_width, widest_x, blunt_front, blunt_back;
};

class Rings {
 public:
  Rings() : front_(make_front()), back_(make_back()), oval_(make_oval()) {}

  [[nodiscard]] Ring at(double t) const {
    const auto f = front_.at(t);
    const auto b = back_.at(t);
    const auto o = oval_.at(t);
    return {f[0], f[1], b[0], b[1], o[0], o[1], o[2], o[3]};
  }

 private:
  // The skull cap: front and back profiles are quarter ellipses about (-93, 21), so equal steps of their angle make
  // a round crown. The first angle lies beyond the crown, to shape the splines there.
  static constexpr double cap_degrees[] = {-13.0, 1.2, 15.0, 30.0, 45.0, 60.0, 75.0};
  static double cap_t(double degrees) { return (degrees - 1.2) / 73.8 * 0.22; }
  static double cap_z(double degrees) { return 21 + 96 * std::cos(degrees * pi / 180); }

  static SplineTable<2> make_front() {
    std::vector<double> t;
    std::vector<std::array<double, 2>> rows;
    for (const double degrees : cap_degrees) {
      t.push_back(cap_t(degrees));
      rows.push_back({-93 + 111.5 * std::sin(degrees * pi / 180), cap_z(degrees)});
    }
    // clang-format off
    for (const FrontRow& r : std::initializer_list<FrontRow>{
             {0.270, 17.6, 21},    {0.330, 14, 5},        {0.405, 9, -14},    {0.490, 8.5, -35},
             {0.580, 12.6, -58},   {0.630, 13.5, -70},    {0.670, 13.2, -80}, {0.710, 12.5, -90},
             {0.750, 10.5, -100},  {0.785, 6.5, -109},    {0.815, -0.5, -115.6}, {0.845, -12, -119.8},
             {0.875, -26, -123.5}, {0.905, -38.5, -129},  {0.930, -45.5, -138}, {0.955, -50, -152},
             {0.978, -53, -173},   {1.000, -57, -196}}) {
      // clang-format on
      t.push_back(r.t);
      rows.push_back({r.x, r.z});
    }
    return {t, rows};
  }

  static SplineTable<2> make_back() {
    std::vector<double> t;
    std::vector<std::array<double, 2>> rows;
    for (const double degrees : cap_degrees) {
      t.push_back(cap_t(degrees));
      rows.push_back({-93 - 88.8 * std::sin(degrees * pi / 180), cap_z(degrees)});
    }
    // clang-format off
    for (const BackRow& r : std::initializer_list<BackRow>{{0.270, -181.8, 21},  {0.405, -176.5, -7},
                                                           {0.530, -166, -23},  {0.670, -155.0, -35},
                                                           {0.785, -146.5, -48},  {0.86, -141.5, -63},
                                                           {0.93, -139, -98},   {1.000, -150, -196}}) {
      // clang-format on
      t.push_back(r.t);
      rows.push_back({r.x, r.z});
    }
    return {t, rows};
  }

  static SplineTable<4> make_oval() {
    std::vector<double> t;
    std::vector<std::array<double, 4>> rows;
    for (const double degrees : cap_degrees) {
      const double s = std::sin(degrees * pi / 180);
      const double above = std::max(0.0, (cap_z(degrees) - 33) / 84.02);
      t.push_back(cap_t(degrees));
      rows.push_back({77.3 * std::copysign(std::sqrt(1 - std::pow(above, 2.35)), s), -93 - 5 * std::abs(s), 2.2, 2.2});
    }
    for (const OvalRow& r : std::initializer_list<OvalRow>{{0.270, 76.8, -98, 2.25, 2.2},
                                                           {0.405, 73, -88, 2.5, 2.2},
                                                           {0.530, 67.5, -76, 2.3, 2.2},
                                                           {0.670, 61.5, -68, 1.95, 2.1},
                                                           {0.815, 58.0, -67, 1.85, 2.1},
                                                           {0.905, 55, -84, 1.95, 2},
                                                           {1.000, 58, -102, 2, 2}}) {
      t.push_back(r.t);
      rows.push_back({r.half_width, r.widest_x, r.blunt_front, r.blunt_back});
    }
    return {t, rows};
  }

  SplineTable<2> front_, back_;
  SplineTable<4> oval_;
};

/// Point of the bare oval at azimuth `phi` (0 in front, pi behind).
Point3 oval(const Ring& ring, double phi) {
  const auto& [front_x, front_z, back_x, back_z, half_width, widest_x, blunt_front, blunt_back] = ring;
  const double c = std::cos(phi), s = std::sin(phi);
  const double blunt = blunt_back + (blunt_front - blunt_back) * 0.5 * (1 + c);
  // The rounding keeps exponents below 2 smooth where the oval crosses the midline.
  const auto power = [&](double v) { return std::pow(v * v + 0.02, blunt / 2); };
  const double unity = std::pow(std::pow(1.02, blunt / 2) + std::pow(0.02, blunt / 2), 1 / blunt);
  const double r = unity / std::pow(power(c) + power(s), 1 / blunt);
  const double q = r * c;
  const double ahead = front_x - widest_x, behind = widest_x - back_x;
  const double x = widest_x + q * (ahead + behind) / 2 + q * q * (ahead - behind) / 2;
  const double along = front_x - back_x != 0 ? (x - back_x) / (front_x - back_x) : 0.5;
  return {x, half_width * r * s, back_z + along * (front_z - back_z)};
}

/// Height of the nose's ridge above the face beside it, and the ridge's half width, down the face.
struct NoseRow {
  double z, height, width;
};

double nose(double y, double z) {
  static const SplineTable<2> table = [] {
    std::vector<double> depth;
    std::vector<std::array<double, 2>> rows;
    // clang-format off
    for (const NoseRow& r : std::initializer_list<NoseRow>{{30, 0, 9},      {18, 0, 9},       {10, 1.5, 8.5},
                                                           {4.9, 2.6, 8},   {-3, 6.5, 8},     {-12, 13.2, 9},
                                                           {-21, 19.5, 9.6}, {-29, 25.4, 10.2}, {-33, 27.9, 10.6},
                                                           {-36, 28.4, 10.8}, {-39, 26, 11}, {-42, 19.2, 11},
                                                           {-45, 11, 10.5},  {-48, 5.6, 10}, {-52, 2.6, 8},
                                                           {-58, 0.3, 7},   {-66, 0, 7},   {-75, 0, 7}}) {
      // clang-format on
      depth.push_back(-r.z);
      rows.push_back({r.height, r.width});
    }
    return SplineTable<2>(depth, rows);
  }();
  if (z > 28 || z < -70) return 0;
  const auto [table_height, width] = table.at(-z);
  const double height = table_height * smooth_step(28, 12, z) * smooth_step(-70, -56, z);
  const double tip = smooth_step(-18, -34, z);
  const double flank = std::pow(y * y / (width * width), 1.0 + 0.15 * tip);
  const double wing = 10.5 * tip * std::exp(-std::pow(std::abs(std::abs(y) - 12.8) / 6.2, 3)) * bell(z + 38.8, 5.8);
  const double crease = -1.2 * tip * bell(std::abs(y) - 23.0, 4.5) * bell(z + 41, 9);
  return height * std::exp(-flank) + wing + crease;
}

double lips(double y, double z) {
  const double half = 26.5;
  const double across = std::pow(smooth_step(half + 1, 0, std::abs(y)), 0.75);
  const double full = std::pow(across, 0.8);
  const double line =
      -69.6 - 1.6 * std::pow(y / half, 2) + 0.9 * bell(y, 6);  // the mouth's line, dipping at the corners
  const double above = z - line;
  const double upper = 9.4 * full * std::exp(-std::pow(std::abs(above - 6.0) / 6.2, 2.4)) * (1 - 0.12 * bell(y, 3.5));
  const double lower = 7.3 * std::pow(across, 0.9) * std::exp(-std::pow(std::abs(above + 6.0) / 6.2, 2.4));
  const double groove = -3.4 * std::pow(across, 0.35) * bell(above, 1.9);
  return upper + lower + groove;
}

/// Everything that stands forward of the ovals but the eyes, mm along +x.
double relief(double y, double z) {
  const double a = std::abs(y);
  double x = nose(y, z) + lips(y, z);
  x += 2.2 * bell(a - 29, 20) * bell(z - 17, 8.5);    // brow
  x -= 8.2 * bell(a - 32, 15) * bell(z + 1.5, 11.5);  // eye socket
  x -= 2.4 * bell(a - 16, 6.5) * bell(z + 4, 10);     // beside the root of the nose
  x += 2.0 * bell(a - 42, 14) * bell(z + 24, 11);     // cheekbone
  x -= 2.2 * bell(a - 44, 13) * bell(z + 62, 16);     // cheek
  x -= 3.6 * bell(y, 21) * bell(z + 88.5, 5.0);       // hollow under the lower lip
  x -= 4.4 * bell(a - 30, 14) * bell(z + 86, 8);      // its ends, below the mouth corners
  x += 3.0 * bell(y, 15) * bell(z + 101, 9.5);        // chin
  x += 3.4 * bell(a - 21, 10) * bell(z + 101, 8.5);   // and its corners
  return x;
}

/// A low ear, mm outwards: a tilted oval that rises from the cheek to its rim at the back. Soft enough for the
/// spacing of the skin's grid at the side of the head.
double ear(double x, double z) {
  constexpr double tilt = 0.22;
  const double dx = x + 97, dz = z + 12;
  const double back = -(dx * std::cos(tilt) + dz * std::sin(tilt)), up = dz * std::cos(tilt) - dx * std::sin(tilt);
  const double width = 19 + 5 * std::tanh(up / 20);  // narrower at the lobe
  const double r = std::sqrt(std::pow(back / width, 2) + std::pow(up / 31, 2));
  return 14 * smooth_step(-1.1, 0.9, back / width) * (1 - smooth_step(0.35, 1.2, r));
}

/// The lids: the skin follows a sphere a little larger than the eyeball, and opens along an almond.
double with_lids(double x, double y, double z) {
  const double dy = std::abs(y) - template_eye_centre.y, dz = z - template_eye_centre.z;
  const double off2 = dy * dy + dz * dz;
  if (off2 > 22 * 22) return x;
  constexpr double lid_radius = eyeball_radius_mm + 1.4;
  const double inside = lid_radius * lid_radius - off2;
  const double cap =
      inside > 16 ? std::sqrt(inside) : 4 - (16 - inside) / 8;  // straight on where the sphere turns away
  double skin = smooth_max(x, template_eye_centre.x + cap, 2.2);
  const LidOpening lids = lid_opening(dy);
  const double opening = smooth_step(-1.8, 1.6, lids.upper_mm - dz) * smooth_step(-1.8, 1.6, dz - lids.lower_mm) *
                         smooth_step(0, 0.3, lids.open);
  skin -= 4.0 * opening;
  return skin;
}

}  // namespace

LidOpening lid_opening(double aside_mm) {
  const double along = (aside_mm + 0.5) / 13.5;
  const double open = std::max(0.0, 1 - along * along);
  return {4.9 * std::pow(open, 0.75) - 0.6, -4.6 * open - 0.6, open};
}

Point3 template_point(SkinParameter at) {
  static const Rings rings;
  // Closer together on the face, where the detail is: sideways in front, and down from brow to chin.
  const double turn = at.u - std::floor(at.u);
  const double phi = 2 * pi * turn - 0.65 * std::sin(2 * pi * turn);
  constexpr double denser = 0.27, centre = 0.53;
  const auto wave = [](double t) { return std::sin(2 * pi * (t - centre + 0.5)); };
  const double t = at.t + denser / (2 * pi) * (wave(at.t) - wave(0));
  Point3 p = oval(rings.at(t), phi);
  const double facing =
      smooth_step(0.05, 0.45, std::cos(phi)) * smooth_step(0.10, 0.2, t) * (1 - smooth_step(0.80, 0.9, t));
  if (facing > 0) {
    const double x = with_lids(p.x + relief(p.y, p.z), p.y, p.z);
    p.x += facing * (x - p.x);
  }
  const double sideways = smooth_step(0.6, 0.9, std::abs(std::sin(phi)));
  if (sideways > 0) p.y += std::copysign(sideways * ear(p.x, p.z), p.y);
  return p;
}

}  // namespace peepwright::solid
