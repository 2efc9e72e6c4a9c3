#include "io/solid/files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace ovolo::io {

std::optional<SolidFormat> solid_format(const std::string& name) {
  std::string extension = std::filesystem::path(name).extension().string();
  std::transform(extension.begin(), extension.end(), extension.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (extension == ".stl") return SolidFormat::stl;
  if (extension == ".obj") return SolidFormat::obj;
  if (extension == ".ply") return SolidFormat::ply;
  if (extension == ".3mf") return SolidFormat::three_mf;
  if (extension == ".vdb") return SolidFormat::vdb;
  return std::nullopt;
}

std::vector<double> layer_bounds(const Stock& stock) {
  std::vector<double> out;
  double z = 0;
  for (const Layer& layer : stock.layers) out.push_back(z -= layer.thickness);
  if (!out.empty()) out.pop_back();
  return out;
}

std::size_t layer_of(const LayeredSolid& solid, const SolidMesh::Triangle& t) {
  const double z =
      (solid.mesh.vertices[t[0]].z + solid.mesh.vertices[t[1]].z + solid.mesh.vertices[t[2]].z) / 3;
  double low = 0;
  for (std::size_t i = 0; i + 1 < solid.stock.layers.size(); ++i) {
    low -= solid.stock.layers[i].thickness;
    if (z > low) return i;
  }
  return solid.stock.layers.size() - 1;
}

void write_solid(OutputFolder& out, const std::string& name, const LayeredSolid& solid) {
  switch (*solid_format(name)) {
    case SolidFormat::stl:
      out.write(name, stl_text(solid));
      return;
    case SolidFormat::ply:
      out.write(name, ply_text(solid));
      return;
    case SolidFormat::obj: {
      const std::string materials = std::filesystem::path(name).replace_extension(".mtl").string();
      out.write(name, obj_text(solid, materials));
      out.write(materials, obj_materials(solid));
      return;
    }
    case SolidFormat::three_mf:
      write_three_mf(out.staged(name), solid);
      return;
    case SolidFormat::vdb:
      return;  // holds the voxel stock, not a mesh
  }
}

}  // namespace ovolo::io
