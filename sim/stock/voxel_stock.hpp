#pragma once
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "sim/job.hpp"
#include "sim/progress.hpp"
#include "sim/solid/finished_sheet.hpp"

namespace ovolo {

class VoxelCarver;

struct VoxelOptions {
  double voxel = 0.25;           ///< mm, > 0
  std::size_t memory_limit = 0;  ///< bytes; 0: what the machine has free
  bool volumes_alone = false;    ///< keep no levels: no memory is needed for them
  Progress* progress = nullptr;
};

/// The finished sheet as a narrow-band level set: within three voxels of the surface the distance to it, mm,
/// negative in the material, elsewhere the sign alone. For sheets that no heightfield holds. Of the part,
/// loose pieces that none of its contours' kept sides belong to are left out. A value type; copies share what
/// they hold.
class VoxelStock {
 public:
  /// Every value comes from the sheet's own function, tile by tile; the result is the same for any number of
  /// threads. Throws MemoryError, before anything is allocated, naming the voxel size that would fit.
  VoxelStock(const FinishedSheet& sheet, const Stock& stock, const VoxelOptions& options);

  double voxel() const { return voxel_; }
  /// Within three voxels of the surface.
  std::size_t active_voxels() const { return active_; }
  std::size_t bytes() const;
  /// Distance at a place between voxels (trilinear), clamped to three voxels. Like vdb(), of a stock that
  /// keeps its levels.
  double value(Point3 p) const;
  /// Material held, mm^3, and how it spreads over the stock's layers, from the top face down.
  double volume() const;
  const std::vector<double>& volume_by_layer() const { return by_layer_; }
  /// What the part holds of it, mm^3: of the pieces within the part's wall those that the kept sides of its
  /// contours belong to.
  double part_volume() const { return part_volume_; }
  /// The contents of a .vdb file with one grid, "sheet"; its unit is the mm.
  std::string vdb() const;

 private:
  friend class VoxelCarver;
  struct Grid;
  double voxel_;
  std::shared_ptr<const Grid> grid_;
  std::vector<double> by_layer_;
  double part_volume_ = 0;
  std::size_t active_ = 0;
};

}  // namespace ovolo
