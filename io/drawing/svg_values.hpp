#pragma once
#include <string_view>

#include "io/drawing/affine.hpp"
#include "io/drawing/scan.hpp"

namespace ovolo::io {

/// A transform attribute: matrix, translate, scale, rotate, skewX, skewY, in any number. Throws ScanError.
Affine parse_transform(std::string_view text);

/// A length in px (CSS: 96 to the inch); `percent_of` is what 100% means. Throws ScanError, naming the units
/// known.
double svg_length(std::string_view text, double percent_of);

struct ViewBox {
  double x, y, width, height;
};
/// Throws ScanError unless it is four numbers with a positive width and height.
ViewBox parse_view_box(std::string_view text);

/// Maps a view box to a viewport of width x height as preserveAspectRatio says (SVG 2, 8.2). Throws
/// ScanError.
Affine fit_view_box(const ViewBox& box, double width, double height, std::string_view preserve_aspect_ratio);

}  // namespace ovolo::io
