// SPDX-License-Identifier: GPL-3.0-or-later
// Straight pieces of paths: where they lie against boxes, points and one another. Millimetres on the page.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "exporters/drawing/path.hpp"

namespace peepwright {

struct Segment {
  Point a, b;
};

/// Straight pieces of a path; a curve becomes `pieces` of them.
std::vector<Segment> segments_of(const Path& path, int pieces = 6);

/// The shares of its length, from a, between which the segment lies inside the box or on its sides, by Liang and
/// Barsky's clipping; nothing where none of it does.
std::optional<std::pair<double, double>> part_within(const Segment& segment, const Box& box);
/// Whether any of the segment lies inside the box.
bool meets(const Segment& segment, const Box& box);
bool cross(const Segment& a, const Segment& b);
/// Least distance, 0 where they meet.
double distance(const Segment& segment, Point p);
double distance(const Segment& segment, const Box& box);
double distance(Point p, const Box& box);

}  // namespace peepwright
