#pragma once
#include <vector>

#include "sim/bit/profile.hpp"
#include "sim/carve/smooth_curve.hpp"

namespace ovolo {

/// Way back from the foot to the lowest place on one piece of the profile, mm, for the y that have one.
struct ClimbBack {
  SmoothCurve back;  ///< of y
  float most_back = 0;
};
/// One stretch, or two beside a circular path: inside and outside.
std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope);

}  // namespace ovolo
