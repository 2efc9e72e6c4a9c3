#pragma once
#include <vector>

#include "sim/geometry/contour.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// A place along a contour and the length of contour it stands for, mm.
struct StationPlace {
  double s = 0;
  double weight = 0;
};

/// Places along a contour, rising: at most `spacing` apart, denser toward its joints and toward `marks` (arc
/// lengths, any order: ends of moves and ramps). None stands on a joint. The weights sum to the length.
std::vector<StationPlace> station_places(const Contour& contour, std::vector<double> marks, double spacing);

/// How far to the sheet's border along a ray (unit direction) from inside it, `limit` at most, mm.
double to_border(const Stock& stock, Vec2 p, Vec2 direction, double limit);

}  // namespace ovolo
