#include "sim/solid/field_part.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "sim/parallel.hpp"
#include "sim/solid/joined.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile, kStep = 8, kNodes = kTile / kStep + 1;
constexpr double kThrough = 1e-4;  // mm left: as good as nothing

struct Tile {
  double volume = 0;
  bool part = false;  // reaches into it
  bool full = false, through = false;
};

// The pieces of the part that a tile holds: by cell, -1 for none.
struct Pieces {
  std::array<std::int16_t, kTile * kTile> of;
  std::vector<double> volumes;
  double stray = 0;
};

class FieldPart {
 public:
  FieldPart(const Heightfield& field, const Stock& stock, const PartWall& wall)
      : field_(field),
        wall_(wall),
        size_{stock.width, stock.height},
        thickness_(stock.thickness()),
        columns_(field.tile_columns()),
        tiles_(static_cast<std::size_t>(columns_ * field.tile_rows())) {}

  double volume() {
    parallel_for(
        tiles_.size(), [&](std::size_t t) { look_at(t); }, 16);
    double all = 0;
    bool through = false;
    for (const Tile& t : tiles_) {
      all += t.volume;
      through = through || t.through;
    }
    return through && wall_.bounds() ? of_kept_pieces() : all;
  }

 private:
  std::int64_t column(std::size_t t) const { return static_cast<std::int64_t>(t) % columns_; }
  std::int64_t row(std::size_t t) const { return static_cast<std::int64_t>(t) / columns_; }

  // Part of cell k on the sheet, along one axis.
  double on_sheet(double origin, std::int64_t k, double size) const {
    const double lo = origin + static_cast<double>(k) * field_.cell();
    return std::max(0.0, std::min(lo + field_.cell(), size) - std::max(lo, 0.0)) / field_.cell();
  }

  // Depth within the wall at a tile's cells: between nodes every kStep cells, linear in each direction.
  class Depths {
   public:
    Depths(const FieldPart& in, std::size_t t) {
      const double cell = in.field_.cell(), side = kTile * cell;
      const Vec2 lo{in.field_.origin().x + static_cast<double>(in.column(t)) * side,
                    in.field_.origin().y + static_cast<double>(in.row(t)) * side};
      const double d = in.wall_.depth(lo + Vec2{side / 2, side / 2});
      if (std::abs(d) > 0.7072 * side) {
        whole_ = d;
        return;
      }
      for (std::size_t j = 0; j < kNodes; ++j)
        for (std::size_t i = 0; i < kNodes; ++i)
          nodes_[j][i] =
              in.wall_.depth(lo + kStep * cell * Vec2{static_cast<double>(i), static_cast<double>(j)});
    }
    bool crossed() const { return !whole_; }
    double at(int i, int j) const {
      if (whole_) return *whole_;
      const auto a = static_cast<std::size_t>(i / kStep), b = static_cast<std::size_t>(j / kStep);
      const double x = (i % kStep + 0.5) / kStep, y = (j % kStep + 0.5) / kStep;
      const double low = nodes_[b][a] + x * (nodes_[b][a + 1] - nodes_[b][a]);
      const double high = nodes_[b + 1][a] + x * (nodes_[b + 1][a + 1] - nodes_[b + 1][a]);
      return low + y * (high - low);
    }

   private:
    std::optional<double> whole_;
    std::array<std::array<double, kNodes>, kNodes> nodes_{};
  };

  double left_at(std::int64_t i, std::int64_t j) const {  // of the thickness
    if (i < 0 || j < 0 || i >= field_.columns() || j >= field_.rows()) return 0;
    return std::max(0.0, thickness_ + static_cast<double>(field_.at(i, j)));
  }

  // Calls visit(cell, within the wall, cut through, volume) for the cells of a tile that hold something of
  // the part.
  template <class Visit>
  void each_cell(std::size_t t, const Depths& depths, const Visit& visit) const {
    const double cell = field_.cell();
    for (int j = 0; j < kTile; ++j) {
      const std::int64_t y = row(t) * kTile + j;
      const double on_y = y < field_.rows() ? on_sheet(field_.origin().y, y, size_.y) : 0;
      if (on_y == 0) continue;
      for (int i = 0; i < kTile; ++i) {
        const std::int64_t x = column(t) * kTile + i;
        const double depth = depths.at(i, j);
        const double on_x = x < field_.columns() ? on_sheet(field_.origin().x, x, size_.x) : 0;
        if (on_x == 0 || depth <= -cell / 2) continue;
        double left = left_at(x, y);
        // Just beyond the wall the bit has been: the part goes on as within.
        if (depth <= 0)
          left = std::max({left_at(x - 1, y), left_at(x + 1, y), left_at(x, y - 1), left_at(x, y + 1)});
        const double area = cell * cell * on_x * on_y * std::min(1.0, 0.5 + depth / cell);
        visit(kTile * j + i, depth > 0, depth > 0 && left < kThrough, area * left);
      }
    }
  }

  void look_at(std::size_t t) {
    Tile& tile = tiles_[t];
    const Depths depths(*this, t);
    if (!depths.crossed() && depths.at(0, 0) < 0) return;
    tile.part = true;
    tile.full = !depths.crossed() && !field_.tile(column(t), row(t));
    if (tile.full) {
      double x = 0, y = 0;
      for (int k = 0; k < kTile; ++k) {
        const std::int64_t i = column(t) * kTile + k, j = row(t) * kTile + k;
        if (i < field_.columns()) x += on_sheet(field_.origin().x, i, size_.x);
        if (j < field_.rows()) y += on_sheet(field_.origin().y, j, size_.y);
      }
      tile.volume = field_.cell() * field_.cell() * x * y * thickness_;
      return;
    }
    each_cell(t, depths, [&](int, bool, bool through, double volume) {
      tile.volume += volume;
      tile.through = tile.through || through;
    });
  }

  Pieces pieces_of(std::size_t t) const {
    Pieces out;
    if (tiles_[t].full) {
      out.of.fill(0);
      out.volumes = {tiles_[t].volume};
      return out;
    }
    constexpr std::int16_t kNone = -1, kOpen = -2;
    out.of.fill(kNone);
    std::vector<double> volumes(kTile * kTile, 0.0);
    each_cell(t, Depths(*this, t), [&](int cell, bool within, bool through, double volume) {
      volumes[static_cast<std::size_t>(cell)] = volume;
      if (within && !through) out.of[static_cast<std::size_t>(cell)] = kOpen;
    });
    std::vector<int> open;
    const auto each_beside = [](int n, const auto& visit) {
      if (n % kTile > 0) visit(static_cast<std::size_t>(n - 1));
      if (n % kTile < kTile - 1) visit(static_cast<std::size_t>(n + 1));
      if (n >= kTile) visit(static_cast<std::size_t>(n - kTile));
      if (n < kTile * (kTile - 1)) visit(static_cast<std::size_t>(n + kTile));
    };
    for (int first = 0; first < kTile * kTile; ++first) {
      if (out.of[static_cast<std::size_t>(first)] != kOpen) continue;
      const auto piece = static_cast<std::int16_t>(out.volumes.size());
      out.volumes.push_back(0);
      out.of[static_cast<std::size_t>(first)] = piece;
      open.push_back(first);
      while (!open.empty()) {
        const int n = open.back();
        open.pop_back();
        out.volumes.back() += volumes[static_cast<std::size_t>(n)];
        each_beside(n, [&](std::size_t m) {
          if (out.of[m] != kOpen) return;
          out.of[m] = piece;
          open.push_back(static_cast<int>(m));
        });
      }
    }
    for (int n = 0; n < kTile * kTile; ++n) {  // cells that the wall leaves a part of
      if (out.of[static_cast<std::size_t>(n)] >= 0 || volumes[static_cast<std::size_t>(n)] == 0) continue;
      std::int16_t piece = kNone;
      each_beside(n, [&](std::size_t m) {
        if (piece == kNone) piece = out.of[m];
      });
      (piece >= 0 ? out.volumes[static_cast<std::size_t>(piece)] : out.stray) +=
          volumes[static_cast<std::size_t>(n)];
    }
    return out;
  }

  double of_kept_pieces() const {
    const std::size_t n = tiles_.size();
    std::vector<std::uint32_t> first(n + 1, 0);
    // Pieces along a tile's lower and upper sides across x and y.
    std::vector<std::array<std::array<std::int16_t, kTile>, 4>> sides(n);
    std::vector<std::vector<double>> volumes(n);
    std::vector<double> stray(n, 0.0);
    parallel_for(
        n,
        [&](std::size_t t) {
          for (auto& side : sides[t]) side.fill(-1);
          if (!tiles_[t].part) return;
          Pieces p = pieces_of(t);
          for (std::size_t k = 0; k < kTile; ++k) {
            sides[t][0][k] = p.of[kTile * k];
            sides[t][1][k] = p.of[kTile * k + kTile - 1];
            sides[t][2][k] = p.of[k];
            sides[t][3][k] = p.of[kTile * (kTile - 1) + k];
          }
          volumes[t] = std::move(p.volumes);
          stray[t] = p.stray;
        },
        8);
    for (std::size_t t = 0; t < n; ++t)
      first[t + 1] = first[t] + static_cast<std::uint32_t>(volumes[t].size());
    Joined joined(first[n]);
    const auto join = [&](std::size_t t, std::size_t side, std::size_t next) {
      for (std::size_t k = 0; k < kTile; ++k) {
        const std::int16_t a = sides[t][side][k], b = sides[next][side - 1][k];
        if (a >= 0 && b >= 0)
          joined.join(first[t] + static_cast<std::uint32_t>(a), first[next] + static_cast<std::uint32_t>(b));
      }
    };
    for (std::size_t t = 0; t < n; ++t) {
      if (column(t) + 1 < columns_) join(t, 1, t + 1);
      if (row(t) + 1 < field_.tile_rows()) join(t, 3, t + static_cast<std::size_t>(columns_));
    }
    std::vector<char> held(first[n], 0);
    std::vector<double> whole(first[n], 0.0);
    double open = 0;  // volume whose piece is not known to be held
    for (std::size_t t = 0; t < n; ++t)
      for (std::uint32_t i = 0; i < volumes[t].size(); ++i) {
        whole[joined.find(first[t] + i)] += volumes[t][i];
        open += volumes[t][i];
      }
    const double crumbs = 1e-6 * open;
    for (const PartWall::Way& way : wall_.ways()) {
      if (open <= crumbs) break;
      const auto at = first_material(way);
      if (!at) continue;
      const auto t = static_cast<std::size_t>((*at)[0] / kTile + columns_ * ((*at)[1] / kTile));
      const std::int16_t piece =
          pieces_of(t).of[static_cast<std::size_t>((*at)[0] % kTile + kTile * ((*at)[1] % kTile))];
      if (piece < 0) continue;
      const std::uint32_t set = joined.find(first[t] + static_cast<std::uint32_t>(piece));
      if (held[set] == 0) open -= whole[set];
      held[set] = 1;
    }
    double sum = 0;
    for (std::size_t t = 0; t < n; ++t) {
      sum += stray[t];
      for (std::uint32_t i = 0; i < volumes[t].size(); ++i)
        if (held[joined.find(first[t] + i)] != 0) sum += volumes[t][i];
    }
    return sum;
  }

  // The first cell on the way in that holds material.
  std::optional<std::array<std::int64_t, 2>> first_material(const PartWall::Way& way) const {
    constexpr double kFarthest = 60;
    for (double u = field_.cell(); u < kFarthest; u += field_.cell()) {
      const Vec2 p = way.from + u * way.inward;
      if (wall_.depth(p) <= 0) return {};
      const auto i = static_cast<std::int64_t>(std::floor((p.x - field_.origin().x) / field_.cell()));
      const auto j = static_cast<std::int64_t>(std::floor((p.y - field_.origin().y) / field_.cell()));
      if (i < 0 || j < 0 || i >= field_.columns() || j >= field_.rows()) return {};
      if (left_at(i, j) >= kThrough) return std::array{i, j};
    }
    return {};
  }

  const Heightfield& field_;
  const PartWall& wall_;
  Vec2 size_;
  double thickness_;
  std::int64_t columns_;
  std::vector<Tile> tiles_;
};

}  // namespace

double part_volume(const Heightfield& field, const Stock& stock, const PartWall& wall) {
  return FieldPart(field, stock, wall).volume();
}

}  // namespace ovolo
