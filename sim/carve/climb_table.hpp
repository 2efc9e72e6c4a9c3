#pragma once
#include <array>
#include <vector>

#include "sim/bit/profile.hpp"

namespace ovolo {

/// How much lower than f(|y|), far from its ends, a climbing path cuts than its foot beside a place; y is the
/// distance from a straight path, rho - A beside a circular one, mm. Bin k starts at first + k / per_mm and
/// holds `base[k] + step[k] * t`, 0 <= t < 1, to 0.02 um. base is NaN in bins where a line does not do: at
/// steps, at the rim, where the lowest place leaps.
struct GainTable {
  float first = 0, per_mm = 0;
  int bins = 0;
  std::vector<float> base, step;
  std::vector<float> back;  ///< how far behind the foot the lowest place lies at most, mm
};

/// Way back to the lowest place on one curved piece of the profile, mm, for the y that have one: from[s] <=
/// |y| <= to[s], on the side s of the path (0; on a circular path 0 outside and 1 inside). It starts and ends
/// like a root, so entry k of the first half belongs to |y| = from + (k / scale)^2 and of the second to |y| =
/// to - (k / scale)^2, the halves meeting in the middle. A place that is off by d is too high by d^2 only.
struct BackTable {
  static constexpr int kHalf = 256;
  std::array<float, 2> from{1, 1}, to{0, 0}, scale{0, 0};
  std::vector<float> back;  ///< by side and half: kHalf + 1 entries each
};

/// For a path of this radius (0: straight) that climbs by slope > 0 per mm.
GainTable gain_table(const Profile& profile, double radius, double slope);
BackTable back_table(const Profile::Piece& piece, double radius, double slope);

}  // namespace ovolo
