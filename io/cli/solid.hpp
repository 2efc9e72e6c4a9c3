#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "io/cli/run.hpp"
#include "io/output_folder.hpp"
#include "io/report/report.hpp"
#include "sim/carve/carve.hpp"
#include "sim/progress.hpp"

namespace ovolo::cli {

struct SolidOptions {
  std::vector<std::string> names;
  double voxel = 0;  ///< mm, of .vdb files
  std::string of = "part", tolerance = "0.02";
  std::vector<double> region;  ///< x0, y0, x1, y1, mm; empty for all
};

/// What a voxel stock tells of a sheet that no heightfield holds.
struct VoxelCarve {
  RemovedVolume removed;
  double part_volume = 0;  ///< mm^3
  std::int64_t voxels = 0;
};
VoxelCarve carve_voxels(const Prepared& scene, double voxel, Progress* progress);

void add_solid_options(CLI::App& command, SolidOptions& options);
/// Throws CLI::ValidationError on a name that is a path or of no known kind, or on an empty region.
void check(const SolidOptions& options);
/// Builds the solid and writes all its files into the folder; nothing when no name is given.
io::SolidReport write_solids(const Prepared& scene, const SolidOptions& options, io::OutputFolder& out,
                             Progress* progress);

}  // namespace ovolo::cli
