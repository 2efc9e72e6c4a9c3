#pragma once
#include <string>

#include "render/image.hpp"
#include "sim/geometry/vec.hpp"

namespace ovolo::render {

/// An SVG drawing as pixels, `scale` pixels for each of its units; what it leaves bare stays transparent.
/// Throws std::runtime_error when the SVG cannot be read or the picture would be more than 30,000 pixels on a
/// side.
Image rasterize(const std::string& svg, double scale = 1);

/// The family in which all text of the pictures is set.
inline constexpr const char* kFontFamily = "DejaVu Sans";

/// Advance width, px, of a line of UTF-8 text set in kFontFamily at `size` px.
double text_width(const std::string& text, double size, bool bold = false);

}  // namespace ovolo::render
