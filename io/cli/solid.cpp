#include "io/cli/solid.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "io/solid/files.hpp"
#include "sim/solid/mesher.hpp"
#include "sim/stock/voxel_stock.hpp"
#include "sim/text.hpp"

namespace ovolo::cli {
namespace {

bool is_vdb(const std::string& name) { return io::solid_format(name) == io::SolidFormat::vdb; }

Warning lost_detail(const MeshMiss& miss, double tolerance) {
  return {"solid-detail",
          fmt::format(
              "the solid lies up to {} from what is cut (worst at x {:.1f}, y {:.1f}, {:.2f} mm below the "
              "top face): something there is narrower than {}, which a --solid-tolerance of {:.4g} mm can "
              "lose; set it to {:.2g} mm or less to keep it",
              both_units(miss.distance), miss.at.x, miss.at.y, std::max(0.0, -miss.at.z),
              both_units(mesh_cell(tolerance)), tolerance,
              std::min(tolerance / 2, miss.distance * tolerance / mesh_cell(tolerance))),
          -1,
          {}};
}

}  // namespace

void add_solid_options(CLI::App& command, SolidOptions& options) {
  command.add_option(
      "--solid", options.names,
      "also write the finished part as a solid into the folder: a name ending in .stl, .obj, .ply, "
      ".3mf or .vdb; several are allowed");
  command
      .add_option("--solid-of", options.of,
                  "part: what lies within the contours that edges and cut-outs keep; sheet: all of the sheet")
      ->check(CLI::IsMember({"part", "sheet"}))
      ->capture_default_str();
  command
      .add_option("--solid-tolerance", options.tolerance,
                  "how far the solid may lie from the true curves: mm, or text with a unit")
      ->capture_default_str();
  command.add_option("--solid-region", options.region, "only this part of the sheet: x0,y0,x1,y1 in mm")
      ->expected(4)
      ->delimiter(',');
}

VoxelCarve carve_voxels(const Prepared& scene, double voxel, Progress* progress) {
  const Stock& stock = scene.job.stock;
  VoxelOptions options;
  options.voxel = voxel;
  options.volumes_alone = true;
  options.progress = progress;
  const VoxelStock sheet = with_places(scene.job, [&] {
    return VoxelStock(FinishedSheet(scene.job, scene.plan, scene.index, SolidOf::sheet), stock, options);
  });
  VoxelCarve out;
  for (std::size_t i = 0; i < stock.layers.size(); ++i) {
    const double whole = stock.width * stock.height * stock.layers[i].thickness;
    out.removed.by_layer.push_back(std::max(0.0, whole - sheet.volume_by_layer()[i]));
    out.removed.total += out.removed.by_layer.back();
  }
  out.voxels = static_cast<std::int64_t>(sheet.active_voxels());
  out.part_volume = sheet.part_volume();
  return out;
}

void check(const SolidOptions& options) {
  std::set<std::string> seen;
  for (const std::string& name : options.names) {
    if (!io::solid_format(name))
      throw CLI::ValidationError("--solid",
                                 fmt::format("'{}' must end in .stl, .obj, .ply, .3mf or .vdb", name));
    if (name.find('/') != std::string::npos || name.front() == '.')
      throw CLI::ValidationError(
          "--solid", fmt::format("'{}' must be a file's name alone: it goes into the folder of --out", name));
    if (!seen.insert(name).second)
      throw CLI::ValidationError("--solid", fmt::format("'{}' is given twice", name));
  }
  option_length(options.tolerance, "--solid-tolerance");
  const auto& r = options.region;
  if (!r.empty() && !(r[0] < r[2] && r[1] < r[3]))
    throw CLI::ValidationError("--solid-region", "x0 must be less than x1, and y0 less than y1");
}

io::SolidReport write_solids(const Prepared& scene, const SolidOptions& options, io::OutputFolder& out,
                             Progress* progress) {
  io::SolidReport report;
  if (options.names.empty()) return report;
  MeshOptions meshing;
  meshing.tolerance = option_length(options.tolerance, "--solid-tolerance");
  meshing.progress = progress;
  report.whole_sheet = options.of == "sheet";
  report.tolerance = meshing.tolerance;
  std::optional<Box2> region;
  if (!options.region.empty())
    region = Box2{{options.region[0], options.region[1]}, {options.region[2], options.region[3]}};
  with_places(scene.job, [&] {
    const FinishedSheet sheet(scene.job, scene.plan, scene.index,
                              report.whole_sheet ? SolidOf::sheet : SolidOf::part, region);
    const bool all_vdb = std::all_of(options.names.begin(), options.names.end(), is_vdb);
    if (std::any_of(options.names.begin(), options.names.end(), is_vdb)) {
      VoxelOptions voxels;
      voxels.voxel = options.voxel;
      voxels.progress = progress;
      const VoxelStock stock(sheet, scene.job.stock, voxels);
      report.volume = stock.volume();
      const std::string text = stock.vdb();
      for (const std::string& name : options.names)
        if (is_vdb(name)) out.write(name, text);
    }
    if (!all_vdb) {
      MeshMiss miss;
      SolidMesh mesh = make_mesh_within(sheet, meshing, miss);
      if (miss.distance > meshing.tolerance) report.warnings.push_back(lost_detail(miss, meshing.tolerance));
      report.volume = mesh.volume();
      split_at_heights(mesh, io::layer_bounds(scene.job.stock));
      report.triangles = mesh.triangles.size();
      for (const std::string& name : options.names)
        if (!is_vdb(name)) io::write_solid(out, name, {mesh, scene.job.stock, scene.job.title});
    }
  });
  if (!report.whole_sheet && !region) report.part_volume = report.volume;
  report.files = options.names;
  return report;
}

}  // namespace ovolo::cli
