#pragma once
#include <cstdint>
#include <vector>

#include "sim/path/plan.hpp"

namespace ovolo {

/// One part of one move as a ray sees it. Along the ray (u in mm) the distance from the path has one closed
/// form between u0 and u1.
struct Feature {
  enum class Kind : std::uint8_t {
    zero,    ///< inside a region: distance 0
    linear,  ///< |p + q u|: the inner part of a line, or a concentric arc
    radial,  ///< |sqrt(p + 2 q u + u^2) - rho|: an end point (rho 0) or an arc
    sloped   ///< a ramp or helix: no distance of its own, the height comes from swept_height
  };
  Kind kind = Kind::zero;
  double u0 = 0, u1 = 0;
  double p = 0, q = 0, rho = 0;
  double z = 0;
  const Profile* profile = nullptr;
  std::uint32_t move = 0;

  double distance(double u) const;
  /// Where the distance is r, appended to `out` (anywhere along the ray, unsorted).
  void where(double r, std::vector<double>& out) const;
  /// Where the distance turns from falling to rising, appended to `out`.
  void turns(std::vector<double>& out) const;
};

/// The features of a move along origin + u direction, 0 <= u <= u_max, appended to `out`.
void add_features(const Move& move, std::uint32_t move_index, const Profile& profile,
                  const std::vector<Region>& regions, Vec2 origin, Vec2 direction, double u_max,
                  std::vector<Feature>& out);

}  // namespace ovolo
