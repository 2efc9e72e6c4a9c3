#pragma once
#include <vector>

#include "sim/bit/body.hpp"
#include "sim/path/move.hpp"

namespace ovolo {

/// Heights from lo to hi, mm; hi may be +inf.
struct HeightRange {
  double lo, hi;
};

/// What a whole bit takes out above (and below) a place p while its tip makes a sloped move: all heights z
/// with body.width(z - tip) > distance(p, axis) at some time. Disjoint, rising; ends to 1e-9 mm. `out` is
/// cleared.
void swept_ranges(const Move& move, const BitBody& body, Vec2 p, std::vector<HeightRange>& out);

/// Heights above the tip at which the bit is wider than r: disjoint, rising. `out` is cleared.
void wide_ranges(const BitBody& body, double r, std::vector<HeightRange>& out);

}  // namespace ovolo
