#include "sim/stock/voxel_stock.hpp"

#include <fmt/format.h>
#include <openvdb/io/Stream.h>
#include <openvdb/openvdb.h>
#include <openvdb/tools/Interpolation.h>
#include <openvdb/tools/SignedFloodFill.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <sstream>

#include "sim/carve/memory.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/joined.hpp"
#include "sim/stock/tile_pieces.hpp"

namespace ovolo {

struct VoxelStock::Grid {
  openvdb::FloatGrid::Ptr levels;
};

namespace {

using Leaf = openvdb::FloatTree::LeafNodeType;
constexpr int kSide = Leaf::DIM, kBand = 3;
using State = FinishedSheet::Near::State;

}  // namespace

class VoxelCarver {
 public:
  VoxelCarver(const FinishedSheet& sheet, const Stock& stock, const VoxelOptions& options)
      : sheet_(sheet), options_(options), h_(options.voxel), bounds_{0.0} {
    for (const Layer& layer : stock.layers) bounds_.push_back(bounds_.back() - layer.thickness);
    const Box2& box = sheet.plan_box();
    const std::array<double, 3> lo{box.lo.x, box.lo.y, sheet.bottom()}, hi{box.hi.x, box.hi.y, 0};
    double tiles = 1;
    for (std::size_t a = 0; a < 3; ++a) {
      if (!(lo[a] < hi[a])) throw JobError("nothing is left of the material that the voxels are to hold");
      const double first = std::floor((lo[a] / h_ - kBand) / kSide),
                   last = std::floor((hi[a] / h_ + kBand) / kSide);
      tiles *= last - first + 1;
      if (tiles > 4e8) refuse(tiles * 100);
      first_[a] = static_cast<std::int64_t>(first);
      count_[a] = static_cast<std::int64_t>(last - first) + 1;
    }
  }

  void carve(VoxelStock& out) {
    const auto n = static_cast<std::size_t>(count_[0] * count_[1] * count_[2]);
    tiles_.resize(n);
    parallel_for(
        n,
        [&](std::size_t i) {
          tiles_[i].state = sheet_.near(middle(i), radius()).state;
          tiles_[i].wall = wall_of(middle(i));
        },
        256);
    const auto mixed = static_cast<double>(
        std::count_if(tiles_.begin(), tiles_.end(), [](const Tile& t) { return t.state == State::mixed; }));
    const double bytes =
        mixed * ((options_.volumes_alone ? 0 : sizeof(Leaf) + sizeof(float) * Leaf::SIZE) + 80) * 1.1;
    if (bytes > 0.8 * static_cast<double>(limit())) refuse(bytes);

    out.by_layer_.assign(bounds_.size() - 1, 0.0);
    std::vector<std::unique_ptr<Leaf>> leaves(options_.volumes_alone ? 0 : n);
    constexpr std::size_t kBatch = 8192;
    std::vector<Filled> filled(kBatch);
    for (std::size_t first = 0; first < n; first += kBatch) {
      const std::size_t batch = std::min(kBatch, n - first);
      parallel_for(
          batch, [&](std::size_t i) { fill(first + i, filled[i]); }, 16);
      for (std::size_t i = 0; i < batch; ++i) {
        Filled& f = filled[i];
        out.active_ += f.active;
        for (std::size_t k = 0; k < f.kept.size(); ++k) out.by_layer_[k] += f.kept[k];
        tiles_[first + i].first = static_cast<std::uint32_t>(volumes_.size());
        tiles_[first + i].stray = strays_.size();
        strays_.insert(strays_.end(), f.strays.begin(), f.strays.end());
        volumes_.insert(volumes_.end(), f.volumes.begin(), f.volumes.end());
        faces_.insert(faces_.end(), f.faces.begin(), f.faces.end());
        if (!leaves.empty()) leaves[first + i] = std::move(f.leaf);
      }
      if (options_.progress)
        options_.progress->report("carving voxels", static_cast<double>(first) / static_cast<double>(n));
    }
    const std::vector<char> kept = kept_pieces();
    for (std::size_t p = 0; p < kept.size(); ++p)
      if (kept[p] != 0) out.part_volume_ += volumes_[p];
    for (std::size_t t = 0; t < tiles_.size(); ++t)
      for (std::size_t k = tiles_[t].stray; k < strays_end(t); ++k)
        if (holds_stray(t, strays_[k].at, kept)) out.part_volume_ += static_cast<double>(strays_[k].volume);
    if (sheet_.walled()) leave_out(kept, leaves, out.by_layer_);
    if (!options_.volumes_alone) out.grid_ = levels_of(leaves);
  }

 private:
  std::size_t limit() const { return options_.memory_limit > 0 ? options_.memory_limit : free_memory(); }
  [[noreturn]] void refuse(double bytes) const {
    const double free = static_cast<double>(limit());
    throw MemoryError(
        fmt::format("the voxel stock needs about {:.1f} GB at a voxel of {:.4g} mm and {:.1f} GB are free; "
                    "set --cell to {:.2g} or more",
                    bytes / 1e9, h_, free / 1e9, 1.05 * h_ * std::sqrt(bytes / (0.8 * free))));
  }

  std::array<std::int64_t, 3> origin(std::size_t tile) const {
    const auto t = static_cast<std::int64_t>(tile);
    return {kSide * (first_[0] + t % count_[0]), kSide * (first_[1] + t / count_[0] % count_[1]),
            kSide * (first_[2] + t / count_[0] / count_[1])};
  }
  Point3 middle(std::size_t tile) const {
    const auto o = origin(tile);
    const double half = (kSide - 1) / 2.0;
    return h_ * Point3{static_cast<double>(o[0]) + half, static_cast<double>(o[1]) + half,
                       static_cast<double>(o[2]) + half};
  }
  double radius() const { return h_ * ((kSide - 1) / 2.0 * 1.7321 + kBand + 0.01); }

  // Adds so much of a voxel's volume to the layers that it reaches into.
  void keep(double z, double fill, std::vector<double>& kept) const {
    const double lo = std::max(z - h_ / 2, bounds_.back()), hi = std::min(z + h_ / 2, 0.0);
    if (!(lo < hi)) return;
    for (std::size_t k = 0; k + 1 < bounds_.size(); ++k) {
      const double in = std::min(hi, bounds_[k]) - std::max(lo, bounds_[k + 1]);
      if (in > 0) kept[k] += fill * h_ * h_ * h_ * in / (hi - lo);
    }
  }

  // Part of a voxel beside the surface whose material lies in a neighbouring tile, if anywhere.
  struct Stray {
    std::uint16_t at;  // in its tile
    float volume;      // mm^3
  };
  struct Filled {
    std::unique_ptr<Leaf> leaf;
    std::vector<double> kept;     // by layer, mm^3
    std::vector<double> volumes;  // by piece of the part
    std::vector<std::array<std::uint64_t, 6>> faces;
    std::vector<Stray> strays;
    std::size_t active = 0;
  };
  enum class Wall : std::uint8_t { within, beyond, mixed };
  struct Tile {
    State state;
    Wall wall;
    std::uint32_t first;  // of its pieces
    std::size_t stray;    // the first of its strays
  };

  // Where a tile lies to the part's wall.
  Wall wall_of(Point3 middle) const {
    if (!sheet_.wall().bounds()) return Wall::within;
    const double d = sheet_.wall().depth({middle.x, middle.y});
    return d > radius() ? Wall::within : d < -radius() ? Wall::beyond : Wall::mixed;
  }

  using Values = std::array<double, Leaf::SIZE>;

  // The sheet's function in a tile, and the part's.
  void values(std::size_t tile, Values& sheet, Values& part) const {
    const auto o = origin(tile);
    const double band = kBand * h_;
    const auto near = sheet_.near(middle(tile), radius());
    for (std::size_t i = 0; i < Leaf::SIZE; ++i) {
      const auto at = [&](std::size_t a, std::size_t bits) {
        return h_ * static_cast<double>(o[a] + static_cast<std::int64_t>(i >> bits & 7));
      };
      sheet[i] = std::clamp(sheet_.value(near, {at(0, 6), at(1, 3), at(2, 0)}), -band, band);
    }
    part = sheet;
    if (tiles_[tile].wall == Wall::within) return;
    for (std::size_t column = 0; column < Leaf::SIZE; column += kSide) {
      const double beyond =
          -sheet_.wall().depth({h_ * static_cast<double>(o[0] + static_cast<std::int64_t>(column >> 6)),
                                h_ * static_cast<double>(o[1] + static_cast<std::int64_t>(column >> 3 & 7))});
      for (std::size_t i = column; i < column + kSide; ++i)
        part[i] = std::max(part[i], std::clamp(beyond, -band, band));
    }
  }

  static TilePieces::Material material(const Values& part) {
    TilePieces::Material in;
    for (std::size_t i = 0; i < part.size(); ++i) in[i] = part[i] < 0;
    return in;
  }

  double filled(double value) const { return std::clamp(0.5 - value / h_, 0.0, 1.0); }
  void fill(std::size_t tile, Filled& out) const {
    out = {};
    const Tile& t = tiles_[tile];
    if (t.state == State::empty) return;
    out.kept.assign(bounds_.size() - 1, 0.0);
    const auto o = origin(tile);
    const auto height = [&](std::size_t i) {
      return h_ * static_cast<double>(o[2] + static_cast<std::int64_t>(i & 7));
    };
    const double voxel = h_ * h_ * h_;
    if (t.state == State::full && t.wall != Wall::mixed) {
      for (std::size_t k = 0; k < kSide; ++k) keep(height(k), kSide * kSide, out.kept);
      if (t.wall == Wall::beyond) return;
      out.volumes = {voxel * Leaf::SIZE};
      out.faces.emplace_back().fill(~std::uint64_t{0});
      return;
    }
    Values sheet, part;
    values(tile, sheet, part);
    for (std::size_t i = 0; i < Leaf::SIZE; ++i)
      if (sheet[i] < 0.5 * h_) keep(height(i), filled(sheet[i]), out.kept);
    if (t.wall != Wall::beyond) {
      TilePieces pieces(material(part));
      out.volumes.assign(pieces.faces.size(), 0.0);
      for (std::size_t i = 0; i < Leaf::SIZE; ++i) {
        if (!(part[i] < 0.5 * h_)) continue;
        const double v = voxel * filled(part[i]);
        const int piece = pieces.of[i] >= 0 ? pieces.of[i] : pieces.beside(static_cast<int>(i));
        if (piece >= 0)
          out.volumes[static_cast<std::size_t>(piece)] += v;
        else
          out.strays.push_back({static_cast<std::uint16_t>(i), static_cast<float>(v)});
      }
      out.faces = std::move(pieces.faces);
    }
    if (t.state != State::mixed) return;
    const double band = kBand * h_;
    for (const double v : sheet) out.active += std::abs(v) < band ? 1 : 0;
    if (options_.volumes_alone) return;
    out.leaf = std::make_unique<Leaf>(
        openvdb::Coord(static_cast<int>(o[0]), static_cast<int>(o[1]), static_cast<int>(o[2])),
        static_cast<float>(band));
    for (openvdb::Index i = 0; i < Leaf::SIZE; ++i) {
      if (std::abs(sheet[i]) < band)
        out.leaf->setValueOn(i, static_cast<float>(sheet[i]));
      else
        out.leaf->setValueOff(i, static_cast<float>(sheet[i]));
    }
  }

  std::size_t pieces_of(std::size_t tile) const {
    return (tile + 1 < tiles_.size() ? tiles_[tile + 1].first : volumes_.size()) - tiles_[tile].first;
  }

  std::size_t strays_end(std::size_t tile) const {
    return tile + 1 < tiles_.size() ? tiles_[tile + 1].stray : strays_.size();
  }

  // Whether the piece beyond its tile that a stray lies against is kept; one against nothing is a crumb, and
  // is.
  bool holds_stray(std::size_t tile, std::size_t i, const std::vector<char>& kept) const {
    const std::array<std::size_t, 3> at{i >> 6, i >> 3 & 7, i & 7};
    const std::array<std::size_t, 3> step{1, static_cast<std::size_t>(count_[0]),
                                          static_cast<std::size_t>(count_[0] * count_[1])};
    const std::array<std::int64_t, 3> place{static_cast<std::int64_t>(tile) % count_[0],
                                            static_cast<std::int64_t>(tile) / count_[0] % count_[1],
                                            static_cast<std::int64_t>(tile) / count_[0] / count_[1]};
    for (std::size_t a = 0; a < 3; ++a)
      for (const bool up : {false, true}) {
        if (at[a] != (up ? 7u : 0u) || place[a] == (up ? count_[a] - 1 : 0)) continue;
        const std::size_t next = up ? tile + step[a] : tile - step[a];
        const std::size_t b = a == 0 ? at[1] : at[0], c = a == 2 ? at[1] : at[2];
        const std::uint64_t touch = std::uint64_t{1} << (8 * b + c);
        for (std::size_t k = 0; k < pieces_of(next); ++k)
          if (const std::size_t p = tiles_[next].first + k; (faces_[p][2 * a + (up ? 0 : 1)] & touch) != 0)
            return kept[p] != 0;
      }
    return true;
  }

  // Which pieces of all tiles belong to the part.
  std::vector<char> kept_pieces() const {
    const std::vector<Point3> places = sheet_.kept_places();
    if (places.empty()) return std::vector<char>(volumes_.size(), 1);
    Joined joined(volumes_.size());
    const std::array<std::size_t, 3> step{1, static_cast<std::size_t>(count_[0]),
                                          static_cast<std::size_t>(count_[0] * count_[1])};
    for (std::size_t t = 0; t < tiles_.size(); ++t) {
      if (pieces_of(t) == 0) continue;
      const std::array<std::int64_t, 3> at{static_cast<std::int64_t>(t) % count_[0],
                                           static_cast<std::int64_t>(t) / count_[0] % count_[1],
                                           static_cast<std::int64_t>(t) / count_[0] / count_[1]};
      for (std::size_t a = 0; a < 3; ++a) {
        if (at[a] + 1 == count_[a]) continue;
        const std::size_t next = t + step[a];
        for (std::size_t i = 0; i < pieces_of(t); ++i)
          for (std::size_t j = 0; j < pieces_of(next); ++j) {
            const std::size_t p = tiles_[t].first + i, q = tiles_[next].first + j;
            if ((faces_[p][2 * a + 1] & faces_[q][2 * a]) != 0)
              joined.join(static_cast<std::uint32_t>(p), static_cast<std::uint32_t>(q));
          }
      }
    }
    std::vector<char> held(volumes_.size(), 0), kept(volumes_.size(), 0);
    std::vector<double> whole(volumes_.size(), 0.0);
    double open = 0, all = 0;  // volume whose piece is not known to be held
    for (std::uint32_t p = 0; p < whole.size(); ++p) {
      whole[joined.find(p)] += volumes_[p];
      all += volumes_[p];
    }
    open = all;
    for (const Point3& p : places) {
      if (open <= 1e-6 * all) break;  // crumbs
      const auto piece = piece_at(p);
      if (!piece || held[joined.find(*piece)] != 0) continue;
      held[joined.find(*piece)] = 1;
      open -= whole[joined.find(*piece)];
    }
    for (std::uint32_t p = 0; p < kept.size(); ++p) kept[p] = held[joined.find(p)];
    return kept;
  }

  // The piece that a place in the material belongs to, or the nearest within a voxel or two.
  std::optional<std::uint32_t> piece_at(Point3 p) const {
    const std::array<std::int64_t, 3> at{std::llround(p.x / h_), std::llround(p.y / h_),
                                         std::llround(p.z / h_)};
    for (const std::int64_t far : {0, 1, 2})
      for (std::int64_t i = -far; i <= far; ++i)
        for (std::int64_t j = -far; j <= far; ++j)
          for (std::int64_t k = -far; k <= far; ++k)
            if (const auto found = piece_of_voxel({at[0] + i, at[1] + j, at[2] + k})) return found;
    return {};
  }

  std::optional<std::uint32_t> piece_of_voxel(const std::array<std::int64_t, 3>& at) const {
    std::array<std::int64_t, 3> tile;
    for (std::size_t a = 0; a < 3; ++a) {
      tile[a] = (at[a] - kSide * first_[a]) / kSide;
      if (at[a] < kSide * first_[a] || tile[a] >= count_[a]) return {};
    }
    const auto t = static_cast<std::size_t>(tile[0] + count_[0] * (tile[1] + count_[1] * tile[2]));
    if (pieces_of(t) == 0) return {};
    if (tiles_[t].state == State::full && tiles_[t].wall == Wall::within) return tiles_[t].first;
    const auto n = static_cast<std::size_t>((at[0] & 7) << 6 | (at[1] & 7) << 3 | (at[2] & 7));
    Values sheet, part;
    values(t, sheet, part);
    const int piece = TilePieces(material(part)).of[n];
    if (piece < 0) return {};
    return tiles_[t].first + static_cast<std::uint32_t>(piece);
  }

  // Takes loose pieces out of what the part's levels and layers hold.
  void leave_out(const std::vector<char>& kept, std::vector<std::unique_ptr<Leaf>>& leaves,
                 std::vector<double>& by_layer) const {
    for (std::size_t t = 0; t < tiles_.size(); ++t) {
      bool loose = false;
      for (std::size_t i = 0; i < pieces_of(t); ++i) loose = loose || kept[tiles_[t].first + i] == 0;
      for (std::size_t k = tiles_[t].stray; k < strays_end(t) && !loose; ++k)
        loose = !holds_stray(t, strays_[k].at, kept);
      if (!loose) continue;
      Values sheet, part;
      values(t, sheet, part);
      const TilePieces pieces(material(part));
      const double band = kBand * h_;
      for (std::size_t i = 0; i < Leaf::SIZE; ++i) {
        const int piece = pieces.of[i] >= 0 ? pieces.of[i] : pieces.beside(static_cast<int>(i));
        if (piece >= 0 ? kept[tiles_[t].first + static_cast<std::uint32_t>(piece)] != 0
                       : !(part[i] < 0.5 * h_) || holds_stray(t, i, kept))
          continue;
        const double z = h_ * static_cast<double>(origin(t)[2] + static_cast<std::int64_t>(i & 7));
        if (part[i] < 0.5 * h_) {
          std::vector<double> gone(by_layer.size(), 0.0);
          keep(z, filled(part[i]), gone);
          for (std::size_t k = 0; k < gone.size(); ++k) by_layer[k] -= gone[k];
        }
        if (!leaves.empty() && leaves[t])
          leaves[t]->setValueOff(static_cast<openvdb::Index>(i), static_cast<float>(band));
      }
    }
  }

  std::shared_ptr<const VoxelStock::Grid> levels_of(std::vector<std::unique_ptr<Leaf>>& leaves) const {
    auto grid = openvdb::FloatGrid::create(static_cast<float>(kBand * h_));
    for (auto& leaf : leaves)
      if (leaf) grid->tree().addLeaf(leaf.release());
    openvdb::tools::signedFloodFill(grid->tree());
    grid->setTransform(openvdb::math::Transform::createLinearTransform(h_));
    grid->setGridClass(openvdb::GRID_LEVEL_SET);
    grid->setName("sheet");
    grid->insertMeta("unit", openvdb::StringMetadata("mm"));
    auto out = std::make_shared<VoxelStock::Grid>();
    out->levels = std::move(grid);
    return out;
  }

  const FinishedSheet& sheet_;
  const VoxelOptions& options_;
  double h_;
  std::vector<double> bounds_;  // of the layers, from 0 down
  std::array<std::int64_t, 3> first_{}, count_{};
  std::vector<Tile> tiles_;
  std::vector<double> volumes_;  // by piece
  std::vector<std::array<std::uint64_t, 6>> faces_;
  std::vector<Stray> strays_;
};

VoxelStock::VoxelStock(const FinishedSheet& sheet, const Stock& stock, const VoxelOptions& options)
    : voxel_(options.voxel) {
  openvdb::initialize();
  VoxelCarver(sheet, stock, options).carve(*this);
}

std::size_t VoxelStock::bytes() const { return grid_ ? grid_->levels->memUsage() : 0; }

double VoxelStock::value(Point3 p) const {
  const auto access = grid_->levels->getConstAccessor();
  const openvdb::Vec3d at = grid_->levels->worldToIndex({p.x, p.y, p.z});
  return static_cast<double>(openvdb::tools::BoxSampler::sample(access, at));
}

double VoxelStock::volume() const {
  double sum = 0;
  for (const double v : by_layer_) sum += v;
  return sum;
}

std::string VoxelStock::vdb() const {
  std::ostringstream out(std::ios::binary);
  openvdb::io::Stream(out).write(openvdb::GridCPtrVec{grid_->levels});
  return std::move(out).str();
}

}  // namespace ovolo
