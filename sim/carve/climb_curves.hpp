#pragma once
#include <array>
#include <vector>

#include "sim/bit/profile.hpp"

namespace ovolo {

/// A smooth function on [from, to] that may start and end like a square root. With u = sqrt(min(y - from, to
/// - y))
/// * scale, k = floor(u) and t = u - k it is c[0][i] + c[1][i] t + c[2][i] t^2 + c[3][i] t^3, i = k on the
/// lower half and k + 8 on the upper.
struct RootedCurve {
  static constexpr int kHalf = 8;
  float from = 1, to = 0, scale = 0;
  alignas(64) std::array<std::array<float, 2 * kHalf>, 4> c{};
};

/// What a climbing bit leaves beside its path, far from the path's ends, below the tip's height at the foot.
/// y is the distance from the path's line or circle; side 0 is the outside of a circle (and both sides of a
/// line), side 1 its inside.
struct ClimbZone {
  RootedCurve height;  ///< of y
  float back = 0;      ///< how far behind the foot the lowest place lies at most, mm
  int side = 0;
};

/// The zones where that is known to 0.02 um, for a path of this radius (0: straight) that climbs by slope > 0
/// per mm. Slivers between them are left out.
std::vector<ClimbZone> climb_zones(const Profile& profile, double radius, double slope);

/// Way back from the foot to the lowest place on one piece of the profile, mm, for the y that have one.
struct ClimbBack {
  RootedCurve back;
  int side = 0;
};
std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope);

}  // namespace ovolo
