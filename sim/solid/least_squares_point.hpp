#pragma once
#include <vector>

#include "sim/solid/point3.hpp"

namespace ovolo {

struct PlaneThrough {
  Point3 at, normal;
};

/// The place nearest to all planes (least squares), moved from their mean as little as need be; directions
/// in which the normals differ by less than about 3 degrees count as one. `rank` is how many there are.
Point3 meeting_point(const std::vector<PlaneThrough>& planes, int& rank);

}  // namespace ovolo
