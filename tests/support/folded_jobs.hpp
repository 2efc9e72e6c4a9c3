#pragma once
#include "sim/job.hpp"
#include "sim/measure/section.hpp"

// Jobs whose sections fold, and what a folded section encloses.
namespace ovolo::test {

/// A bit of this chain; faces and readings are left as they come.
Bit bit_of(std::string form, Profile profile);

/// A sheet of 400 by 250 mm of one layer with an open contour from side to side at y = 100; the part lies
/// above it. No operations yet.
Job board(double thickness);

/// A pass of the bit along the board's contour from beyond its sides.
Operation pass_along(std::uint32_t bit, double depth, double offset);

/// A closed way round as points: arcs in `per_arc` chords.
std::vector<Vec2> polygon_of(const std::vector<SectionPiece>& pieces, int per_arc = 256);

/// Is p inside the section?
bool inside(const std::vector<Vec2>& polygon, Vec2 p);

}  // namespace ovolo::test
