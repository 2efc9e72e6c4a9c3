#pragma once
#include <cstdint>
#include <vector>

#include "sim/carve/cell_task.hpp"
#include "sim/carve/climb_curves.hpp"
#include "sim/carve/cuts.hpp"
#include "sim/carve/exact_kernel.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// Lowers tiles by cuts with the SIMD kernels. What does not depend on the tile is worked out once.
/// Thread-safe after construction; the cuts and the job must outlive it.
class FastCarver {
 public:
  FastCarver(const Job& job, const std::vector<Cut>& cuts, double cell);
  /// Lowers the tile by cut i (not a region); the sheet is taken as flat. Returns the cells looked at.
  std::int64_t lower(const TileView& tile, std::uint32_t i) const;

 private:
  struct Bit {
    std::vector<FloatPiece> pieces;
    std::vector<double> r1;
    double reach = 0;
  };
  // What the path looks like, worked out once.
  struct Path {
    double length = 0;
    std::array<Vec2, 2> end, outward;  // at a and b: the place, and the direction in which the path leaves it
    Vec2 along;                        // lines
    bool whole_circle = false;
  };
  // Where climbing cuts of one bit, slope and radius are lowest; shared by those that are nearly alike.
  struct Climb {
    std::vector<ClimbBack> backs;
    std::vector<ClimbPlace> places;
  };
  class Place;
  class ClimbPasses;
  void prepare_climbs();
  CellTask task_for(const Place& place, const Bit& bit) const;
  std::int64_t run(CellTask& task, const Bit& bit, double nearest, double farthest) const;
  std::int64_t level(const Place& place, const Cut& cut, const Path& path, const Bit& bit) const;
  std::int64_t climb(const Place& place, std::uint32_t i) const;

  const Job& job_;
  const std::vector<Cut>& cuts_;
  std::vector<Bit> bits_;
  std::vector<Path> paths_;
  std::vector<Climb> climbs_;
  std::vector<std::vector<ClimbZone>> zones_;
  std::vector<std::int32_t> climb_of_, zones_of_;  // per cut; -1 for none
  double cell_;
};

}  // namespace ovolo
