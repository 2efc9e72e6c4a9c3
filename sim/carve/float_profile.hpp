#pragma once
#include <vector>

#include "sim/bit/profile.hpp"
#include "sim/carve/cell_task.hpp"

namespace ovolo {

/// A bit's profile as the SIMD kernels take it: its pieces in single precision and where each ends, mm.
struct FloatProfile {
  std::vector<FloatPiece> pieces;
  std::vector<double> r1;
  double reach = 0;  ///< cutting radius
  explicit FloatProfile(const Profile& profile);
};

}  // namespace ovolo
