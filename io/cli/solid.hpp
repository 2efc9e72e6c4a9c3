#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "io/cli/run.hpp"
#include "io/output_folder.hpp"
#include "io/report/report.hpp"
#include "sim/progress.hpp"

namespace ovolo::cli {

struct SolidOptions {
  std::vector<std::string> names;
  double voxel = 0;  ///< mm, of .vdb files
  std::string of = "part", tolerance = "0.02";
  std::vector<double> region;  ///< x0, y0, x1, y1, mm; empty for all
};

void add_solid_options(CLI::App& command, SolidOptions& options);
/// Throws CLI::ValidationError on a name that is a path or of no known kind, or on an empty region.
void check(const SolidOptions& options);
/// Builds the solid and writes all its files into the folder; nothing when no name is given.
io::SolidReport write_solids(const Prepared& scene, const SolidOptions& options, io::OutputFolder& out,
                             Progress* progress);

}  // namespace ovolo::cli
