#include "tests/bench/sweep_timer.hpp"

#include <chrono>
#include <cmath>
#include <limits>
#include <numeric>

#include "sim/parallel.hpp"

namespace ovolo::bench {
namespace {

constexpr std::size_t kCells = std::size_t{Heightfield::kTile} * Heightfield::kTile;

Grid whole_sheet(const Job& job, double cell) {
  Grid grid;
  grid.cell = cell;
  grid.columns = static_cast<std::int64_t>(std::ceil(job.stock.width / cell));
  grid.rows = static_cast<std::int64_t>(std::ceil(job.stock.height / cell));
  return grid;
}

}  // namespace

double seconds_now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

SweepTimer::SweepTimer(const BenchJob& job, double cell)
    : job_(job),
      index_(job.plan, job.job),
      grid_(whole_sheet(job.job, cell)),
      cuts_(collect_cuts(job.job, job.plan, index_, {{0, 0}, {job.job.stock.width, job.job.stock.height}})),
      tiles_(*plan_tiles(cuts_, job.plan.regions, grid_, std::numeric_limits<std::size_t>::max() / 4)),
      carver_(job.job, job.plan, cuts_, grid_, true),
      field_(grid_.origin(), cell, grid_.columns, grid_.rows) {
  field_.hold(tiles_.tiles);
  first_touch_ = plain_min();
}

double SweepTimer::sweep(std::int64_t& updates) {
  const std::size_t n = tiles_.tiles.size();
  std::vector<std::int64_t> count(n);
  const double begin = seconds_now();
  parallel_for(n, [&](std::size_t k) {
    const std::int64_t column = tiles_.tiles[k] % grid_.tile_columns(),
                       row = tiles_.tiles[k] / grid_.tile_columns();
    float* heights = field_.tile_for_write(column, row);
    count[k] = carver_.carve(heights, column, row, tiles_.cuts_of(k), k + 1 < n ? heights + kCells : nullptr);
  });
  const double end = seconds_now();
  updates = std::accumulate(count.begin(), count.end(), std::int64_t{0});
  return end - begin;
}

double SweepTimer::plain_min() {
  const double begin = seconds_now();
  parallel_for(tiles_.tiles.size(), [&](std::size_t k) {
    const std::int64_t column = tiles_.tiles[k] % grid_.tile_columns(),
                       row = tiles_.tiles[k] / grid_.tile_columns();
    float* heights = field_.tile_for_write(column, row);
    for (std::size_t i = 0; i < kCells; ++i) heights[i] = heights[i] < -0.5f ? heights[i] : -0.5f;
  });
  return seconds_now() - begin;
}

std::int64_t SweepTimer::cells() const { return static_cast<std::int64_t>(tiles_.tiles.size() * kCells); }

}  // namespace ovolo::bench
