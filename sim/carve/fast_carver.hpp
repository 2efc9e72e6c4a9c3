#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "sim/carve/cell_task.hpp"
#include "sim/carve/climb_tables.hpp"
#include "sim/carve/cuts.hpp"
#include "sim/carve/exact_kernel.hpp"
#include "sim/carve/float_profile.hpp"
#include "sim/job.hpp"

namespace ovolo {

class TilePlace;

/// Lowers tiles by cuts with the SIMD kernels. What does not depend on the tile is worked out once.
/// Thread-safe after construction; the cuts and the job must outlive it.
class FastCarver {
 public:
  FastCarver(const Job& job, const std::vector<Cut>& cuts, double cell);
  /// Lowers the tile by cut i (not a region); the sheet is taken as flat. Returns the cells looked at.
  std::int64_t lower(const TileView& tile, std::uint32_t i) const;

 private:
  // What the path looks like, worked out once.
  struct Path {
    double length = 0;
    std::array<Vec2, 2> end, outward;  // at a and b: the place, and the direction in which the path leaves it
    Vec2 along;                        // lines
    bool whole_circle = false;
  };
  CellTask task_for(const TilePlace& place, const FloatProfile& bit) const;
  std::int64_t run(CellTask& task, const FloatProfile& bit, double nearest, double farthest) const;
  std::int64_t level(const TilePlace& place, const Cut& cut, const Path& path, const FloatProfile& bit) const;
  std::int64_t climb(const TilePlace& place, std::uint32_t i) const;

  const std::vector<Cut>& cuts_;
  std::vector<FloatProfile> bits_;
  std::vector<Path> paths_;
  ClimbTables climbs_;
  double cell_;
};

}  // namespace ovolo
