#pragma once
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "sim/job.hpp"
#include "sim/progress.hpp"
#include "sim/solid/finished_sheet.hpp"

namespace ovolo {

struct VoxelOptions {
  double voxel = 0.25;           ///< mm, > 0
  std::size_t memory_limit = 0;  ///< bytes; 0: what the machine has free
  Progress* progress = nullptr;
};

/// The finished sheet as a narrow-band level set: within three voxels of the surface the distance to it, mm,
/// negative in the material, elsewhere the sign alone. For sheets that no heightfield holds. A value type;
/// copies share what they hold.
class VoxelStock {
 public:
  /// Every value comes from the sheet's own function, tile by tile; the result is the same for any number of
  /// threads. Throws MemoryError, before anything is allocated, naming the voxel size that would fit.
  VoxelStock(const FinishedSheet& sheet, const Stock& stock, const VoxelOptions& options);

  double voxel() const { return voxel_; }
  std::size_t active_voxels() const;
  std::size_t bytes() const;
  /// Distance at a place between voxels (trilinear), clamped to three voxels.
  double value(Point3 p) const;
  /// Material held, mm^3, and how it spreads over the stock's layers, from the top face down.
  double volume() const;
  const std::vector<double>& volume_by_layer() const { return by_layer_; }
  /// The contents of a .vdb file with one grid, "sheet"; its unit is the mm.
  std::string vdb() const;

 private:
  struct Grid;
  double voxel_;
  std::shared_ptr<const Grid> grid_;
  std::vector<double> by_layer_;
};

}  // namespace ovolo
