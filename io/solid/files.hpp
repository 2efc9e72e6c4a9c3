#pragma once
#include <optional>
#include <string>

#include "io/output_folder.hpp"
#include "sim/job.hpp"
#include "sim/solid/mesh.hpp"

namespace ovolo::io {

enum class SolidFormat { stl, obj, ply, three_mf, vdb };

/// By the extension; empty for any other.
std::optional<SolidFormat> solid_format(const std::string& name);

/// A solid and the sheet it was cut from: triangles take the colour of the layer they lie in, which no
/// triangle reaches over (split_at_heights).
struct LayeredSolid {
  const SolidMesh& mesh;
  const Stock& stock;
  std::string title;
};

/// The layer a triangle lies in, an index into Stock::layers.
std::size_t layer_of(const LayeredSolid& solid, const SolidMesh::Triangle& triangle);
/// Heights where one layer ends and the next begins.
std::vector<double> layer_bounds(const Stock& stock);

/// Lengths in mm throughout. STL is binary and has no colours; OBJ names a material of NAME.mtl for each
/// layer; PLY is binary with a colour for each face; 3MF (core specification 1.2) states the unit and has a
/// base material for each layer. Throws WriteError.
void write_solid(OutputFolder& out, const std::string& name, const LayeredSolid& solid);

std::string stl_text(const LayeredSolid& solid);
std::string ply_text(const LayeredSolid& solid);
std::string obj_text(const LayeredSolid& solid, const std::string& materials_file);
std::string obj_materials(const LayeredSolid& solid);
/// Writes the package itself: it is a zip.
void write_three_mf(const std::filesystem::path& path, const LayeredSolid& solid);

}  // namespace ovolo::io
