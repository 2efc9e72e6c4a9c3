#pragma once
#include <string>
#include <utility>
#include <vector>

#include "io/in_units.hpp"
#include "io/output_folder.hpp"

namespace ovolo::cli {

/// A file's stem from a name: "round the rim" to "round-the-rim".
std::string file_stem(const std::string& name);
/// Names and bytes.
using PictureFiles = std::vector<std::pair<std::string, std::string>>;
/// A drawing as NAME.svg and NAME.png; labels in both units as `say` has them.
PictureFiles drawing_files(const std::string& name, const std::string& svg, io::InUnits say);
/// Writes a drawing as NAME.svg and NAME.png.
void save_drawing(io::OutputFolder& out, const std::string& name, const std::string& svg, io::InUnits say);

}  // namespace ovolo::cli
