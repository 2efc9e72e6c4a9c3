#pragma once
#include <cstdint>
#include <vector>

#include "sim/geometry/contour.hpp"

namespace ovolo {

/// How a parallel curve goes round a corner that it opens up: on an arc about the corner, or on the two
/// sides' tangents to where they meet.
enum class Join : std::uint8_t { round, mitre };

struct OffsetOptions {
  Join join = Join::round;
  double mitre_limit = 4;  ///< a mitre whose tip is more than this many offsets from its corner is rounded
};

/// The parallel curve at distance d (mm) to the left of travel; a negative d goes to the right. Arcs stay
/// arcs. Every point of the result lies |d| from the contour (farther on a mitre's tip) and none nearer:
/// corners that close are cut off where the sides meet, loops that overlap are taken out, and the contour may
/// fall apart into several or vanish. Loops run the way the contour does, so that the contour stays on the
/// same hand. A closed contour gives closed loops; an open one gives open pieces in order of travel, and
/// loops where its parallel closes round a gap. Exact to 1e-9 mm where the pieces cross at an angle; d within
/// 1e-9 mm of 0 gives the contour itself.
std::vector<Contour> offset_left(const Contour& contour, double d, const OffsetOptions& options = {});

/// The same for a closed contour, away from its inside whichever way it runs; negative d goes inwards.
std::vector<Contour> offset_outward(const Contour& contour, double d, const OffsetOptions& options = {});

}  // namespace ovolo
