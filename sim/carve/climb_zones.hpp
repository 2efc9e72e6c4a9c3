#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "sim/bit/profile.hpp"
#include "sim/carve/smooth_curve.hpp"

namespace ovolo {

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
  /// degree 6), or by cubics.
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

}  // namespace ovolo
