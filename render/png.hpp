#pragma once
#include <string>
#include <string_view>

#include "render/image.hpp"

namespace ovolo::render {

/// The picture as a PNG file's bytes: RGB when every pixel is opaque, else RGBA. Throws std::runtime_error
/// for an empty picture.
std::string encode_png(const Image& image);

/// Writes bytes to `path` by way of a temporary file in the same folder that is renamed, so that no
/// half-written file is ever seen. Throws std::runtime_error naming the path and the reason.
void write_whole(const std::string& path, std::string_view bytes);

inline void write_png(const std::string& path, const Image& image) { write_whole(path, encode_png(image)); }

}  // namespace ovolo::render
