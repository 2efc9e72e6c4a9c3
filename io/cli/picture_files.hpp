#pragma once
#include <string>

#include "io/output_folder.hpp"

namespace ovolo::cli {

/// A file's stem from a name: "round the rim" to "round-the-rim".
std::string file_stem(const std::string& name);
/// A drawing's pixels as a PNG file's bytes.
std::string drawing_png(const std::string& svg);
/// Writes a drawing as NAME.svg and NAME.png.
void save_drawing(io::OutputFolder& out, const std::string& name, const std::string& svg);

}  // namespace ovolo::cli
