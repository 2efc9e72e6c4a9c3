#pragma once
#include "sim/job.hpp"

namespace ovolo {

/// Distance from p to the contour, positive on the part's side, mm.
double part_distance(const Contour& contour, Keep keep, Vec2 p);

}  // namespace ovolo
