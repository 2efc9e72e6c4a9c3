#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "sim/bit/profile.hpp"

namespace ovolo {

/// A smooth function on [from, to] in 16 cubics: with u = position(y) * scale, i = floor(u) and t = u - i it
/// is c[0][i] + c[1][i] t + c[2][i] t^2 + c[3][i] t^3. The position is y - from, or, where the function
/// starts and ends like a square root, sqrt(y - from) on the lower half and sqrt(to - y) on the upper, whose
/// cubics are numbered from 8 on.
struct SmoothCurve {
  static constexpr int kCubics = 16;
  float from = 1, to = 0, scale = 0;
  bool rooted = false;
  alignas(64) std::array<std::array<float, kCubics>, 4> c{};
};

/// base(t) + share(t) sqrt((upper - y)(y - lower)) with t = (y - middle) * scale in [-1, 1] and the powers'
/// coefficients of two polynomials, lowest first.
struct RootForm {
  static constexpr std::size_t kBase = 8, kArcBase = 7, kShare = 5;
  float middle = 0, scale = 0, upper = 0, lower = 0;
  std::array<float, kBase> base{};
  std::array<float, kShare> share{};
};

/// What a climbing bit leaves beside its path, far from the path's ends, below the tip's height at the foot.
/// y is the distance from a straight path, and the distance from the centre less the radius beside a circular
/// one.
struct ClimbZone {
  /// How the height is told: by a polynomial (a form without the root), by the form of a corner of the
  /// profile (base of degree 0; beside a straight path share too), by that of an arc of the profile (base of
  /// degree 5), or by cubics.
  enum class Kind : std::int32_t { polynomial, corner, arc, cubics, rooted_cubics };
  Kind kind = Kind::cubics;
  float from = 1, to = 0;
  float back = 0;  ///< how far behind the foot the lowest place lies at most, mm
  RootForm form;
  SmoothCurve cubics;
};

/// The zones of y where that is known to 0.02 um, ascending, for a path of this radius (0: straight) that
/// climbs by slope > 0 per mm. Where none could be found there is a gap.
std::vector<ClimbZone> climb_zones(const Profile& profile, double radius, double slope);

/// Way back from the foot to the lowest place on one piece of the profile, mm, for the y that have one.
struct ClimbBack {
  SmoothCurve back;  ///< of y
  float most_back = 0;
};
/// One stretch, or two beside a circular path: inside and outside.
std::vector<ClimbBack> climb_backs(const Profile::Piece& piece, double radius, double slope);

}  // namespace ovolo
