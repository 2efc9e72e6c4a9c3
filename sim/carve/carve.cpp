#include "sim/carve/carve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/carve/cuts.hpp"
#include "sim/carve/memory.hpp"
#include "sim/carve/tile_carver.hpp"
#include "sim/carve/tile_plan.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile;

// The cells of the window; its lower left corner moves out to that of a tile of the whole sheet.
Grid make_grid(const Job& job, const CarveOptions& options, double cell) {
  if (!(cell > 0 && std::isfinite(cell)))
    throw JobError("the cell size must be more than 0; set --cell 0.1 mm");
  const Box2 window = options.window.value_or(Box2{{0, 0}, {job.stock.width, job.stock.height}});
  constexpr double kRounding = 1e-9;  // of a tile or a cell
  const double side = kTile * cell;
  const double i0 = kTile * std::floor(window.lo.x / side + kRounding);
  const double j0 = kTile * std::floor(window.lo.y / side + kRounding);
  const double columns = std::max(0.0, std::ceil(window.hi.x / cell - kRounding) - i0);
  const double rows = std::max(0.0, std::ceil(window.hi.y / cell - kRounding) - j0);
  constexpr double kMost = 1e11;  // tile numbers stay within 31 bits each way
  if (!(columns <= kMost && rows <= kMost && std::abs(i0) <= kMost && std::abs(j0) <= kMost))
    throw MemoryError(
        fmt::format("cells of {} mm are too small for the sheet; set --cell 0.1 mm or more", cell));
  return {cell, static_cast<std::int64_t>(i0), static_cast<std::int64_t>(j0),
          static_cast<std::int64_t>(columns), static_cast<std::int64_t>(rows)};
}

struct Layout {
  Grid grid;
  std::vector<Cut> cuts;
  TilePlan tiles;
  double bytes = 0;
  bool listed = false;  // false: too large even to list; bytes is an estimate
};

double bytes_of(const Grid& grid, const TilePlan& plan) {
  const double tile = sizeof(float) * kTile * kTile + sizeof(plan.tiles[0]) + sizeof(plan.first[0]);
  return tile * static_cast<double>(plan.tiles.size()) +
         sizeof(plan.cuts[0]) * static_cast<double>(plan.cuts.size()) +
         sizeof(std::int32_t) * static_cast<double>(grid.tile_columns()) *
             static_cast<double>(grid.tile_rows());
}

Layout lay_out(const Job& job, const Plan& plan, const MoveIndex& index, const CarveOptions& options,
               double cell, std::size_t limit) {
  Layout out;
  out.grid = make_grid(job, options, cell);
  const Vec2 size = cell * Vec2{static_cast<double>(out.grid.columns), static_cast<double>(out.grid.rows)};
  out.cuts = collect_cuts(job, plan, index, {out.grid.origin(), out.grid.origin() + size});
  out.bytes = sizeof(float) * static_cast<double>(out.grid.columns) * static_cast<double>(out.grid.rows);
  // What a coarse raster holds, told in fine cells: too much by a factor of a few at most.
  constexpr std::int64_t kCoarse = 256 * kTile;
  const std::int64_t times = std::max(out.grid.columns, out.grid.rows) / kCoarse + 1;
  if (times > 1) {
    const double scale = static_cast<double>(times);
    const auto below = [&](std::int64_t n) {
      return static_cast<std::int64_t>(std::floor(static_cast<double>(n) / scale));
    };
    const Grid grid{cell * scale, below(out.grid.first_column), below(out.grid.first_row),
                    out.grid.columns / times + 2, out.grid.rows / times + 2};
    const auto tiles = plan_tiles(out.cuts, plan.regions, grid, limit);
    if (!tiles) return out;
    out.bytes = sizeof(float) * kTile * kTile * scale * scale * static_cast<double>(tiles->tiles.size());
    if (out.bytes > 4 * static_cast<double>(limit)) return out;
  }
  auto tiles = plan_tiles(out.cuts, plan.regions, out.grid, limit);
  if (!tiles) return out;
  out.tiles = std::move(*tiles);
  out.bytes = bytes_of(out.grid, out.tiles);
  out.listed = true;
  return out;
}

// v rounded up to two significant digits.
double round_up(double v) {
  const double unit = std::pow(10.0, std::floor(std::log10(v)) - 1);
  return std::ceil(v / unit - 1e-9) * unit;
}

std::string size_text(double bytes) {
  const double mib = bytes / (1024.0 * 1024.0);
  return mib < 1024 ? fmt::format("{:.3g} MiB", mib) : fmt::format("{:.3g} GiB", mib / 1024);
}

[[noreturn]] void refuse(const Job& job, const Plan& plan, const MoveIndex& index,
                         const CarveOptions& options, double need, std::size_t limit) {
  const double largest = std::max(job.stock.width, job.stock.height);
  double cell = options.cell * std::max(1.05, std::sqrt(need / static_cast<double>(limit)));
  for (; cell < largest; cell *= 1.1) {
    cell = round_up(cell);
    const Layout layout = lay_out(job, plan, index, options, cell, limit);
    if (layout.listed && layout.bytes <= static_cast<double>(limit)) break;
  }
  const std::string what = fmt::format("carving at {} mm cells needs {} of memory and {} is free",
                                       options.cell, size_text(need), size_text(static_cast<double>(limit)));
  if (!(cell < largest)) throw MemoryError(what + "; free some memory");
  throw MemoryError(fmt::format("{}; set --cell {:.6g} mm or more", what, cell));
}

std::size_t limit_of(const CarveOptions& options) {
  return options.memory_limit > 0 ? options.memory_limit : free_memory();
}

}  // namespace

std::size_t carve_bytes(const Job& job, const Plan& plan, const MoveIndex& index,
                        const CarveOptions& options) {
  constexpr double kMost = 9e18;
  return static_cast<std::size_t>(
      std::min(kMost, lay_out(job, plan, index, options, options.cell, limit_of(options)).bytes));
}

Heightfield carve(const Job& job, const Plan& plan, const MoveIndex& index, const CarveOptions& options,
                  CarveStats* stats) {
  const std::size_t limit = limit_of(options);
  const Layout layout = lay_out(job, plan, index, options, options.cell, limit);
  if (!layout.listed || layout.bytes > static_cast<double>(limit))
    refuse(job, plan, index, options, layout.bytes, limit);
  const Grid& grid = layout.grid;

  const TileCarver carver(job, plan, layout.cuts, grid, options.simd);
  Heightfield field(grid.origin(), grid.cell, grid.columns, grid.rows);
  field.hold(layout.tiles.tiles);
  const std::size_t n = layout.tiles.tiles.size();
  std::vector<std::int64_t> updates(n, 0);
  const auto carve_tile = [&](std::size_t k) {
    const std::int64_t column = layout.tiles.tiles[k] % grid.tile_columns();
    const std::int64_t row = layout.tiles.tiles[k] / grid.tile_columns();
    float* heights = field.tile_for_write(column, row);
    // Tiles lie in memory in the order of the list.
    const float* next = k + 1 < n ? heights + kTile * kTile : nullptr;
    updates[k] = carver.carve(heights, column, row, layout.tiles.cuts_of(k), next);
  };
  // In batches, so that progress is told from this thread and an interruption ends the work.
  const std::size_t batch =
      options.progress ? std::max<std::size_t>(1, n / 100) : std::max<std::size_t>(1, n);
  for (std::size_t begin = 0; begin < n; begin += batch) {
    const std::size_t count = std::min(batch, n - begin);
    parallel_for(count, [&](std::size_t k) { carve_tile(begin + k); });
    if (options.progress)
      options.progress->report("carving", static_cast<double>(begin + count) / static_cast<double>(n));
  }
  if (stats) {
    stats->cells = static_cast<std::int64_t>(n) * kTile * kTile;
    stats->cell_updates = 0;
    for (const std::int64_t u : updates) stats->cell_updates += u;
    stats->bytes = field.bytes();
  }
  return field;
}

}  // namespace ovolo
