#include "sim/carve/tile_plan.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>

#include "sim/parallel.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {
namespace {

// Columns [first, last] of one tile row that a cut touches.
struct TileRun {
  std::uint32_t cut;
  std::int32_t row, first, last;
};

constexpr double kSlack = 1e-4;  // mm, more than the kernels' rounding

double square(double v) { return v * v; }

class Footprint {
 public:
  Footprint(const Cut& cut, const std::vector<Region>& regions)
      : move_(cut.move),
        reach_(cut.reach + kSlack),
        region_(move_.region < 0 ? nullptr : &regions[static_cast<std::size_t>(move_.region)]) {
    box_ = region_ ? region_->box() : move_.path.box().grown(reach_);
    if (!region_ && !move_.path.is_arc()) {
      length_ = move_.path.length();
      along_ = length_ > 0 ? (move_.path.b - move_.path.a) / length_ : Vec2{1, 0};
      before_ = cut.ends[0].open ? reach_ : kSlack;
      after_ = cut.ends[1].open ? reach_ : kSlack;
    }
  }

  const Box2& box() const { return box_; }

  /// Could the footprint touch a box of half size `half` about `centre`? Never wrongly no.
  bool touches(Vec2 centre, Vec2 half) const {
    if (region_) return region_->distance(centre) <= length(half);
    if (!move_.path.is_arc()) {
      const Vec2 v = centre - move_.path.a;
      if (std::abs(cross(along_, v)) > reach_ + std::abs(along_.y) * half.x + std::abs(along_.x) * half.y)
        return false;
      const double t = dot(along_, v), spread = std::abs(along_.x) * half.x + std::abs(along_.y) * half.y;
      return t >= -before_ - spread && t <= length_ + after_ + spread;
    }
    const Vec2 v{std::abs(centre.x - move_.path.centre.x), std::abs(centre.y - move_.path.centre.y)};
    const double nearest = square(std::max(0.0, v.x - half.x)) + square(std::max(0.0, v.y - half.y));
    const double farthest = square(v.x + half.x) + square(v.y + half.y);
    if (nearest > square(move_.path.radius + reach_)) return false;
    if (move_.path.radius > reach_ && farthest < square(move_.path.radius - reach_)) return false;
    return move_.path.distance(centre) <= reach_ + length(half);
  }

  /// The stretch of x that the footprint can take up between y0 and y1, within the box.
  void clip(double y0, double y1, double& x0, double& x1) const {
    x0 = box_.lo.x;
    x1 = box_.hi.x;
    if (region_) return;
    if (!move_.path.is_arc()) {
      const Vec2 a = move_.path.a, b = move_.path.b;
      if (a.y == b.y) return;
      const double s0 = std::clamp((y0 - reach_ - a.y) / (b.y - a.y), 0.0, 1.0);
      const double s1 = std::clamp((y1 + reach_ - a.y) / (b.y - a.y), 0.0, 1.0);
      const double xa = a.x + s0 * (b.x - a.x), xb = a.x + s1 * (b.x - a.x);
      x0 = std::min(xa, xb) - reach_;
      x1 = std::max(xa, xb) + reach_;
    } else {
      const double dy = std::max({0.0, y0 - move_.path.centre.y, move_.path.centre.y - y1});
      const double half = std::sqrt(std::max(0.0, square(move_.path.radius + reach_) - dy * dy));
      x0 = std::max(x0, move_.path.centre.x - half);
      x1 = std::min(x1, move_.path.centre.x + half);
    }
  }

 private:
  const Move& move_;
  double reach_;
  const Region* region_;
  Box2 box_;
  double length_ = 0, before_ = 0, after_ = 0;  // of a line, and how far it is cut beyond its ends
  Vec2 along_;
};

constexpr int kTile = Heightfield::kTile;

// Tile number of the first cell centre at or after x (or of the last at or before it), in tiles along one
// axis.
std::int64_t tile_at(double x, double origin, double cell, std::int64_t cells, bool first) {
  const double at = (x - origin) / cell - 0.5;
  const double k = std::clamp(first ? std::ceil(at) : std::floor(at), -1.0, static_cast<double>(cells));
  const std::int64_t i = static_cast<std::int64_t>(k);
  return first ? (i >= cells ? cells : i < 0 ? 0 : i / kTile) : (i < 0 ? -1 : std::min(i, cells - 1) / kTile);
}

void add_runs(const Footprint& footprint, std::uint32_t cut, const Grid& grid, std::vector<TileRun>& out) {
  const Box2& box = footprint.box();
  const Vec2 half{0.5 * (kTile - 1) * grid.cell, 0.5 * (kTile - 1) * grid.cell};
  const double side = kTile * grid.cell;
  const std::int64_t row0 = tile_at(box.lo.y, grid.origin().y, grid.cell, grid.rows, true);
  const std::int64_t row1 = tile_at(box.hi.y, grid.origin().y, grid.cell, grid.rows, false);
  for (std::int64_t row = row0; row <= row1 && row < grid.tile_rows(); ++row) {
    const double y = grid.origin().y + (static_cast<double>(row) + 0.5) * side;
    double x0 = 0, x1 = 0;
    footprint.clip(y - half.y, y + half.y, x0, x1);
    const std::int64_t column0 = tile_at(x0, grid.origin().x, grid.cell, grid.columns, true);
    const std::int64_t column1 =
        std::min(tile_at(x1, grid.origin().x, grid.cell, grid.columns, false), grid.tile_columns() - 1);
    bool open = false;
    for (std::int64_t column = column0; column <= column1; ++column) {
      const Vec2 centre{grid.origin().x + (static_cast<double>(column) + 0.5) * side, y};
      if (!footprint.touches(centre, half)) {
        open = false;
      } else if (open) {
        out.back().last = static_cast<std::int32_t>(column);
      } else {
        out.push_back({cut, static_cast<std::int32_t>(row), static_cast<std::int32_t>(column),
                       static_cast<std::int32_t>(column)});
        open = true;
      }
    }
  }
}

}  // namespace

Vec2 Grid::origin() const {
  return {static_cast<double>(first_column) * cell, static_cast<double>(first_row) * cell};
}

Vec2 Grid::cell_centre(std::int64_t column, std::int64_t row) const {
  return {(static_cast<double>(first_column + column) + 0.5) * cell,
          (static_cast<double>(first_row + row) + 0.5) * cell};
}

std::int64_t Grid::tile_columns() const { return (columns + kTile - 1) / kTile; }
std::int64_t Grid::tile_rows() const { return (rows + kTile - 1) / kTile; }

std::optional<TilePlan> plan_tiles(const std::vector<Cut>& cuts, const std::vector<Region>& regions,
                                   const Grid& grid, std::size_t limit) {
  if (static_cast<double>(grid.tile_rows()) * 64 > static_cast<double>(limit)) return std::nullopt;
  // Runs of tiles, block by block of cuts so that their order does not depend on threads.
  constexpr std::size_t kBlock = 16;
  const std::size_t blocks = (cuts.size() + kBlock - 1) / kBlock;
  std::vector<std::vector<TileRun>> runs(blocks);
  std::atomic<std::size_t> run_bytes = 0;
  parallel_for(blocks, [&](std::size_t b) {
    for (std::size_t i = b * kBlock; i < std::min(cuts.size(), (b + 1) * kBlock); ++i) {
      if (run_bytes > limit) return;
      add_runs(Footprint(cuts[i], regions), static_cast<std::uint32_t>(i), grid, runs[b]);
    }
    run_bytes += runs[b].size() * sizeof(TileRun);
  });
  if (run_bytes > limit) return std::nullopt;

  // The same runs by tile row, still in order of the cuts.
  const std::size_t rows = static_cast<std::size_t>(grid.tile_rows());
  std::vector<std::size_t> row_first(rows + 1, 0);
  for (const auto& block : runs)
    for (const TileRun& run : block) ++row_first[static_cast<std::size_t>(run.row) + 1];
  for (std::size_t r = 0; r < rows; ++r) row_first[r + 1] += row_first[r];
  std::vector<TileRun> sorted(row_first[rows]);
  {
    std::vector<std::size_t> next(row_first.begin(), row_first.end() - 1);
    for (const auto& block : runs)
      for (const TileRun& run : block) sorted[next[static_cast<std::size_t>(run.row)]++] = run;
  }
  runs.clear();

  // Per row: how many cuts each column has, then the lists themselves.
  struct Row {
    std::vector<std::int32_t> columns;
    std::vector<std::uint32_t> counts;
    std::uint64_t total = 0;
  };
  std::vector<Row> found(rows);
  parallel_for(rows, [&](std::size_t r) {
    std::vector<std::int32_t> change(static_cast<std::size_t>(grid.tile_columns()) + 1, 0);
    for (std::size_t k = row_first[r]; k < row_first[r + 1]; ++k) {
      ++change[static_cast<std::size_t>(sorted[k].first)];
      --change[static_cast<std::size_t>(sorted[k].last) + 1];
    }
    std::int32_t count = 0;
    for (std::size_t c = 0; c + 1 < change.size(); ++c) {
      count += change[c];
      if (count == 0) continue;
      found[r].columns.push_back(static_cast<std::int32_t>(c));
      found[r].counts.push_back(static_cast<std::uint32_t>(count));
      found[r].total += static_cast<std::uint64_t>(count);
    }
  });
  TilePlan plan;
  std::vector<std::size_t> tile_first(rows + 1, 0);
  std::vector<std::uint64_t> list_first(rows + 1, 0);
  for (std::size_t r = 0; r < rows; ++r) {
    tile_first[r + 1] = tile_first[r] + found[r].columns.size();
    list_first[r + 1] = list_first[r] + found[r].total;
  }
  if (list_first[rows] * sizeof(std::uint32_t) > limit) return std::nullopt;
  plan.tiles.resize(tile_first[rows]);
  plan.first.resize(tile_first[rows] + 1);
  plan.first.back() = list_first[rows];
  plan.cuts.resize(list_first[rows]);
  parallel_for(rows, [&](std::size_t r) {
    std::vector<std::uint64_t> next(static_cast<std::size_t>(grid.tile_columns()), 0);
    std::uint64_t at = list_first[r];
    for (std::size_t k = 0; k < found[r].columns.size(); ++k) {
      const std::size_t column = static_cast<std::size_t>(found[r].columns[k]);
      plan.tiles[tile_first[r] + k] =
          static_cast<std::int64_t>(r) * grid.tile_columns() + found[r].columns[k];
      plan.first[tile_first[r] + k] = next[column] = at;
      at += found[r].counts[k];
    }
    for (std::size_t k = row_first[r]; k < row_first[r + 1]; ++k)
      for (std::int32_t c = sorted[k].first; c <= sorted[k].last; ++c)
        plan.cuts[next[static_cast<std::size_t>(c)]++] = sorted[k].cut;
  });
  return plan;
}

}  // namespace ovolo
