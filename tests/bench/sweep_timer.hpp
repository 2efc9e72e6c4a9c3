#pragma once
#include "sim/carve/tile_carver.hpp"
#include "sim/stock/heightfield.hpp"
#include "tests/bench/bench_jobs.hpp"

namespace ovolo::bench {

/// The sweep alone, on tiles that have their memory: what `carve` does once its lists are made.
class SweepTimer {
 public:
  SweepTimer(const BenchJob& job, double cell);
  /// Seconds that giving the tiles their memory took.
  double first_touch() const { return first_touch_; }
  /// Seconds that one sweep takes; `updates` becomes the cells evaluated.
  double sweep(std::int64_t& updates);
  /// Seconds of an in-place min with a constant over the same tiles: the memory's limit.
  double plain_min();
  std::int64_t cells() const;

 private:
  const BenchJob& job_;
  MoveIndex index_;
  Grid grid_;
  std::vector<Cut> cuts_;
  TilePlan tiles_;
  TileCarver carver_;
  Heightfield field_;
  double first_touch_ = 0;
};

double seconds_now();

}  // namespace ovolo::bench
