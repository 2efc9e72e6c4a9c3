#include "sim/stock/voxel_stock.hpp"

#include <fmt/format.h>
#include <openvdb/openvdb.h>
#include <openvdb/io/Stream.h>
#include <openvdb/tools/Interpolation.h>
#include <openvdb/tools/SignedFloodFill.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "sim/carve/memory.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"

namespace ovolo {

struct VoxelStock::Grid {
  openvdb::FloatGrid::Ptr levels;
};

namespace {

using Leaf = openvdb::FloatTree::LeafNodeType;
constexpr int kSide = Leaf::DIM, kBand = 3;
using State = FinishedSheet::Near::State;

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
      const double first = std::floor((lo[a] / h_ - kBand) / kSide), last = std::floor((hi[a] / h_ + kBand) / kSide);
      tiles *= last - first + 1;
      if (tiles > 4e8) refuse(tiles * 100);
      first_[a] = static_cast<std::int64_t>(first);
      count_[a] = static_cast<std::int64_t>(last - first) + 1;
    }
  }

  openvdb::FloatGrid::Ptr carve(std::vector<double>& by_layer) {
    const auto n = static_cast<std::size_t>(count_[0] * count_[1] * count_[2]);
    std::vector<State> states(n);
    parallel_for(
        n, [&](std::size_t i) { states[i] = sheet_.near(middle(i), radius()).state; }, 256);
    const auto mixed = static_cast<double>(std::count(states.begin(), states.end(), State::mixed));
    const double bytes = mixed * (sizeof(Leaf) + sizeof(float) * Leaf::SIZE) * 1.1;
    if (bytes > 0.8 * static_cast<double>(limit())) refuse(bytes);

    auto grid = openvdb::FloatGrid::create(static_cast<float>(kBand * h_));
    by_layer.assign(bounds_.size() - 1, 0.0);
    constexpr std::size_t kBatch = 8192;
    std::vector<Leaf*> leaves(kBatch);
    std::vector<std::vector<double>> kept(kBatch);
    for (std::size_t first = 0; first < n; first += kBatch) {
      const std::size_t batch = std::min(kBatch, n - first);
      parallel_for(
          batch, [&](std::size_t i) { leaves[i] = fill(first + i, states[first + i], kept[i]); }, 16);
      for (std::size_t i = 0; i < batch; ++i) {
        if (leaves[i]) grid->tree().addLeaf(leaves[i]);
        for (std::size_t k = 0; k < kept[i].size(); ++k) by_layer[k] += kept[i][k];
      }
      if (options_.progress)
        options_.progress->report("carving voxels", static_cast<double>(first) / static_cast<double>(n));
    }
    openvdb::tools::signedFloodFill(grid->tree());
    grid->setTransform(openvdb::math::Transform::createLinearTransform(h_));
    grid->setGridClass(openvdb::GRID_LEVEL_SET);
    grid->setName("sheet");
    grid->insertMeta("unit", openvdb::StringMetadata("mm"));
    return grid;
  }

 private:
  std::size_t limit() const { return options_.memory_limit > 0 ? options_.memory_limit : free_memory(); }
  [[noreturn]] void refuse(double bytes) const {
    const double free = static_cast<double>(limit());
    throw MemoryError(fmt::format(
        "the voxel stock needs about {:.1f} GB at a voxel of {:.4g} mm and {:.1f} GB are free; set --cell to {:.2g} or more",
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

  Leaf* fill(std::size_t tile, State state, std::vector<double>& kept) const {
    kept.clear();
    if (state == State::empty) return nullptr;
    kept.assign(bounds_.size() - 1, 0.0);
    const auto o = origin(tile);
    if (state == State::full) {
      for (int k = 0; k < kSide; ++k) keep(h_ * static_cast<double>(o[2] + k), kSide * kSide, kept);
      return nullptr;
    }
    const auto near = sheet_.near(middle(tile), radius());
    const double band = kBand * h_;
    auto leaf = std::make_unique<Leaf>(
        openvdb::Coord(static_cast<int>(o[0]), static_cast<int>(o[1]), static_cast<int>(o[2])), static_cast<float>(band));
    for (openvdb::Index i = 0; i < Leaf::SIZE; ++i) {
      const openvdb::Coord at = leaf->offsetToGlobalCoord(i);
      const Point3 p{h_ * at.x(), h_ * at.y(), h_ * at.z()};
      const double v = std::clamp(sheet_.value(near, p), -band, band);
      if (v < 0.5 * h_) keep(p.z, std::clamp(0.5 - v / h_, 0.0, 1.0), kept);
      if (std::abs(v) < band)
        leaf->setValueOn(i, static_cast<float>(v));
      else
        leaf->setValueOff(i, static_cast<float>(v));
    }
    return leaf.release();
  }

  const FinishedSheet& sheet_;
  const VoxelOptions& options_;
  double h_;
  std::vector<double> bounds_;  // of the layers, from 0 down
  std::array<std::int64_t, 3> first_{}, count_{};
};

}  // namespace

VoxelStock::VoxelStock(const FinishedSheet& sheet, const Stock& stock, const VoxelOptions& options)
    : voxel_(options.voxel) {
  openvdb::initialize();
  auto grid = std::make_shared<Grid>();
  grid->levels = VoxelCarver(sheet, stock, options).carve(by_layer_);
  grid_ = std::move(grid);
}

std::size_t VoxelStock::active_voxels() const { return grid_->levels->activeVoxelCount(); }
std::size_t VoxelStock::bytes() const { return grid_->levels->memUsage(); }

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
